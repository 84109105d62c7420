package schema_test

import (
	"encoding/json"
	"fmt"

	"github.com/guardwright/guardwright/schema"
)

// Each schema says what it is for, and for which version of the format.
func ExampleMachine() {
	for _, text := range [][]byte{schema.Machine(), schema.Parts(), schema.Rules(), schema.Report()} {
		var s struct {
			Title string
			ID    string `json:"$id"`
		}
		if err := json.Unmarshal(text, &s); err != nil {
			fmt.Println(err)
		}
		fmt.Println(s.Title+":", s.ID)
	}
	// Output:
	// guardwright machine file: urn:guardwright:schema:machine:1
	// guardwright parts file: urn:guardwright:schema:parts:1
	// guardwright rule file: urn:guardwright:schema:rules:1
	// guardwright report: urn:guardwright:schema:report:1
}
