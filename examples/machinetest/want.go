package machinetest

import (
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
)

// want is one expectation in a file.
type want struct {
	position source.Position
	rule     string
	text     string // must occur in the message
	found    bool
}

// String is the expectation in one line that editors can jump from.
func (w *want) String() string {
	if w.text == "" {
		return fmt.Sprintf("%s: [%s]", w.position, w.rule)
	}
	return fmt.Sprintf("%s: %q [%s]", w.position, w.text, w.rule)
}

type wants []*want

// wants reads the expectations in the machine file and in all files in which a finding stands.
func (m *Machine) wants() (wants, error) {
	files := []string{m.file}
	for _, f := range m.Result.Findings {
		if f.Position.File != "" && !slices.Contains(files, f.Position.File) {
			files = append(files, f.Position.File)
		}
	}
	var out wants
	for _, name := range files {
		data, err := fs.ReadFile(m.fsys, name)
		if err != nil {
			return nil, err
		}
		for i, line := range strings.Split(string(data), "\n") {
			found, err := parse(line, source.Position{File: name, Line: i + 1, Column: 1})
			if err != nil {
				return nil, err
			}
			out = append(out, found...)
		}
	}
	return out, nil
}

// parse reads the expectations of one line: # want RULE "TEXT" RULE "TEXT" ..., the texts in Go's quotes.
func parse(line string, at source.Position) (wants, error) {
	_, rest, ok := strings.Cut(line, "# want ")
	if !ok {
		return nil, nil
	}
	var out wants
	for rest = strings.TrimSpace(rest); rest != ""; rest = strings.TrimSpace(rest) {
		if quoted, err := strconv.QuotedPrefix(rest); err == nil {
			if len(out) == 0 || out[len(out)-1].text != "" {
				return nil, fmt.Errorf("%s: found the text %s, wanted the id of a rule before it", at, quoted)
			}
			text, err := strconv.Unquote(quoted)
			if err != nil {
				return nil, fmt.Errorf("%s: %s: %w", at, quoted, err)
			}
			out[len(out)-1].text, rest = text, rest[len(quoted):]
			continue
		}
		rule, after, _ := strings.Cut(rest, " ")
		if strings.Contains(rule, `"`) {
			return nil, fmt.Errorf("%s: found %s, wanted the id of a rule or a text in quotes", at, rule)
		}
		out, rest = append(out, &want{position: at, rule: rule}), after
	}
	return out, nil
}

// take marks the expectation that a finding fulfils, and reports whether there is one.
func (ws wants) take(f rules.Finding) bool {
	for _, w := range ws {
		if !w.found && w.rule == f.Rule.ID && w.position.File == f.Position.File && w.position.Line == f.Position.Line &&
			strings.Contains(f.Summary, w.text) {
			w.found = true
			return true
		}
	}
	return false
}

// left are the expectations that no finding fulfilled.
func (ws wants) left() wants {
	return slices.DeleteFunc(slices.Clone(ws), func(w *want) bool { return w.found })
}
