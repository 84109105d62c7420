package schema_test

import (
	"testing"

	"gopkg.in/yaml.v3"
	"pgregory.net/rapid"
)

// TestSchemaTakesWhatTheLoaderTakes: whatever is changed at a random place of a file, the schema refuses nothing that
// the loader takes.
func TestSchemaTakesWhatTheLoaderTakes(t *testing.T) {
	validators := judges(t)
	for _, file := range []string{"machine.yaml", "parts.yaml", "rules.yaml", "record.yaml"} {
		t.Run(file, func(t *testing.T) {
			text := base(t, file)
			taken := 0
			rapid.Check(t, func(r *rapid.T) {
				var document yaml.Node
				if err := yaml.Unmarshal(text, &document); err != nil {
					r.Fatal(err)
				}
				mutate(r, document.Content[0])
				changed, err := yaml.Marshal(&document)
				if err != nil {
					r.Fatal(err)
				}
				if load(t, file, changed) != nil {
					return
				}
				taken++
				v, err := instance(changed)
				if err != nil {
					r.Fatal(err)
				}
				for _, validator := range validators[file] {
					if err := validator.Validate(v); err != nil {
						r.Errorf("the loader takes what the schema does not: %v\n%s", err, changed)
					}
				}
			})
			if taken == 0 {
				t.Error("the loader took none of the changed files: nothing was tested")
			}
		})
	}
}

// mutate changes one place below a value: it removes, doubles, renames or replaces something.
func mutate(r *rapid.T, n *yaml.Node) {
	var places []*yaml.Node
	var collect func(n *yaml.Node)
	collect = func(n *yaml.Node) {
		if len(n.Content) > 0 {
			places = append(places, n)
		}
		for _, inner := range n.Content {
			collect(inner)
		}
	}
	collect(n)
	parent := rapid.SampledFrom(places).Draw(r, "place")
	width := 1
	if parent.Kind == yaml.MappingNode {
		width = 2
	}
	i := rapid.IntRange(0, len(parent.Content)/width-1).Draw(r, "entry") * width
	switch rapid.IntRange(0, 3).Draw(r, "change") {
	case 0: // remove
		parent.Content = append(parent.Content[:i:i], parent.Content[i+width:]...)
	case 1: // another value
		parent.Content[i+width-1] = scalarNode(rapid.SampledFrom(values()).Draw(r, "value"))
	case 2: // another key or item
		parent.Content[i] = scalarNode(rapid.SampledFrom(values()).Draw(r, "key"))
	case 3: // one more
		extra := scalarNode(rapid.SampledFrom(values()).Draw(r, "extra"))
		if width == 2 {
			parent.Content = append(parent.Content, extra, parent.Content[i+1])
		} else {
			parent.Content = append(parent.Content, extra)
		}
	}
}

func scalarNode(text string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Value: text} }

// values are texts of many meanings.
func values() []string {
	return []string{
		"1", "2", "5", "7", "65535", "65536", "-1", "1.5", "0.9", "1e3", "true", "false", "text", "x1", "no-name", "in", "1-3", "5,7", "c1.p1", "~",
		"5 m", "20 mm", "2.5 mm²", "AWG 18", "10 V", "24 V", "25 V", "6 A", "100 mA", "3 W", "10 ohm", "20 ohm/km", "5 ms", "1 s", "50 °C", "-10 °C",
		"80 %", "100 Mbit/s", "8 B", "47 uF", "500 N", "30°", "50 A²s",
		"gate", "m1", "m2", "q1", "ps1", "k1", "press", "lock", "sensor_5", "m12_5", "electronic_2", "front", "ram",
		"ossd", "contacts", "breaker", "electronic", "B", "C", "copper", "radio", "dlr", "mrp", "cip-safety", "profisafe", "angled", "slot", "round", "high",
		"PL d", "SIL 2", "IP54", "10.8.3.7", "10.8.3.0/25", "1234_5678_9abc", "2032-02-29", "port", "device", "error", "advice", "guard-switch", "lamp",
		"loads", "current", "power", "capped", "set", "zone", "about", "label", "sensor", "actuator", "antivalent",
	}
}
