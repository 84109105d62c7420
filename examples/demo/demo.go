// Package demo holds the machine that the check command shows when it is given none: an invented tray washer with
// nine modules in a ring of CIP Safety, two supplies and a few honest mistakes in it; and a second machine, a case packer
// with PROFIsafe on a star of two lines; and a third, a pallet wrapper with Safety over EtherCAT on a star of two junctions with a
// line; and a fourth, two cells of which only the interlock logic is described. Nothing in them is any real maker's.
package demo

import "embed"

// Machine is the name of the machine file in [Files].
const Machine = "machine.yaml"

// Packer is the name of the second machine file in [Files].
const Packer = "packer.yaml"

// Wrapper is the name of the third machine file in [Files].
const Wrapper = "wrapper.yaml"

// Cells is the name of the fourth machine file in [Files].
const Cells = "cells.yaml"

//go:embed machine.yaml packer.yaml wrapper.yaml cells.yaml parts.yaml
var files embed.FS

// Files returns the machine files and their parts file.
func Files() embed.FS { return files }
