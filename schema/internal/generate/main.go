// Command generate writes the JSON Schemas of this library's files into the folder of package schema. It runs in its
// own source folder (go generate ./schema starts it there), because it reads the doc comments of the Go types.
package main

import (
	"fmt"
	"os"
)

// folder is that of package schema.
const folder = "../.."

func main() {
	if err := write(); err != nil {
		fmt.Fprintln(os.Stderr, "generate:", err)
		os.Exit(1)
	}
}

func write() error {
	for _, d := range documents() {
		text, err := d.schema()
		if err != nil {
			return fmt.Errorf("%s: %w", d.file, err)
		}
		if err := os.WriteFile(folder+"/"+d.file, text, 0o644); err != nil {
			return err
		}
	}
	return nil
}
