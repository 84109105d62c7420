package rules

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"reflect"
	"slices"
	"strings"

	"github.com/google/cel-go/common/types"

	"github.com/guardwright/guardwright/model/source"
)

// Ruleset is a compiled rule file. It is not changed after [Parse] or [Load] returns it and may be used from several
// goroutines at once.
type Ruleset struct {
	// Name of the file.
	Name string
	// Pack is the title, About the text about it.
	Pack, About string
	rules       []*Rule
	used        usedFields
	fsys        fs.FS // for the machine files of cases; nil after Parse
}

// Rules lists the rules in the order of the file.
func (s *Ruleset) Rules() []*Rule { return slices.Clone(s.rules) }

// Rule is one compiled rule.
type Rule struct {
	// ID is unique among the rule sets of a check.
	ID string
	// For is the kind of object that the rule is for.
	For string
	// Pack is the title of the rule's file.
	Pack string
	// About says what the rule asks for.
	About    string
	Severity Severity
	// Source is where the rule comes from: standard, edition and clause.
	Source string
	// When, Require, Always and Reach are the conditions as they are written; When is empty when the rule applies always,
	// and of the others one is not.
	When, Require, Always, Reach string
	// Position is the rule's place in its file.
	Position source.Position
	// Cases is the number of the rule's own test cases.
	Cases int

	kind          *kind
	when, require *expression
	temporal      *temporal // of always: or reach:
	say, hint     *template
	related       []*expression
	at            string
	cases         []placedCase
}

// Load reads and compiles a rule file. The error is a [source.Problems] with every problem of the file.
func Load(fsys fs.FS, name string) (*Ruleset, error) {
	data, err := source.ReadFile(fsys, name, source.Limits{})
	if err != nil {
		var p source.Problem
		if errors.As(err, &p) {
			return nil, source.Problems{p}
		}
		return nil, source.Problems{{Position: source.Position{File: name}, Text: err.Error()}}
	}
	s, err := Parse(name, data)
	if err != nil {
		return nil, err
	}
	s.fsys = fsys
	return s, nil
}

// Parse compiles a rule file that was read already; name is used in positions. The error is a [source.Problems] with
// every problem of the file, in the file's order.
func Parse(name string, data []byte) (*Ruleset, error) {
	file, problems := source.Parse(name, data, source.Limits{})
	if file == nil {
		return nil, problems
	}
	var f File
	problems = append(problems, file.Decode(&f)...)
	if f.Format > Format {
		// A newer format means other words: what else could be said of the file would only confuse.
		return nil, source.Problems{{Position: file.Position("format"), Path: "format", Text: fmt.Sprintf(
			"found format %d, and this version reads up to %d: use a newer version of the library", f.Format, Format)}}
	}
	if f.Format < 0 {
		problems = append(problems, source.Problem{Position: file.Position("format"), Path: "format", Text: fmt.Sprintf("found format %d, wanted 1", f.Format)})
	}
	c, err := newCompiler()
	if err != nil {
		return nil, err
	}
	b := &builder{compiler: c, file: file, set: &Ruleset{Name: name, Pack: f.Pack, About: f.About, used: usedFields{}}, problems: problems}
	for id, spec := range f.Rules {
		b.rule(id, spec)
	}
	if err := b.problems.Err(); err != nil {
		return nil, err
	}
	slices.SortFunc(b.set.rules, func(x, y *Rule) int {
		return cmp.Or(x.Position.Compare(y.Position), cmp.Compare(x.ID, y.ID))
	})
	return b.set, nil
}

// builder compiles the rules of one file.
type builder struct {
	compiler *compiler
	file     *source.File
	set      *Ruleset
	problems source.Problems
}

func (b *builder) problem(at source.Position, path, format string, args ...any) {
	b.problems = append(b.problems, source.Problem{Position: at, Path: path, Text: fmt.Sprintf(format, args...)})
}

// rule compiles one rule, or notes all that is wrong with it.
func (b *builder) rule(id string, spec RuleSpec) {
	path := source.Join("rules", id)
	at := func(key string) (source.Position, string) {
		p := source.Join(path, key)
		return b.file.Position(p), p
	}
	if !isKebab(id) {
		b.problem(b.file.Position(path), path, "a rule's id is in lower case with hyphens, such as %s", kebab(id))
	}
	b.oneDemand(path, spec)
	if spec.Say.IsZero() {
		b.problem(b.file.Position(path), path, "say: is missing: the message for an object that breaks the rule")
	}
	k := b.kind(spec.For, at)
	if k == nil {
		return
	}
	r := &Rule{ID: id, For: k.name, Pack: b.set.Pack, About: spec.About, Severity: spec.Severity, Source: spec.Source,
		When: spec.When.Text, Require: spec.Require.Text, Always: spec.Always.Text, Reach: spec.Reach.Text, Position: b.file.Position(path), Cases: len(spec.Cases),
		kind: k, at: spec.At, cases: b.placeCases(path, spec.Cases)}
	b.checkAt(k, path, spec.At)
	r.when = b.condition(k, path, "when", spec.When)
	r.require = b.condition(k, path, "require", spec.Require)
	r.temporal = b.temporal(k, path, "always", spec.Always)
	if r.temporal == nil {
		r.temporal = b.temporal(k, path, "reach", spec.Reach)
	}
	r.say = b.message(k, path, "say", spec.Say)
	r.hint = b.message(k, path, "hint", spec.Hint)
	for i, e := range spec.Related {
		r.related = append(r.related, b.relatedTo(k, source.Join(path, "related", fmt.Sprint(i)), e))
	}
	b.set.rules = append(b.set.rules, r)
}

func (b *builder) kind(name string, at func(string) (source.Position, string)) *kind {
	if name == "" {
		return nil // reported as missing
	}
	k, known := b.compiler.language.kinds[name]
	if known && k.all != nil {
		return k
	}
	position, path := at("for")
	var names []string
	for _, k := range b.compiler.language.order {
		if k.all != nil {
			names = append(names, k.name)
		}
	}
	slices.Sort(names)
	text := fmt.Sprintf("found %q, which is no kind of object", name)
	if known {
		text = fmt.Sprintf("a rule cannot be for %s: such objects are reached from others", name)
	}
	if near, ok := source.Nearest(name, names); ok {
		text += fmt.Sprintf("; did you mean %q?", near)
	} else {
		text += "; there are " + strings.Join(names, ", ")
	}
	b.problem(position, path, "%s", text)
	return nil
}

// checkAt makes sure that at: names an entry that objects of the kind can have.
func (b *builder) checkAt(k *kind, path, at string) {
	if at == "" {
		return
	}
	path = source.Join(path, "at")
	if k.spec == nil {
		b.problem(b.file.Position(path), path, "a %s has no entry of its own in the machine file, so at: points at nothing", k.name)
		return
	}
	t := k.spec
	for word := range strings.SplitSeq(at, ".") {
		names, next := entries(t)
		if _, any := next[""]; any { // a map or a list: any key
			t = next[""]
			continue
		}
		if next[word] == nil {
			text := fmt.Sprintf("at: names %s, but there is no entry %s", at, word)
			if near, ok := source.Nearest(word, names); ok {
				text += fmt.Sprintf("; did you mean %s?", near)
			} else if len(names) > 0 {
				text += "; there are " + strings.Join(names, ", ")
			}
			b.problem(b.file.Position(path), path, "%s", text)
			return
		}
		t = next[word]
	}
}

// entries are the entries of a Go type in a machine file with their types; a map or list has one without a name.
func entries(t reflect.Type) (names []string, types map[string]reflect.Type) {
	types = map[string]reflect.Type{}
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch t.Kind() {
	case reflect.Map, reflect.Slice:
		types[""] = t.Elem()
	case reflect.Struct:
		for i := range t.NumField() {
			f := t.Field(i)
			name, options, _ := strings.Cut(f.Tag.Get("yaml"), ",")
			if f.Anonymous && (name == "" || strings.Contains(options, "inline")) {
				inner, innerTypes := entries(f.Type)
				names = append(names, inner...)
				maps.Copy(types, innerTypes)
			} else if name != "" && name != "-" {
				names = append(names, name)
				types[name] = f.Type
			}
		}
	}
	return names, types
}

// oneDemand makes sure that a rule demands one thing: what must be true, what must always hold or what must be reachable.
func (b *builder) oneDemand(path string, spec RuleSpec) {
	n := 0
	for _, e := range []source.Expression{spec.Require, spec.Always, spec.Reach} {
		if !e.IsZero() {
			n++
		}
	}
	switch {
	case n == 0:
		b.problem(b.file.Position(path), path, "require: is missing: the condition that must be true (or always:, reach: about the interlock logic)")
	case n > 1:
		b.problem(b.file.Position(path), path, "a rule has one of require:, always: and reach:; write a rule for each")
	}
}

// errors places what is wrong in an expression.
func (b *builder) errors(path string, at func(line, column int) source.Position, errs []exprError) {
	for _, e := range errs {
		b.problem(at(e.line, e.column), path, "%s", e.text)
	}
}

// condition compiles when or require.
func (b *builder) condition(k *kind, path, word string, src source.Expression) *expression {
	if src.IsZero() {
		return nil
	}
	path = source.Join(path, word)
	e, errs := b.compiler.compile(k, whole(src))
	b.errors(path, src.At, errs)
	if e == nil {
		return nil
	}
	if t := e.resultType(); t.Kind() != types.BoolKind {
		b.problem(src.Position(), path, "this is a %s, wanted a condition that is true or false", b.compiler.typeName(t.String()))
		return nil
	}
	b.lint(k, path, word, src, e)
	e.use(b.set.used, b.compiler.language)
	return e
}

// lint finds conditions that can never make a difference.
func (b *builder) lint(k *kind, path, word string, src source.Expression, e *expression) {
	if value, always := b.compiler.constant(e); always {
		switch {
		case word == "when" && value:
			b.problem(src.Position(), path, "this is always true: leave when: out")
		case word == "when":
			b.problem(src.Position(), path, "this is never true, so the rule would never apply")
		case value:
			b.problem(src.Position(), path, "this is always true, so the rule could never find anything")
		default:
			b.problem(src.Position(), path, "this is never true, so the rule would find fault with every %s", k.name)
		}
		return
	}
	if word == "require" && !e.names()[k.name] {
		b.problem(src.Position(), path, "this does not depend on the %s: write for: machine, or name a field of %s", k.name, k.name)
	}
}

func (b *builder) message(k *kind, path, word string, src source.Expression) *template {
	if src.IsZero() {
		return nil
	}
	t, errs := b.compiler.template(k, src)
	b.errors(source.Join(path, word), src.At, errs)
	for _, p := range t.parts {
		if p.expression != nil {
			p.expression.use(b.set.used, b.compiler.language)
		}
	}
	return t
}

// relatedTo compiles an expression that names further objects to point at.
func (b *builder) relatedTo(k *kind, path string, src source.Expression) *expression {
	e, errs := b.compiler.compile(k, whole(src))
	b.errors(path, src.At, errs)
	if e == nil {
		return nil
	}
	t := e.resultType()
	if t.Kind() == types.ListKind {
		t = t.Parameters()[0]
	}
	if rk, ok := b.compiler.language.kindOf(t.TypeName()); !ok || rk.origin == nil {
		b.problem(src.Position(), path, "this is a %s, wanted an object that has a place in the machine file, or a list of them", b.compiler.typeName(e.resultType().String()))
		return nil
	}
	e.use(b.set.used, b.compiler.language)
	return e
}

// isKebab tells whether an id is in lower case with hyphens.
func isKebab(id string) bool { return id != "" && kebab(id) == id && id[0] >= 'a' && id[0] <= 'z' }

// kebab is the nearest right spelling of an id.
func kebab(id string) string {
	var b strings.Builder
	for i, r := range id {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case r >= 'A' && r <= 'Z':
			if i > 0 {
				b.WriteByte('-')
			}
			b.WriteRune(r - 'A' + 'a')
		default:
			b.WriteByte('-')
		}
	}
	words := strings.FieldsFunc(b.String(), func(r rune) bool { return r == '-' })
	if len(words) == 0 {
		return "port-current-limit"
	}
	return strings.Join(words, "-")
}
