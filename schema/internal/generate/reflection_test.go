package main

import (
	"reflect"
	"strings"
	"testing"
	"time"
)

// TestUndefinedScalar: a type that is read from one value is not taken for a mapping when its definition was forgotten.
func TestUndefinedScalar(t *testing.T) {
	type file struct {
		// When it was written.
		At time.Time `yaml:"at"`
	}
	r, err := newReflection("yaml")
	if err != nil {
		t.Fatal(err)
	}
	s := r.reflector.ReflectFromType(reflect.TypeFor[file]())
	if err := r.refine(s, "file"); err == nil || !strings.Contains(err.Error(), "time.Time") {
		t.Errorf("the error is %v", err)
	}
}

// TestUndescribed: a key without a doc comment stops the generator.
func TestUndescribed(t *testing.T) {
	type file struct {
		At string `yaml:"at"`
	}
	r, err := newReflection("yaml")
	if err != nil {
		t.Fatal(err)
	}
	s := r.reflector.ReflectFromType(reflect.TypeFor[file]())
	if err := r.refine(s, "file"); err == nil || !strings.Contains(err.Error(), "file.at") {
		t.Errorf("the error is %v", err)
	}
}
