package rules

import (
	"slices"
	"strings"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// temporal is a condition over the steps of the interlock logic, as a rule states it. What its names mean depends on the
// machine, so it is compiled again for each.
type temporal struct {
	source source.Expression
	// reach is true for a state that must be reachable, false for a condition that must always hold.
	reach bool
}

// temporal checks always: or reach: as far as that can be done without a machine.
func (b *builder) temporal(k *kind, path, word string, src source.Expression) *temporal {
	if src.IsZero() {
		return nil
	}
	path = source.Join(path, word)
	if k.group == resultsGroup {
		b.problem(src.Position(), path, "a %s is a result and has no signals: %s: is for the machine, its zones, devices, drives and functions", k.name, word)
		return nil
	}
	c := b.compiler
	base, err := c.temporalEnv(nil, nil, nil)
	if err != nil {
		b.problem(src.Position(), path, "%s", err)
		return nil
	}
	parsed, issues := base.Parse(src.Text)
	if strings.TrimSpace(src.Text) == "" || issues.Err() != nil {
		b.errors(path, src.At, c.syntaxErrors(issues))
		return nil
	}
	names := map[string]bool{}
	free(parsed.NativeRep().Expr(), nil, names)
	variables := map[string]*types.Type{}
	for name := range names {
		variables[name] = types.DynType // a name of the machine's logic: its type is known later
	}
	c.objectVariables(k, variables)
	missed := map[string][]string{}
	env, err := c.temporalEnv(nil, noteIn(missed), variables)
	if err != nil {
		b.problem(src.Position(), path, "%s", err)
		return nil
	}
	checked, issues := env.Check(parsed)
	if issues.Err() != nil {
		b.errors(path, src.At, c.temporalErrors(k, issues, nil, missed))
		return nil
	}
	if t := checked.OutputType(); t.Kind() != types.BoolKind && t.Kind() != types.DynKind {
		b.problem(src.Position(), path, "this is a %s, wanted a condition that is true or false", c.typeName(t.String()))
		return nil
	}
	return &temporal{source: src, reach: word == "reach"}
}

// objectVariables adds the object of a rule and the machine.
func (c *compiler) objectVariables(k *kind, variables map[string]*types.Type) {
	if k != nil {
		variables[k.name] = k.cel
	}
	variables[machineName] = c.language.kinds[machineName].cel
}

// logicCompiler compiles the expressions of one machine's logic, and temporal rules about that machine.
type logicCompiler struct {
	*compiler
	logic *model.Logic
	words map[string]map[string]*types.Type
	names map[string]*types.Type
	// owners are the devices, zones, drives, functions and connections by name.
	owners map[string]owner
	envs   map[string]*cel.Env // by kind; "" for the logic itself
}

// owner is an object that has words.
type owner struct {
	kind    string
	subject any
}

// newLogicCompiler finds the signals of a machine.
func newLogicCompiler(m *model.Machine) (*logicCompiler, source.Problems, error) {
	base, err := newCompiler()
	if err != nil {
		return nil, nil, err
	}
	c := &logicCompiler{compiler: base, logic: m.Logic, words: map[string]map[string]*types.Type{}, names: map[string]*types.Type{},
		owners: map[string]owner{}, envs: map[string]*cel.Env{}}
	for _, k := range wordKinds() {
		c.words[k] = map[string]*types.Type{}
	}
	var problems source.Problems
	c.own(m)
	c.usualSignals()
	for _, d := range m.Devices {
		for _, signal := range signalsOf(d) {
			problems = append(problems, c.word("device", signal.name, signal.celType(), d.Origin)...)
		}
	}
	for _, in := range m.Logic.Inputs {
		c.names[in.Name] = celTypeOf(in.LogicType)
		problems = append(problems, c.freeName(in.Origin)...)
	}
	for _, v := range m.Logic.Values {
		if v.Owner == "" {
			c.names[v.Name] = celTypeOf(v.LogicType)
			problems = append(problems, c.freeName(v.Origin)...)
			continue
		}
		name, _, _ := strings.Cut(v.Name, ".")
		problems = append(problems, c.word(c.owners[name].kind, v.Word, celTypeOf(v.LogicType), v.Origin)...)
	}
	for name, o := range c.owners {
		c.names[name] = c.language.kinds[o.kind].cel
	}
	return c, problems, nil
}

// usualSignals are those of the built-in kinds of devices and the derived words: has() asks for them also where the machine has no such device.
func (c *logicCompiler) usualSignals() {
	words := c.words["device"]
	words["channel_1"], words["channel_2"] = types.BoolType, types.BoolType
	for _, w := range derivedWords() {
		c.words[w.kind][w.name] = types.BoolType
	}
	words["accepted"] = types.BoolType
	c.words["safety_function"][suspendedWord], c.words["safety_function"]["tested"] = types.BoolType, types.BoolType
	c.words["zone"]["armed"], c.words["zone"]["in_order"] = types.BoolType, types.BoolType
	for _, k := range model.BuiltinKinds() {
		for _, name := range slices.Concat(k.Gives, k.Takes) {
			words[name] = types.BoolType
		}
	}
	words["position"] = types.StringType
	words["escape"] = types.BoolType
	for kind, names := range failureWords() { // for suggestions
		for _, name := range names {
			c.words[kind][name] = types.BoolType
		}
	}
}

// own lists the objects with words. A name that two of them share means none.
func (c *logicCompiler) own(m *model.Machine) {
	twice := map[string]bool{}
	add := func(name, kind string, subject any) {
		if _, taken := c.owners[name]; taken {
			twice[name] = true
		}
		c.owners[name] = owner{kind, subject}
	}
	for _, d := range m.Devices {
		add(d.Name, "device", d)
	}
	for _, z := range m.Zones {
		add(z.Name, "zone", z)
	}
	for _, d := range m.Drives {
		add(d.Name, "drive", d)
	}
	for _, f := range m.Functions {
		add(f.Name, "safety_function", f)
	}
	for name := range twice {
		delete(c.owners, name)
	}
	if m.Network == nil {
		return
	}
	for _, con := range m.Network.Connections {
		if _, taken := c.owners[con.Name]; !taken && !twice[con.Name] { // the other keeps the name
			add(con.Name, "connection", con)
		}
	}
}

// word notes a word of a kind.
func (c *logicCompiler) word(kind, word string, t *types.Type, at model.Origin) source.Problems {
	problem := func(text string) source.Problems {
		return source.Problems{{Position: at.Position, Path: at.Path, Text: text}}
	}
	k := c.language.kinds[kind]
	if _, field := k.index[word]; field {
		return problem(word + " is a field of every " + kind + " in the rule language, so no signal can have that name; choose another")
	}
	if word == demandedWord && kind == "safety_function" {
		return problem(word + " of a safety function is made of its devices, so no value can have that name; choose another")
	}
	if other, known := c.words[kind][word]; known && other != t {
		return problem(word + " is a " + c.typeName(t.String()) + " here and a " + c.typeName(other.String()) + " at another " + kind + "; give one of them another name")
	}
	c.words[kind][word] = t
	return nil
}

// freeName refuses the names of the objects about which temporal rules are. Other kinds hide a signal of their name only in
// rules for the kind, where a condition about an object is a mistake that is found.
func (c *logicCompiler) freeName(o model.Origin) source.Problems {
	if o.Name != machineName && !slices.Contains(wordKinds(), o.Name) {
		return nil
	}
	return source.Problems{{Position: o.Position, Path: o.Path, Text: "in rules the name " + o.Name + " means an object; give the signal or value another name, such as " + o.Name + "_1"}}
}

// env is the environment of the logic, or of rules for a kind.
func (c *logicCompiler) env(k *kind, changed map[string]*types.Type) (*cel.Env, error) {
	key := ""
	if k != nil {
		key = k.name
	}
	if e, ok := c.envs[key]; ok && changed == nil {
		return e, nil
	}
	variables := map[string]*types.Type{}
	for name, t := range c.names {
		variables[name] = t
	}
	c.objectVariables(k, variables)
	for name, t := range changed {
		variables[name] = t
	}
	e, err := c.temporalEnv(c.words, nil, variables)
	if err == nil && changed == nil {
		c.envs[key] = e
	}
	return e, err
}

// compile checks an expression of the logic (k is nil) or of a rule for a kind against the machine's signals.
func (c *logicCompiler) compile(k *kind, src source.Expression, changed map[string]*types.Type) (*expression, []exprError) {
	env, err := c.env(k, changed)
	if err != nil {
		return nil, []exprError{{line: 1, text: err.Error()}}
	}
	parsed, issues := env.Parse(src.Text)
	if issues.Err() != nil {
		return nil, c.syntaxErrors(issues)
	}
	if errs := refuseStructs(parsed.NativeRep()); len(errs) > 0 {
		return nil, errs
	}
	checked, issues := env.Check(parsed)
	if issues.Err() != nil {
		return nil, c.temporalErrors(k, issues, c, c.missed(k, parsed))
	}
	e := &expression{kind: k, source: whole(src), env: env, ast: checked.NativeRep(), parts: &parts{language: c.language, programs: map[int64]cel.Program{}}}
	if errs := refuseDyn(e.ast); len(errs) > 0 {
		return nil, errs
	}
	if errs := c.constantErrors(e); len(errs) > 0 {
		return nil, errs
	}
	return e, nil
}

// missed lists the kinds on which a field was asked for in vain, by field.
func (c *logicCompiler) missed(k *kind, parsed *cel.Ast) map[string][]string {
	missed := map[string][]string{}
	variables := map[string]*types.Type{}
	for name, t := range c.names {
		variables[name] = t
	}
	c.objectVariables(k, variables)
	env, err := c.temporalEnv(c.words, noteIn(missed), variables)
	if err == nil {
		env.Check(parsed)
	}
	return missed
}

// noteIn notes the kinds on which a field was asked for in vain.
func noteIn(missed map[string][]string) func(kind, field string) {
	return func(kind, field string) {
		if !slices.Contains(missed[field], kind) {
			missed[field] = append(missed[field], kind)
		}
	}
}

// temporalErrors words the errors of the type check of logic and temporal rules.
func (c *compiler) temporalErrors(k *kind, issues *cel.Issues, l *logicCompiler, missed map[string][]string) []exprError {
	var errs []exprError
	for _, err := range issues.Errors() {
		text := ""
		if m, ok := inside(err.Message, "undeclared reference to '", "'"); ok {
			text = m[0] + " is not known here" + c.suggestion(l, k, m[0])
		} else if m, ok := inside(err.Message, "undefined field '", "'"); ok && len(missed[m[0]]) == 1 && l != nil && slices.Contains(wordKinds(), missed[m[0]][0]) {
			kind := missed[m[0]][0]
			words := make([]string, 0, len(l.words[kind]))
			for word := range l.words[kind] {
				words = append(words, word)
			}
			text = "no " + kind + " of the machine has a signal or word " + m[0]
			text += nearestOf(m[0], words)
		} else {
			text = c.typeText(k, err, missed)
		}
		errs = append(errs, located(err, text))
	}
	return sorted(errs)
}

// suggestion is the nearest name of the logic or of a function.
func (c *compiler) suggestion(l *logicCompiler, k *kind, name string) string {
	var names, functions []string
	for _, f := range slices.Concat(temporalFunctions(c.language.quantities), c.language.functions) {
		if f.name == name {
			return ": it is a function, as in " + f.example
		}
		functions = append(functions, f.name)
	}
	if l != nil {
		for n := range l.names {
			names = append(names, n)
		}
	}
	if k != nil {
		names = append(names, k.name)
	}
	if near, ok := source.Nearest(name, append(slices.Sorted(slices.Values(names)), functions...)); ok {
		return "; did you mean " + near + "?"
	}
	return nearestOf(name, names)
}

// deviceSignal is one signal of a device.
type deviceSignal struct {
	name string
	// words are the positions of a selector; nil for a signal that is true or false.
	words []string
	// taken is true for a signal that the device takes.
	taken bool
	// onDemand is true for a signal that is true when the device demands its safety function.
	onDemand bool
	// why says why the signal can't be used; empty when it can.
	why string
}

func (s deviceSignal) celType() *types.Type {
	if s.name == "position" && (s.words != nil || s.why != "") {
		return types.StringType
	}
	return types.BoolType
}

// signalsOf lists the signals of a device: those of its kind, and its channels.
func signalsOf(d *model.Device) []deviceSignal {
	var out []deviceSignal
	for _, name := range d.Gives() {
		s := deviceSignal{name: name, onDemand: slices.Contains(d.Type.Kind.TrueOnDemand, name)}
		if d.Type.Kind.Name == "mode-selector" && name == "position" {
			if s.words = d.Type.Positions; len(s.words) == 0 {
				s.why = "the type " + d.Type.Name + " does not state its positions"
			}
		}
		out = append(out, s)
	}
	if d.Type.Channels == 2 {
		out = append(out, deviceSignal{name: "channel_1"}, deviceSignal{name: "channel_2"})
	}
	for _, name := range d.Takes() {
		out = append(out, deviceSignal{name: name, taken: true})
	}
	return out
}

// celTypeOf is the type of a signal or value in the rule language.
func celTypeOf(t model.LogicType) *types.Type {
	switch {
	case t.Words != nil:
		return types.StringType
	case t.Number:
		return types.IntType
	}
	return types.BoolType
}

// useWords adds the fields that an expression reads, as [expression.use] does, without the words.
func (e *expression) useWords(used usedFields, l *language) {
	if e == nil {
		return // it has a mistake
	}
	for _, x := range selects(e.ast.Expr()) {
		s := x.AsSelect()
		k, ok := l.kindOf(e.ast.GetType(s.Operand().ID()).TypeName())
		if !ok {
			continue
		}
		i, field := k.index[s.FieldName()]
		if !field {
			continue
		}
		if used[k.name] == nil {
			used[k.name] = map[int]bool{}
		}
		used[k.name][i] = true
	}
}

// speaksOfFailures tells whether an expression reads the signals of ports or connections.
func (e *expression) speaksOfFailures(l *language) bool {
	if e == nil {
		return false // it has a mistake
	}
	words := failureWords()
	for _, x := range selects(e.ast.Expr()) {
		s := x.AsSelect()
		k, ok := l.kindOf(e.ast.GetType(s.Operand().ID()).TypeName())
		if ok && slices.Contains(words[k.name], s.FieldName()) {
			return true
		}
	}
	return false
}
