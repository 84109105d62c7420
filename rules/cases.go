package rules

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
	"time"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// CaseResult is the outcome of one test case of a rule.
type CaseResult struct {
	Rule *Rule
	// Number counts the cases of a rule from 1; About is what the case shows.
	Number int
	About  string
	// Position of the case in the rule file.
	Position source.Position
	// Failures say in sentences what is not as expected; none: the case passed.
	Failures []string
	// Result is what the rule alone said about the machine; nil when that could not be asked.
	Result *Result
}

// Passed reports whether everything was as expected.
func (c CaseResult) Passed() bool { return len(c.Failures) == 0 }

// String is the case in one line, or a line for each failure.
func (c CaseResult) String() string {
	name := fmt.Sprintf("%s: rule %s, case %d", c.Position, c.Rule.ID, c.Number)
	if c.About != "" {
		name += " (" + c.About + ")"
	}
	if c.Passed() {
		return name + ": passed"
	}
	return name + ": " + strings.Join(c.Failures, "\n"+name+": ")
}

// placedCase is a case with its place in the rule file.
type placedCase struct {
	CaseSpec
	at source.Position
}

// placeCases notes where the cases of a rule stand, and finds mistakes in them before they are run.
func (b *builder) placeCases(path string, cases []CaseSpec) []placedCase {
	var placed []placedCase
	for i, c := range cases {
		at := source.Join(path, "cases", fmt.Sprint(i))
		if (c.File == "") == c.Machine.IsZero() {
			b.problem(b.file.Position(at), at, "a case has either file: (a machine file beside the rule file) or machine: (the machine as a text)")
		}
		if c.Replace != nil && c.File == "" {
			b.problem(b.file.Position(at), at, "replace: changes the machine of file:, and there is no file:")
		}
		if len(c.Says) > 0 && len(c.Finds) == 0 {
			b.problem(b.file.Position(at), at, "says: wants messages, but finds: expects no finding")
		}
		placed = append(placed, placedCase{c, b.file.Position(at)})
	}
	return placed
}

// TestCases runs the test cases that the rules of a set carry, each rule over its own machines. A case fails when an
// expected finding is missing, when there is one that is not expected, and likewise for objects at which the rule is
// not decidable. The results stand in the order of the file. The error says that the context ended.
//
// Machine files of cases are looked for beside the rule file, so they need a set that came from [Load].
func TestCases(ctx context.Context, s *Ruleset) ([]CaseResult, error) {
	var out []CaseResult
	for _, r := range s.rules {
		for i, c := range r.cases {
			result := CaseResult{Rule: r, Number: i + 1, About: c.About, Position: c.at}
			if err := s.runCase(ctx, &result, c.CaseSpec); err != nil {
				return nil, err
			}
			out = append(out, result)
		}
	}
	return out, nil
}

// runCase fills in the outcome of a case. The error says that the context ended.
func (s *Ruleset) runCase(ctx context.Context, out *CaseResult, c CaseSpec) error {
	m, err := s.caseMachine(c)
	if err != nil {
		out.Failures = []string{"the machine of the case has problems: " + err.Error()}
		return nil
	}
	got, err := Check(ctx, m, &Ruleset{Name: s.Name, Pack: s.Pack, rules: []*Rule{out.Rule}, used: s.used})
	if err != nil {
		if ctx.Err() != nil {
			return err
		}
		out.Failures = []string{err.Error()}
		return nil
	}
	out.Failures, out.Result = c.compare(got), got
	return nil
}

// compare says what is not as expected.
func (c CaseSpec) compare(got *Result) []string {
	var failures, found, undecided, messages []string
	for _, f := range got.Findings {
		found = append(found, f.Path)
		messages = append(messages, f.Summary)
	}
	for _, u := range got.Unanswered {
		if !u.Cause.isMistake() {
			undecided = append(undecided, u.Path)
		} else {
			failures = append(failures, u.String())
		}
	}
	failures = append(failures, differences("finding", c.Finds, found)...)
	failures = append(failures, differences("not decidable", c.Undecided, undecided)...)
	for _, want := range c.Says {
		if !slices.ContainsFunc(messages, func(m string) bool { return strings.Contains(m, want) }) {
			failures = append(failures, fmt.Sprintf("no message says %q; found %q", want, messages))
		}
	}
	return failures
}

// differences compares two lists of paths, whatever their order.
func differences(what string, want, got []string) []string {
	var out []string
	left := slices.Clone(got)
	for _, w := range want {
		if i := slices.Index(left, w); i >= 0 {
			left = slices.Delete(left, i, i+1)
			continue
		}
		out = append(out, fmt.Sprintf("missing: %s at %s", what, w))
	}
	for _, l := range left {
		out = append(out, fmt.Sprintf("not expected: %s at %s", what, l))
	}
	return out
}

// caseMachine loads the machine of a case. Problems of a machine that stands in the rule file point there.
func (s *Ruleset) caseMachine(c CaseSpec) (*model.Machine, error) {
	if c.Machine.IsZero() && s.fsys == nil {
		return nil, errors.New("the rule file was parsed without its folder, so file: cannot be found; use Load")
	}
	return c.Load(s.fsys, path.Dir(s.Name))
}

// Load loads the machine of a case of a rule file that lies in the folder.
func (c CaseSpec) Load(fsys fs.FS, folder string) (*model.Machine, error) {
	if c.Machine.IsZero() {
		return c.loadFile(fsys, path.Join(folder, c.File))
	}
	name := path.Join(folder, "machine-of-the-case.yaml")
	m, err := model.Load(caseFS{base: fsys, name: name, text: []byte(c.Machine.Text)}, name)
	var problems source.Problems
	if errors.As(err, &problems) {
		moved := slices.Clone(problems)
		for i, p := range moved {
			if p.Position.File == name && p.Position.Line > 0 {
				moved[i].Position = c.Machine.At(p.Position.Line, p.Position.Column-1)
			}
		}
		return nil, moved
	}
	return m, err
}

// loadFile loads a machine file after the replacements of the case. Its problems then stand in a text that is no file, and
// the name says so.
func (c CaseSpec) loadFile(fsys fs.FS, name string) (*model.Machine, error) {
	if len(c.Replace) == 0 {
		return model.Load(fsys, name)
	}
	text, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil, err
	}
	replaced, err := replaceTexts(string(text), c.Replace)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	name += " after replace"
	return model.Load(caseFS{base: fsys, name: name, text: []byte(replaced)}, name)
}

// replaceTexts replaces texts that each occur once in the original; what one puts in is not looked at by another.
func replaceTexts(text string, replace map[string]string) (string, error) {
	places := map[int]string{}
	for _, old := range slices.Sorted(maps.Keys(replace)) {
		if n := strings.Count(text, old); old == "" || n != 1 {
			return "", fmt.Errorf("replace: wants texts that occur exactly once, and %q occurs %d times", old, n)
		}
		at := strings.Index(text, old)
		if other, taken := places[at]; taken {
			return "", fmt.Errorf("replace: %q and %q overlap; replace them in one", other, old)
		}
		places[at] = old
	}
	var out strings.Builder
	end, last := 0, ""
	for _, at := range slices.Sorted(maps.Keys(places)) {
		old := places[at]
		if at < end {
			return "", fmt.Errorf("replace: %q and %q overlap; replace them in one", last, old)
		}
		out.WriteString(text[end:at] + replace[old])
		end, last = at+len(old), old
	}
	return out.String() + text[end:], nil
}

// caseFS is a folder with one more file in it: the machine of a case.
type caseFS struct {
	base fs.FS
	name string
	text []byte
}

// Open opens the machine of the case, or a file of the folder.
func (c caseFS) Open(name string) (fs.File, error) {
	if name == c.name {
		return &caseFile{Reader: bytes.NewReader(c.text), caseFS: c}, nil
	}
	if c.base == nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return c.base.Open(name)
}

// caseFile is the open machine of a case, and its own description.
type caseFile struct {
	*bytes.Reader
	caseFS
}

var (
	_ fs.File     = (*caseFile)(nil)
	_ fs.FileInfo = (*caseFile)(nil)
	_ io.Reader   = (*caseFile)(nil)
)

func (f *caseFile) Close() error               { return nil }
func (f *caseFile) Stat() (fs.FileInfo, error) { return f, nil }
func (f *caseFile) Name() string               { return path.Base(f.name) }
func (f *caseFile) Size() int64                { return int64(len(f.text)) }
func (f *caseFile) Mode() fs.FileMode          { return 0o444 }
func (f *caseFile) ModTime() time.Time         { return time.Time{} }
func (f *caseFile) IsDir() bool                { return false }
func (f *caseFile) Sys() any                   { return nil }
