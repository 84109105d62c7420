package rules

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/google/cel-go/common/types"

	"github.com/guardwright/guardwright/model"
)

// Words is the documentation of the rule language. It is made from the tables that the compiler and the evaluation
// use, so it cannot lag behind them.
type Words struct {
	Kinds      []KindWords
	Quantities []QuantityWords
	// Functions are those beyond CEL's own.
	Functions []FunctionWords
	// Temporal are the functions of the interlock logic and of always: and reach:.
	Temporal []FunctionWords
	// Laws are the products and quotients of different quantities, such as voltage * current = power.
	Laws []string
}

// KindWords describes a kind of object.
type KindWords struct {
	Name, About string
	// Group is the heading under which the kind stands.
	Group string
	// For is true when a rule can be for the kind; the object is then named by the kind's name.
	For    bool
	Fields []FieldWords
}

// FieldWords describes a field of a kind.
type FieldWords struct {
	Name, About string
	// Type is the type in the rule language: a quantity, a kind, text, truth value, number, or a list of one of them.
	Type string
	// Optional fields can be absent: has() tells.
	Optional bool
	// Computed fields are results, the others stand in the description.
	Computed bool
}

// QuantityWords describes a quantity.
type QuantityWords struct {
	Name string
	// Literals are the functions that make one from a number, such as A and mA.
	Literals []string
}

// FunctionWords describes a function.
type FunctionWords struct {
	Name, About, Example string
	// Signatures are the operands and the result, such as list(current).sum() -> current.
	Signatures []string
}

// Vocabulary returns the documentation of the rule language.
func Vocabulary() Words {
	l := newLanguage()
	var w Words
	for _, k := range l.order {
		words := KindWords{Name: k.name, About: k.about, Group: k.group, For: k.all != nil}
		for _, f := range k.fields {
			words.Fields = append(words.Fields, FieldWords{Name: f.name, About: f.about, Type: typeWords(f.cel), Optional: f.optional, Computed: f.computed})
		}
		w.Kinds = append(w.Kinds, words)
	}
	lits := literals(l.quantities)
	for _, q := range l.quantities.all() {
		words := QuantityWords{Name: q.name}
		for _, f := range lits {
			if f.operations[0].result == q.cel {
				words.Literals = append(words.Literals, f.name)
			}
		}
		w.Quantities = append(w.Quantities, words)
	}
	for _, f := range l.functions {
		words := FunctionWords{Name: f.name, About: f.about, Example: f.example}
		for _, o := range f.operations {
			words.Signatures = append(words.Signatures, signature(o))
		}
		w.Functions = append(w.Functions, words)
	}
	for _, f := range temporalFunctions(l.quantities) {
		words := FunctionWords{Name: f.name, About: f.about, Example: f.example}
		for _, o := range f.operations {
			words.Signatures = append(words.Signatures, signature(o))
		}
		w.Temporal = append(w.Temporal, words)
	}
	for _, p := range products(l.quantities) {
		w.Laws = append(w.Laws, fmt.Sprintf("%s * %s = %s", p.a.name, p.b.name, p.c.name))
	}
	w.Laws = append(w.Laws, "1 / duration = frequency", "duration * frequency = double",
		"temperature - temperature = temperature_difference", "temperature + temperature_difference = temperature",
		"quantity / same quantity = double", "quantity * ratio = quantity")
	return w
}

// typeWords is a type as the documentation names it.
func typeWords(t *types.Type) string {
	if t.Kind() == types.ListKind {
		return "list of " + typeWords(t.Parameters()[0])
	}
	return strings.TrimPrefix(t.TypeName(), typeMark)
}

func signature(o operation) string {
	args := make([]string, len(o.args))
	for i, a := range o.args {
		args[i] = typeWords(a)
	}
	if o.member {
		return fmt.Sprintf("(%s).%s(%s) -> %s", args[0], o.function, strings.Join(args[1:], ", "), typeWords(o.result))
	}
	return fmt.Sprintf("%s(%s) -> %s", o.function, strings.Join(args, ", "), typeWords(o.result))
}

// Markdown writes the documentation as a Markdown text.
func (w Words) Markdown() string {
	var b strings.Builder
	b.WriteString("# Words of the rule language\n\nMade from the program. Fields marked with ? can be absent: has() tells, and using an absent one makes the rule not decidable.\nFields marked with = are computed.\n")
	var groups []string
	for _, k := range w.Kinds {
		if !slices.Contains(groups, k.Group) {
			groups = append(groups, k.Group)
		}
	}
	for _, g := range groups {
		fmt.Fprintf(&b, "\n## %s\n", g)
		for _, k := range w.Kinds {
			if k.Group == g {
				k.markdown(&b)
			}
		}
	}
	w.quantitiesMarkdown(&b)
	w.functionsMarkdown(&b)
	w.temporalMarkdown(&b)
	return b.String()
}

func (k KindWords) markdown(b *strings.Builder) {
	use := "Reached from other objects."
	if k.For {
		use = "A rule can be `for: " + k.Name + "`."
	}
	fmt.Fprintf(b, "\n### %s\n\n%s %s\n\n| field | type | meaning |\n|---|---|---|\n", k.Name, k.About, use)
	for _, f := range k.Fields {
		mark := ""
		if f.Optional {
			mark += "?"
		}
		if f.Computed {
			mark += "="
		}
		fmt.Fprintf(b, "| `%s`%s | %s | %s |\n", f.Name, mark, f.Type, strings.ReplaceAll(f.About, "|", "\\|"))
	}
}

func (w Words) quantitiesMarkdown(b *strings.Builder) {
	b.WriteString("\n## Quantities\n\n| quantity | written as |\n|---|---|\n")
	for _, q := range w.Quantities {
		fmt.Fprintf(b, "| %s | `%s` |\n", q.Name, strings.Join(q.Literals, "(…)`, `")+"(…)")
	}
	b.WriteString("\nEach is compared with, added to and subtracted from its own kind, and multiplied or divided by a number (temperatures are only compared and subtracted). Beside that:\n\n")
	for _, l := range w.Laws {
		fmt.Fprintf(b, "- %s\n", l)
	}
}

func (w Words) temporalMarkdown(b *strings.Builder) {
	b.WriteString("\n## Interlock logic\n\nThe values and assumptions under logic: in a machine file, and always: and reach: of a rule, speak of signals cycle by cycle. " +
		"A signal is named by its device, as in g1.closed; a value by its name; a word of a zone, drive, safety function or connection as in cell.run, or zone.run in a rule for zones. " +
		"Beside the functions below there are !, &&, ||, ==, !=, <, <=, >, >=, + and - of bounded whole numbers, ? :, in, has of a signal, size, [a, b].min(), [a, b].max() and the loops over the machine's lists.\n\n" +
		"| function | meaning | example |\n|---|---|---|\n")
	for _, f := range w.Temporal {
		fmt.Fprintf(b, "| `%s` | %s | `%s` |\n", f.Name, f.About, f.Example)
	}
	b.WriteString("\n| kind of device | gives | takes |\n|---|---|---|\n")
	kinds := model.BuiltinKinds()
	for _, name := range slices.Sorted(maps.Keys(kinds)) {
		fmt.Fprintf(b, "| %s | %s | %s |\n", name, strings.Join(kinds[name].Gives, ", "), strings.Join(kinds[name].Takes, ", "))
	}
	b.WriteString("\nWords that are made of these signals, for the objects that have them:\n\n| word | of | true where |\n|---|---|---|\n")
	for _, word := range derivedWords() {
		fmt.Fprintf(b, "| %s | %s | %s |\n", word.name, word.kind, strings.TrimPrefix(word.about, "true where "))
	}
	b.WriteString("\nA device whose type has two channels gives channel_1 and channel_2 as well: true while the contact is closed, or the output on. " +
		"A device that demands a safety function takes accepted: the logic's word for taking it to be in order, where the logic evaluates the channels itself or wants a fault of the port acknowledged. " +
		"A guard lock whose type has an escape release gives escape, true while the release is actuated. A port gives fault and passivated, as in g1.port.fault, " +
		"a safety connection alive, as in con_1.alive.\n\n" +
		"Rules and assumptions speak of the world; the logic speaks of what it reads. Where the logic, an assumption or the rule itself speaks of fault, passivated or alive, " +
		"ports and connections fail at any time: while the port of a device is passivated, or the connection of its module is not alive, the logic reads its signals as false, " +
		"those that are true on a demand (pressed of an emergency stop, pulled, stop) as true, and a mode selector in none of its positions. What the logic gives to devices is taken to arrive all the same. " +
		"Other proofs take ports and connections for sound.\n\n" +
		"Assumptions that come from the kinds, unless the machine file states one of the same name or off: true for it under logic.assume:\n\n")
	for _, a := range kindAssumptions() {
		fmt.Fprintf(b, "- `%s`: %s.\n", a.name, a.says)
	}
}

func (w Words) functionsMarkdown(b *strings.Builder) {
	b.WriteString("\n## Functions\n\n| function | meaning | example |\n|---|---|---|\n")
	for _, f := range w.Functions {
		fmt.Fprintf(b, "| `%s` | %s | `%s` |\n", f.Name, f.About, f.Example)
	}
	b.WriteString("\nBeside them CEL's own: has, all, exists, exists_one, filter, map, size, in, contains, startsWith, endsWith, matches, int, double, string.\n")
}
