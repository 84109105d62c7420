package schema

import _ "embed" // the schemas are files, so that editors can use them

//go:embed machine.schema.json
var machine string

//go:embed parts.schema.json
var parts string

//go:embed rules.schema.json
var rules string

//go:embed record.schema.json
var record string

//go:embed report.schema.json
var report string

// Machine returns the JSON Schema of machine files, in the format version 1.
func Machine() []byte { return []byte(machine) }

// Parts returns the JSON Schema of parts files, in the format version 1.
func Parts() []byte { return []byte(parts) }

// Rules returns the JSON Schema of rule files, in the format version 1.
func Rules() []byte { return []byte(rules) }

// Record returns the JSON Schema of mapping files, which say how a recorded trace is to be read, in the format version 1.
func Record() []byte { return []byte(record) }

// Report returns the JSON Schema of reports as package rules/report writes them in JSON, in the format version 1.
func Report() []byte { return []byte(report) }
