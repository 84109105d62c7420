package report

import (
	"encoding/json"
	"fmt"
	"io"
)

// JSON writes the report as JSON, indented, with a line break at its end. With parts, only these are written, see
// [Report.Only].
func (r *Report) JSON(w io.Writer, parts ...Part) error {
	if len(parts) > 0 {
		r = r.Only(parts...)
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(r); err != nil {
		return fmt.Errorf("writing the report as JSON: %w", err)
	}
	return nil
}
