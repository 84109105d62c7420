package report

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/guardwright/guardwright/rules"
)

// LogicFaults is what single faults do to the rules about the interlock logic.
type LogicFaults struct {
	// Number of rules, counted at each object, that hold without a fault and were asked again with each.
	Properties int `json:"properties"`
	// The faults, by object.
	Faults []LogicFault `json:"faults"`
	// Rules that were not asked, because they are broken or undecided without a fault.
	NotAsked []FaultProof `json:"not_asked,omitempty"`
	// What was not looked at.
	NotCovered []NotCovered `json:"not_covered"`
	// Names of the assumptions in force: the answers hold only where they do.
	Assumptions []string `json:"assumptions,omitempty"`
}

// LogicFault is what one fault does to the rules about the interlock logic.
type LogicFault struct {
	// Kind of the object: device, port or connection.
	Kind string `json:"kind"`
	// Name of the object.
	Name string `json:"name"`
	// Place of the object in the description.
	Path string `json:"path"`
	// Place of the object in a file.
	Position *Position `json:"position,omitempty"`
	// What is wrong, such as channel 1 stuck closed.
	Fault string `json:"fault"`
	// Number of properties that hold with the fault, those that it can't reach included.
	Kept int `json:"kept"`
	// Number of properties that the fault can't reach.
	Outside int `json:"outside"`
	// Answers about the properties that the fault can reach.
	Proofs []FaultProof `json:"proofs"`
	// Whether the fault is noticed before a second one: noticed, not noticed, no effect or undecided.
	Notice string `json:"notice"`
	// By what it is noticed, or why there is no effect or no decision.
	Reason string `json:"reason,omitempty"`
	// The run from power-up in which motion begins again after the fault showed itself, for not noticed.
	Restart *Story `json:"restart,omitempty"`
}

// FaultProof is the answer to a rule at one object with a fault.
type FaultProof struct {
	// Id of the rule.
	Rule string `json:"rule"`
	// Kind of the object.
	Kind string `json:"kind"`
	// Place of the object in the description.
	Path string `json:"path"`
	// The answer: kept, broken or undecided.
	Answer string `json:"answer"`
	// Why it is undecided.
	Reason string `json:"reason,omitempty"`
	// The run from power-up that breaks the rule.
	Story *Story `json:"story,omitempty"`
}

// NotCovered is something that is not looked at.
type NotCovered struct {
	// Place of the object in the description; absent for the whole machine.
	Path string `json:"path,omitempty"`
	// What it is.
	Text string `json:"text"`
}

// addFaults takes over what single faults do.
func (r *Report) addFaults(from *rules.FaultTable) {
	if from == nil {
		return
	}
	to := &LogicFaults{Properties: from.Properties, Faults: []LogicFault{}, NotAsked: faultProofs(from.NotAsked), NotCovered: []NotCovered{}, Assumptions: from.Assumptions}
	for _, f := range from.Faults {
		x := LogicFault{Kind: f.Kind, Name: f.Name, Path: f.Path, Position: position(f.Position), Fault: f.Fault, Kept: f.Outside, Outside: f.Outside,
			Proofs: faultProofs(f.Proofs), Notice: f.Notice.String(), Reason: f.Reason, Restart: story(f.Restart)}
		for _, p := range f.Proofs {
			if p.Answer == rules.FaultKept {
				x.Kept++
			}
		}
		to.Faults = append(to.Faults, x)
	}
	for _, n := range from.NotCovered {
		to.NotCovered = append(to.NotCovered, NotCovered{n.Path, n.Text})
	}
	r.LogicFaults = to
}

func faultProofs(from []rules.FaultProof) []FaultProof {
	out := make([]FaultProof, 0, len(from))
	for _, p := range from {
		out = append(out, FaultProof{p.Rule.ID, p.Kind, p.Path, p.Answer.String(), p.Reason, story(p.Story)})
	}
	return out
}

// grave tells whether a fault breaks a rule, or leaves something open.
func (f *LogicFault) grave() bool { return len(f.with("broken"))+len(f.with("undecided")) > 0 }

// with lists the proofs with an answer.
func (f *LogicFault) with(answer string) []FaultProof {
	var out []FaultProof
	for _, p := range f.Proofs {
		if p.Answer == answer {
			out = append(out, p)
		}
	}
	return out
}

// logicFaults prints the table of single faults by object.
func (t *textReport) logicFaults() {
	x := t.LogicFaults
	if x == nil {
		return
	}
	breaking, unnoticed := 0, 0
	for i := range x.Faults {
		if len(x.Faults[i].with("broken")) > 0 {
			breaking++
		}
		if n := x.Faults[i].Notice; n == "not noticed" || n == "no effect" {
			unnoticed++
		}
	}
	t.title(fmt.Sprintf("Interlock logic with single faults, %d tried: rules are broken by %d, not noticed before a second fault %s",
		len(x.Faults), breaking, isAre(unnoticed)))
	out := table{columns: []column{{"object", false}, {"fault", false}, {"noticed", false}, {"kept", true}, {"rules broken", false}}}
	left := 0
	for i := range x.Faults {
		f := &x.Faults[i]
		if !t.full && (!f.grave() && f.Notice != "not noticed" || len(out.rows) == 6*few) {
			left++
			continue
		}
		out.rows = append(out.rows, f.row(x.Properties))
	}
	if len(out.rows) > 0 {
		out.write(t.page)
	}
	t.more(left, "faults", LogicFaultsPart)
	if t.full {
		t.faultStories()
	}
	t.faultLimits()
}

// row is a fault as a row of the table.
func (f *LogicFault) row(properties int) row {
	var broken []string
	for _, p := range f.with("broken") {
		broken = append(broken, p.Rule+" at "+p.Path)
	}
	for _, p := range f.with("undecided") {
		broken = append(broken, p.Rule+" at "+p.Path+" (undecided: "+p.Reason+")")
	}
	r := row{cells: []string{f.Name, f.Fault, f.Notice, strconv.Itoa(f.Kept) + " of " + strconv.Itoa(properties), strings.Join(broken, ", ")}}
	switch {
	case len(f.with("broken")) > 0:
		r.mark, r.style = "!", red
	case len(broken) > 0 || f.Notice == "undecided" || f.Notice == "not noticed":
		r.mark, r.style = "?", yellow
	}
	return r
}

// faultStories tells of each fault the first rule that it breaks, and the first restart.
func (t *textReport) faultStories() {
	for i := range t.LogicFaults.Faults {
		f := &t.LogicFaults.Faults[i]
		if broken := f.with("broken"); len(broken) > 0 {
			t.line(span{"  " + f.Name + ", " + f.Fault + ", breaks " + broken[0].Rule + " at " + broken[0].Path, strong})
			t.story(broken[0].Story)
		}
		if f.Restart != nil {
			t.line(span{"  " + f.Name + ", " + f.Fault + ", is not noticed: motion begins again in the last cycle", strong})
			t.story(f.Restart)
		}
	}
}

// faultLimits prints on what the answers rest, and what was left out.
func (t *textReport) faultLimits() {
	x := t.LogicFaults
	for _, f := range x.Faults {
		if t.full && f.Reason != "" {
			t.text(span{"  " + f.Name + ", " + f.Fault + ": ", plain}, 6, f.Notice+", "+f.Reason)
		}
	}
	if n := len(x.NotAsked); n > 0 {
		var names []string
		for _, p := range x.NotAsked {
			names = append(names, p.Rule+" at "+p.Path)
		}
		t.text(span{"  not asked, because they do not hold without a fault: ", plain}, 6, strings.Join(names, ", "))
	}
	if len(x.Assumptions) > 0 {
		t.text(span{"  assumed: ", plain}, 6, strings.Join(x.Assumptions, ", "))
	}
	shown := t.shown(len(x.NotCovered), few)
	for _, n := range x.NotCovered[:shown] {
		t.text(span{"  not covered: ", plain}, 6, strings.TrimPrefix(n.Path+": "+n.Text, ": "))
	}
	t.more(len(x.NotCovered)-shown, "things that are not covered", LogicFaultsPart)
}

func isAre(n int) string {
	if n == 1 {
		return "is 1"
	}
	return "are " + strconv.Itoa(n)
}
