// Package model holds the described machine: what is installed, where, how it is wired and supplied.
//
// A machine is described either in a YAML file (see [Load]) or in Go, as a [Description] built from plain
// struct literals (see [Build]). Both give the same value: a [Machine], in which every name has become a
// pointer, every default is filled in and every structural error has been found. A Machine does not change
// any more: it may be shared between goroutines, and calc, rules and report read nothing else.
//
// # Shapes
//
//   - A type ending in Spec is a part of a description as it stands in the file: names are text.
//   - A type ending in Type is component data, as a data sheet gives it, used by name.
//   - The plain names (Module, Port, Device, Feed ...) are the resolved objects: names are pointers.
//
// # Absent is not zero
//
// A field that is a pointer is absent when nil; zero is then a legal value of its own. A field that is not a
// pointer is absent when it is zero, because zero would be impossible there (a cable without length).
//
// # Caution
//
// What this library computes supports, and does not replace, risk assessment, validation, the local codes and
// the judgement of a competent person. A description is only as good as the data sheets it was copied from.
package model
