package network

import (
	"iter"
	"slices"

	"github.com/guardwright/guardwright/model"
)

// ModuleSet is a set of modules. The zero value is the empty set. It shares memory with other sets of the same result,
// so that a network with many single faults, each of which cuts off many modules, stays small.
type ModuleSet struct {
	// parts are runs of one list of all modules of a network, without overlap.
	parts [][]*model.Module
}

// Len returns the number of modules in the set.
func (s ModuleSet) Len() int {
	n := 0
	for _, part := range s.parts {
		n += len(part)
	}
	return n
}

// All yields the modules of the set, in an order that is the same in each run.
func (s ModuleSet) All() iter.Seq[*model.Module] {
	return func(yield func(*model.Module) bool) {
		for _, part := range s.parts {
			for _, m := range part {
				if !yield(m) {
					return
				}
			}
		}
	}
}

// Contains reports whether the module is in the set.
func (s ModuleSet) Contains(m *model.Module) bool {
	return slices.ContainsFunc(s.parts, func(part []*model.Module) bool { return slices.Contains(part, m) })
}
