package aig

import (
	"slices"
	"testing"
)

func TestFoldingAndSharing(t *testing.T) {
	g := New(4)
	a, b := g.Input(), g.Input()
	for _, c := range []struct {
		name      string
		got, want Lit
	}{
		{"and with false", g.And(a, False), False},
		{"and with true", g.And(True, a), a},
		{"and with itself", g.And(a, a), a},
		{"and with its complement", g.And(a, a.Not()), False},
		{"commuted", g.And(a, b), g.And(b, a)},
		{"or by and", g.Or(a, b), g.And(a.Not(), b.Not()).Not()},
		{"xor with true", g.Xor(a, True), a.Not()},
		{"xor with itself", g.Xor(a, a), False},
		{"choice of equals", g.Mux(a, b, b), b},
		{"choice by a constant", g.Mux(True, a, b), a},
	} {
		if c.got != c.want {
			t.Errorf("%s: %d, want %d", c.name, c.got, c.want)
		}
	}
	size := g.Len()
	for range 1000 {
		g.And(a, b)
	}
	if g.Len() != size {
		t.Errorf("equal gates are not shared: %d nodes after %d", g.Len(), size)
	}
}

// TestConesOfEqualParts builds one design twice and expects equal cones, with other inputs.
func TestConesOfEqualParts(t *testing.T) {
	g := New(4)
	part := func() Lit {
		x, y, m := g.Input(), g.Input(), g.Latch(true)
		n := g.Or(g.And(x, m), y)
		g.SetNext(m, n)
		return n
	}
	p, q := part(), part()
	s := NewSlicer(g)
	a, b := s.Cone([]Lit{p}, nil), s.Cone([]Lit{q}, nil)
	if !slices.Equal(a.Key(nil), b.Key(nil)) || slices.Equal(a.Inputs, b.Inputs) {
		t.Errorf("cones of equal parts differ: %v %v", a, b)
	}
	if c := s.Cone([]Lit{p.Not()}, nil); slices.Equal(a.Key(nil), c.Key(nil)) {
		t.Error("the complement has the same key")
	}
	if len(a.Latches) != 1 || !a.Init[0] || len(a.Inputs) != 2 {
		t.Errorf("%+v", a)
	}
}

// TestCut cuts the cone at the nets of another group.
func TestCut(t *testing.T) {
	g := New(4)
	g.Group = 1
	m := g.Latch(false)
	far := g.And(g.Input(), m)
	g.SetNext(m, far)
	g.Group = 2
	near := g.And(g.Input(), far.Not())
	g.Group = 0
	root := g.And(near, g.Input())
	s := NewSlicer(g)
	if homes := s.Homes(root, 3); !slices.Equal(homes, []int32{2}) {
		t.Fatalf("homes %v", homes)
	}
	c := s.Cone([]Lit{root}, []int32{2})
	if c.Cuts != 1 || len(c.Latches) != 0 || len(c.Inputs) != 3 {
		t.Errorf("%+v", c)
	}
	full := s.Cone([]Lit{root}, nil)
	if full.Cuts != 0 || len(full.Latches) != 1 {
		t.Errorf("%+v", full)
	}
	lv := s.Leaves([]Lit{root}, nil)
	if !slices.Equal(lv.Inputs, full.Inputs) || !slices.Equal(lv.Latches, full.Latches) {
		t.Errorf("leaves %v of cone %+v", lv, full)
	}
}
