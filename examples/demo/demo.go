// Package demo holds the machine that the check command shows when it is given none: an invented tray washer with
// nine modules, two supplies and a few honest mistakes in it. Nothing in it is any real maker's.
package demo

import "embed"

// Machine is the name of the machine file in [Files].
const Machine = "machine.yaml"

//go:embed machine.yaml parts.yaml
var files embed.FS

// Files returns the machine file and its parts file.
func Files() embed.FS { return files }
