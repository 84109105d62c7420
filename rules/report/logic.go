package report

import (
	"strconv"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

// LogicValue is one value of the interlock logic as it is computed; what blocks stand for is written out.
type LogicValue struct {
	// Name of the value.
	Name string `json:"name"`
	// Its expression.
	Expression string `json:"expression"`
	// Value before the first cycle: true, false, a number or a word.
	Initial string `json:"initial"`
	// Name of the block that the value comes from; absent for a value that stands in the file.
	Block string `json:"block,omitempty"`
	// Place of the value, or of its block, in a file.
	Position *Position `json:"position,omitempty"`
}

// Assumption is an assumption about the world on which answers about the interlock logic rest, stated in the machine file or
// given by the kinds of its devices.
type Assumption struct {
	// Name of the assumption.
	Name string `json:"name"`
	// What is assumed to hold in every cycle.
	Holds string `json:"holds"`
	// Why it may be assumed, and who sees to it.
	About string `json:"about,omitempty"`
	// True when it comes from the kinds of devices or from the ports, and speaks of each of them that its signals are asked for.
	FromKinds bool `json:"from_kinds,omitempty"`
	// True when it is switched off.
	Off bool `json:"off,omitempty"`
	// Place of the assumption in a file.
	Position *Position `json:"position,omitempty"`
}

// addLogic writes the logic out.
func (r *Report) addLogic(m *model.Machine, assumptions []rules.Assumption) {
	r.Logic, r.Assumptions = []LogicValue{}, []Assumption{}
	if m == nil || m.Logic == nil {
		return
	}
	for _, a := range assumptions {
		r.Assumptions = append(r.Assumptions, Assumption{a.Name, a.Holds, a.About, a.FromKinds, a.Off, position(a.Position)})
	}
	for _, v := range m.Logic.Values {
		r.Logic = append(r.Logic, LogicValue{v.Name, v.Expression.Text, initialText(v), v.Block, position(v.Position)})
	}
}

func initialText(v *model.LogicValue) string {
	switch {
	case v.Words != nil:
		return v.Words[v.Initial]
	case v.Number:
		return strconv.Itoa(v.Initial)
	}
	return strconv.FormatBool(v.Initial == 1)
}

// logic prints the interlock logic, where it was asked for.
func (t *textReport) logic() {
	if len(t.Logic) == 0 || !t.full {
		return
	}
	t.title("Interlock logic, written out: the values of each cycle, in the order of the file; those of blocks where they are needed")
	block := ""
	for _, v := range t.Logic {
		if v.Block != block {
			block = v.Block
			t.line(span{"  block " + block, faint})
		}
		text := v.Expression
		if v.Initial != "false" {
			text += "   (initially " + v.Initial + ")"
		}
		t.text(span{"  " + v.Name + " := ", plain}, 6, text)
	}
}
