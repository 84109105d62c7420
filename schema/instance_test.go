package schema_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/big"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/santhosh-tekuri/jsonschema/v6/kind"
	"gopkg.in/yaml.v3"
)

const (
	draft2020 = "https://json-schema.org/draft/2020-12/schema"
	draft07   = "http://json-schema.org/draft-07/schema#"
)

// compiler has read a schema, by the given draft. It is independent of the generator.
func compiler(t testing.TB, text []byte, draft string) *jsonschema.Compiler {
	t.Helper()
	text = bytes.Replace(text, []byte(draft2020), []byte(draft), 1)
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(document.(map[string]any)["$id"].(string), document); err != nil {
		t.Fatal(err)
	}
	return c
}

// compile makes the validator of a schema.
func compile(t testing.TB, text []byte, draft string) *jsonschema.Schema {
	t.Helper()
	var document struct {
		ID string `json:"$id"`
	}
	if err := json.Unmarshal(text, &document); err != nil {
		t.Fatal(err)
	}
	s, err := compiler(t, text, draft).Compile(document.ID)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// instance reads YAML as an editor does, by the core schema of YAML 1.2.2, chapter 10.3: what is no null, truth value
// or number there is text, such as a date. Anchors and merge keys are followed.
func instance(data []byte) (any, error) {
	var document yaml.Node
	if err := yaml.Unmarshal(data, &document); err != nil {
		return nil, err
	}
	if len(document.Content) != 1 {
		return nil, fmt.Errorf("the file is empty")
	}
	budget := budget(100_000) // far above any file of the repository, but for those that grow by aliases on purpose
	return budget.value(document.Content[0])
}

// budget is the number of values that may still be made.
type budget int

func (b *budget) value(n *yaml.Node) (any, error) {
	if *b--; *b < 0 {
		return nil, fmt.Errorf("line %d: too many values", n.Line)
	}
	switch n.Kind {
	case yaml.AliasNode:
		return b.value(n.Alias)
	case yaml.SequenceNode:
		list := []any{}
		for _, item := range n.Content {
			v, err := b.value(item)
			if err != nil {
				return nil, err
			}
			list = append(list, v)
		}
		return list, nil
	case yaml.MappingNode:
		return b.mapping(n)
	}
	if n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
		return n.Value, nil
	}
	return scalar(n.Value), nil
}

func (b *budget) mapping(n *yaml.Node) (any, error) {
	out := map[string]any{}
	for i := 0; i < len(n.Content); i += 2 {
		v, err := b.value(n.Content[i+1])
		if err != nil {
			return nil, err
		}
		key := n.Content[i]
		if key.Kind != yaml.ScalarNode {
			return nil, fmt.Errorf("line %d: a key is no scalar", key.Line)
		}
		if key.Tag == "!!merge" {
			merged, _ := v.(map[string]any)
			for k, v := range merged {
				if _, own := out[k]; !own {
					out[k] = v
				}
			}
			continue
		}
		out[key.Value] = v
	}
	return out, nil
}

var (
	nullForm  = regexp.MustCompile(`^(?:null|Null|NULL|~|)$`)
	truthForm = regexp.MustCompile(`^(?:true|True|TRUE|false|False|FALSE)$`)
	wholeForm = regexp.MustCompile(`^(?:[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+)$`)
	floatForm = regexp.MustCompile(`^[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?$`)
)

// scalar resolves a plain scalar by the core schema.
func scalar(text string) any {
	switch {
	case nullForm.MatchString(text):
		return nil
	case truthForm.MatchString(text):
		return strings.EqualFold(text, "true")
	case wholeForm.MatchString(text):
		base := 10
		if strings.HasPrefix(text, "0x") || strings.HasPrefix(text, "0o") {
			base = 0
		}
		n, _ := new(big.Int).SetString(strings.TrimPrefix(text, "+"), base)
		return json.Number(n.String())
	case floatForm.MatchString(text):
		if x, err := strconv.ParseFloat(text, 64); err == nil {
			return x
		}
	}
	return text
}

// anywhere stands for the mapping of a key of which only its name is known.
const anywhere = "*."

// places lists where a validator found fault, as paths like that of a model's problems.
func places(err error) []string {
	var out []string
	var walk func(e *jsonschema.ValidationError)
	walk = func(e *jsonschema.ValidationError) {
		if key, ok := e.ErrorKind.(*kind.PropertyNames); ok {
			out = append(out, anywhere+key.Property) // the validator's location of this error is overwritten later
			return
		}
		if len(e.Causes) == 0 {
			out = append(out, strings.Join(e.InstanceLocation, "."))
		}
		for _, cause := range e.Causes {
			walk(cause)
		}
	}
	if e, ok := err.(*jsonschema.ValidationError); ok {
		walk(e)
	}
	return out
}

func TestCoreSchema(t *testing.T) {
	data := "{a: 010, b: 0x10, c: 1.5, d: true, e: on, f: 2031-12-31, g: ~, h: '5', i: 1_000, j: 1:30, k: +3, <<: {a: 1, z: 2}}"
	got, err := instance([]byte(data))
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]any{
		"a": json.Number("10"), "b": json.Number("16"), "c": 1.5, "d": true, "e": "on", "f": "2031-12-31", "g": nil,
		"h": "5", "i": "1_000", "j": "1:30", "k": json.Number("3"), "z": json.Number("2"),
	}
	for key, v := range want {
		if found := got.(map[string]any)[key]; found != v {
			t.Errorf("%s reads %v (%T), want %v", key, found, found, v)
		}
	}
}
