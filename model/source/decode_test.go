package source_test

import (
	"net/netip"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model/source"
)

// load parses and decodes; problems come as "line:column: path: text".
func load(t testing.TB, content string, into any) (*source.File, []string) {
	t.Helper()
	file, problems := source.Parse("f", []byte(content), source.Limits{})
	problems = append(problems, file.Decode(into)...).Sorted()
	var lines []string
	for _, p := range problems {
		lines = append(lines, strings.TrimPrefix(p.Error(), "f:"))
	}
	return file, lines
}

func TestDecodeGood(t *testing.T) {
	const content = `
machine: Tray washer, line 3   # plain text with a comma
version: -7
any: false
small: -128
count: 65535
modules:
  m1:
    about: an embedded field
    type: 010
    address: 10.8.3.21
    ports:
      1: {device: g1, cable: {length: 6 m, spare: 1 m, net: 10.0.0.0/8}, set: 1:30, active: true}
      2: {device: "on", set: 2024-01-01}
  m2: &template
    type: "io8"
  m3:
    <<: *template
    about: merged
  m4: *template
  m5: {<<: [*template, {type: other, about: second}], ports: {}}
devices:
  g1: {kind: guard_switch, about: x}
notes: [yes, 1.50, ~tilde, "null", '']
levels: {low: 1, high: 2}
nested: [[1, 2], [], [3]]
tree: {left: {name: l}, right: {right: {name: rr}}}
rules:
  - require: a < b
`
	var got plant
	_, problems := load(t, content, &got)
	require.Empty(t, problems)
	require.Equal(t, "a < b", got.Rules[0].Require.Text)
	got.Rules = nil

	no := false
	spare := length("1 m")
	want := plant{
		Machine: "Tray washer, line 3", Version: -7, Any: &no, Small: -128, Count: 65535,
		Modules: map[string]module{
			"m1": {
				about: about{"an embedded field"}, Type: "010", Address: netip.MustParseAddr("10.8.3.21"),
				Ports: map[string]port{
					"1": {Device: "g1", Cable: &cable{"6 m", &spare, netip.MustParsePrefix("10.0.0.0/8")}, Set: "1:30", Active: true},
					"2": {Device: "on", Set: "2024-01-01"},
				},
			},
			"m2": {Type: "io8"},
			"m3": {Type: "io8", about: about{"merged"}},
			"m4": {Type: "io8"},
			"m5": {Type: "io8", about: about{"second"}, Ports: map[string]port{}},
		},
		Devices: map[string]*device{"g1": {about{"x"}, "guard_switch"}},
		Notes:   []string{"yes", "1.50", "~tilde", "null", ""},
		Levels:  map[level]int{"low": 1, "high": 2},
		Nested:  [][]int{{1, 2}, {}, {3}},
		Tree:    &branch{Left: &branch{Name: "l"}, Right: &branch{Right: &branch{Name: "rr"}}},
	}
	require.Equal(t, want, got)
}

func TestDecodeJSON(t *testing.T) {
	var got plant
	_, problems := load(t, `{"machine":"a","modules":{"m1":{"type":"io8","ports":{"1":{"device":"g1","active":true}}}}}`, &got)
	require.Empty(t, problems)
	require.True(t, got.Modules["m1"].Ports["1"].Active)
}

func TestDecodeProblems(t *testing.T) {
	tests := []struct {
		name, content string
		want          []string
		reason        string
	}{
		{"unknown key", "machine: a\nmodules:\n  m1: {typ: io8}\n", []string{
			`3:3: modules.m1.type: required, but missing: wanted a text`,
			`3:8: modules.m1.typ: unknown key "typ": did you mean "type"? (known here: about, address, ports, type)`,
		}, "the key's place, the nearest spelling, all that serve; what is missing stands at the entry's key"},
		{"no near spelling", "machine: a\ndevices: {g1: {kind: estop, colour: red}}\n", []string{
			`2:29: devices.g1.colour: unknown key "colour": known here: about, kind`,
		}, "no guess where nothing is near"},
		{"duplicate key", "machine: a\nversion: 1\nmachine: b\n", []string{
			`3:1: machine: "machine" is given twice, first at f:1:1: remove one`,
		}, "both places"},
		{"duplicate key in a large mapping", "machine: a\nlevels: {low: 1, high: 2}\nmodules:\n  a: {type: x}\n  b: {type: x}\n  c: {type: x}\n  d: {type: x}\n  e: {type: x}\n  f: {type: x}\n  g: {type: x}\n  h: {type: x}\n  i: {type: x}\n  a: {type: x}\n", []string{
			`13:3: modules.a: "a" is given twice, first at f:4:3: remove one`,
		}, "the index finds what the comparison finds"},
		{"missing at the top", "version: 1\n", []string{
			`1:1: machine: required, but missing: wanted a text`,
		}, "the top has no key: its first character"},
		{"wrong shapes", "machine: [a]\nmodules: [m1]\nnotes: {a: b}\nrules: text\ntree: 5\n", []string{
			`1:10: machine: wanted a text, found a list`,
			`2:10: modules: wanted a mapping (name: value), found a list`,
			`3:8: notes: wanted a list, found a mapping`,
			`4:8: rules: wanted a list, found "text"`,
			`5:7: tree: wanted a mapping with left, name, right, found "5"`,
		}, "found and wanted, at the value"},
		{"nothing given", "machine:\nmodules: ~\nnotes: null\nversion:\nany:\ndevices: {g1: {kind: }}\nrules: [{require: }]\n", []string{
			`1:1: machine: nothing is given here: wanted a text (the word null in quotes), or leave the entry out`,
			`2:1: modules: nothing is given here: wanted a mapping (name: value) ({} for none), or leave the entry out`,
			`3:1: notes: nothing is given here: wanted a list ([] for none), or leave the entry out`,
			`4:1: version: nothing is given here: wanted a whole number, or leave the entry out`,
			`5:1: any: nothing is given here: wanted true or false, or leave the entry out`,
			`6:16: devices.g1.kind: nothing is given here: wanted one of estop, guard_switch, light_curtain (the word null in quotes), or leave the entry out`,
			`7:10: rules.0.require: nothing is given here: wanted an expression or a text (the word null in quotes), or leave the entry out`,
		}, "an empty value is most often a forgotten one"},
		{"truth values", "machine: a\nmodules: {m: {type: t, ports: {1: {device: d, active: yes}, 2: {device: d, active: OFF}, 3: {device: d, active: \"true\"}, 4: {device: d, active: maybe}, 5: {device: d, active: True}}}}\n", []string{
			`2:55: modules.m.ports.1.active: wanted true or false, found "yes": write true`,
			`2:84: modules.m.ports.2.active: wanted true or false, found "OFF": write false`,
			`2:113: modules.m.ports.3.active: wanted true or false without quotes, found the text "true"`,
			`2:145: modules.m.ports.4.active: wanted true or false, found "maybe"`,
			`2:176: modules.m.ports.5.active: wanted true or false, found "True": write true`,
		}, "YAML versions differ on yes and on"},
		{"numbers", "machine: a\nnested: [[010, 0x10, 1_000, 1e3, \"5\", 1.0, -0, '', 99999999999999999999, +5]]\nsmall: 128\ncount: -1\nversion: 5 V\n", []string{
			`2:11: nested.0.0: wanted a whole number without a zero in front, found "010"`,
			`2:16: nested.0.1: wanted a whole number in decimal digits, found "0x10"`,
			`2:22: nested.0.2: wanted a whole number in decimal digits, found "1_000"`,
			`2:29: nested.0.3: wanted a whole number in decimal digits, found "1e3"`,
			`2:34: nested.0.4: wanted a whole number without quotes, found the text "5"`,
			`2:39: nested.0.5: wanted a whole number in decimal digits, found "1.0"`,
			`2:44: nested.0.6: wanted a whole number without a zero in front, found "-0"`,
			`2:48: nested.0.7: wanted a whole number without quotes, found the text ""`,
			`2:52: nested.0.8: wanted a whole number from -9223372036854775808 to 9223372036854775807, found "99999999999999999999"`,
			`2:74: nested.0.9: wanted a whole number in decimal digits, found "+5"`,
			`3:8: small: wanted a whole number from -128 to 127, found "128"`,
			`4:8: count: wanted a whole number from 0 to 65535, found "-1"`,
			`5:10: version: wanted a whole number in decimal digits, found "5 V"`,
		}, "what YAML versions read differently is not read at all"},
		{"words", "machine: a\ndevices: {g1: {kind: guard-switch}, g2: {kind: robot}, g3: {kind: 5}}\nlevels: {lo: 1, high: 2}\n", []string{
			`2:22: devices.g1.kind: unknown word "guard-switch": did you mean "guard_switch"? (wanted one of estop, guard_switch, light_curtain)`,
			`2:48: devices.g2.kind: unknown word "robot": wanted one of estop, guard_switch, light_curtain`,
			`2:67: devices.g3.kind: unknown word "5": wanted one of estop, guard_switch, light_curtain`,
			`3:10: levels.lo: unknown word "lo": wanted one of low, high`,
		}, "an enumeration lists its words, also as keys"},
		{"quantities", "machine: a\nmodules:\n  m1:\n    type: x\n    address: 10.8.3.300\n    ports:\n      1:\n        device: d\n        cable: {length: 350, spare: {}}\n", []string{
			`5:14: modules.m1.address: ParseAddr("10.8.3.300"): IPv4 field has value >255`,
			`9:25: modules.m1.ports.1.cable.length: wanted a length with its unit, such as 6 m, found 350`,
			`9:37: modules.m1.ports.1.cable.spare: wanted one value (length), found a mapping`,
		}, "the type's own error, for a bare number too"},
		{"empty required text", "machine: ''\n", []string{
			`1:10: machine: wanted a text, found an empty text`,
		}, "a name of no characters is none"},
		{"keys", "machine: a\nmodules:\n  true: {type: x}\n  1.5: {type: x}\n  2024-01-01: {type: x}\n  null: {type: x}\n  [a]: {type: x}\n  ? {a: b}\n  : {type: x}\n  7: {type: x}\n  'true': {type: x}\n", []string{
			`3:3: modules: the key true is not read as a name: write it in quotes`,
			`4:3: modules: the key 1.5 is not read as a name: write it in quotes`,
			`5:3: modules: the key 2024-01-01 is not read as a name: write it in quotes`,
			`6:3: modules: a key is missing: write a name before the colon (null as a name in quotes)`,
			`7:3: modules: a key must be a name or a whole number, found a list`,
			`8:5: modules: a key must be a name or a whole number, found a mapping`,
		}, "whole numbers serve as names: ports are numbered"},
		{"tags", "machine: !!str a\nversion: !!int 5\nnotes: [!own b]\n", []string{
			`1:10: machine: the tag "!!str" is not used in these files: remove it`,
			`2:10: version: the tag "!!int" is not used in these files: remove it`,
			`3:9: notes.0: the tag "!own" is not used in these files: remove it`,
		}, "a tag would change what a text means"},
		{"merge", "machine: a\nmodules:\n  m1: {<<: 5, type: x}\n  m2: {<<: [{type: y}, z]}\n  m3: {<<: {typo: 1}, type: x}\n  m4: {<<: {}, type: x, <<: {}}\n", []string{
			`3:12: modules.m1.<<: << takes in the entries of a mapping (or of several: a list of them), found "5"`,
			`4:24: modules.m2.<<: << takes in the entries of a mapping (or of several: a list of them), found "z"`,
			`5:13: modules.m3.typo: unknown key "typo": did you mean "type"? (known here: about, address, ports, type)`,
			`6:25: modules.m4.<<: "<<" is given twice, first at f:6:8: remove one`,
		}, "a merged key stands where it is written"},
		{"one mistake once", "machine: a\nmodules:\n  m1: &m {type: x, oops: 1}\n  m2: *m\n  m3: {<<: *m}\n", []string{
			`3:20: modules.m1.oops: unknown key "oops": known here: about, address, ports, type`,
		}, "an alias repeats the value, not the mistake"},
		{"quoted path", "machine: a\nmodules: {a.b: {type: x, 'c d': 1}}\n", []string{
			`2:26: modules."a.b"."c d": unknown key "c d": known here: about, address, ports, type`,
		}, "a dot in a key is no step of the path"},
		{"second document", "machine: a\n---\nmachine: b\n", []string{
			`2:1: a second document starts here: put it into a file of its own`,
		}, "the rest would be read by nobody"},
		{"columns", "machine: a\nnotes: [\"\U0001F512é\", [x]]\n", []string{
			`2:15: notes.1: wanted a text, found a list`,
		}, "columns count code points"},
		{"CR LF", "machine: a\r\nversion: x\r\n", []string{
			`2:10: version: wanted a whole number in decimal digits, found "x"`,
		}, "CR LF is one line break"},
		{"byte order mark", "\uFEFFmachine: a\nversion: x", []string{
			`2:10: version: wanted a whole number in decimal digits, found "x"`,
		}, "a byte order mark is fine"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var got plant
			_, problems := load(t, tt.content, &got)
			require.Equal(t, tt.want, problems, tt.reason)
		})
	}
}

func TestDecodeKeepsWhatIsGood(t *testing.T) {
	const content = `
machine: a
version: bad
oops: 1
modules:
  m1: 5
  m2: {type: io8, address: nonsense, ports: {1: {device: g1, active: 17}}}
notes: [a, [b], c]
devices: {g1: 7, g2: {kind: estop}}
machine: b
`
	got := plant{Version: 3}
	_, problems := load(t, content, &got)
	require.Len(t, problems, 8)
	require.Equal(t, plant{
		Machine: "a", // the first of a duplicate
		Version: 3,   // a bad value leaves the default
		Modules: map[string]module{
			"m1": {}, // what refers to m1 still finds it
			"m2": {Type: "io8", Ports: map[string]port{"1": {Device: "g1"}}},
		},
		Notes:   []string{"a", "", "c"},                               // places are kept
		Devices: map[string]*device{"g1": nil, "g2": {Kind: "estop"}}, // a pointer to nothing good is nil
	}, got)
}

func TestProblemsAreBounded(t *testing.T) {
	content := "machine: a\nmodules:\n" + strings.Repeat("  true: x\n", 500)
	_, problems := source.Parse("f", []byte(content), source.Limits{Problems: 3})
	require.Len(t, problems, 4)
	require.Equal(t, "f: 497 more problems are not listed: put these right first", problems[3].Error())

	content = "machine: a\nversion: x\nnotes: [" + strings.Repeat("[],", 500) + "]\n"
	file, problems := source.Parse("f", []byte(content), source.Limits{Problems: 3})
	require.Empty(t, problems)
	var got plant
	problems = file.Decode(&got)
	require.Len(t, problems, 4)
	require.Equal(t, "f: 498 more problems are not listed: put these right first", problems[3].Error())
	require.Equal(t, problems, problems.Sorted(), "the closing line stays last")
}

func TestDecodeIntoWrongGoTypes(t *testing.T) {
	file, problems := source.Parse("f", []byte("a: 1"), source.Limits{})
	require.Empty(t, problems)
	var bad struct{ A float64 }
	require.EqualError(t, file.Decode(&bad).Err(), "f: field A of struct { A float64 }: the Go type float64 can't be read from a file: a type with UnmarshalText can")
	require.EqualError(t, file.Decode(bad).Err(), "f: the program gave struct { A float64 } to decode into: wanted a pointer")
	require.EqualError(t, file.Decode(nil).Err(), "f: the program gave <nil> to decode into: wanted a pointer")
	var unitless struct{ A time.Duration }
	require.ErrorContains(t, file.Decode(&unitless).Err(), "the Go type time.Duration can't be read", "an integer without a unit is no duration")
	var twice struct {
		A string
		B string `yaml:"a"`
	}
	require.ErrorContains(t, file.Decode(&twice).Err(), "two fields with the name a")
}

func TestMissing(t *testing.T) {
	value := plant{
		Modules: map[string]module{"m2": {}, "m1": {Type: "x", Ports: map[string]port{"1": {Cable: &cable{}}}}},
		Devices: map[string]*device{"g1": nil},
		Rules:   []rule{{Say: source.Expression{Text: "a"}}},
	}
	loop := &branch{}
	loop.Left = loop
	value.Tree = loop
	require.EqualError(t, source.Missing(&value).Err(), strings.TrimSpace(`
machine: required, but missing: wanted a text
modules.m1.ports.1.cable.length: required, but missing: wanted one value (length)
modules.m1.ports.1.device: required, but missing: wanted a text
modules.m2.type: required, but missing: wanted a text
rules.0.require: required, but missing: wanted an expression or a text
`))
	require.NoError(t, source.Missing(plant{Machine: "a"}).Err())
	require.Error(t, source.Missing(nil).Err())
}
