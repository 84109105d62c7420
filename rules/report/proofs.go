package report

import (
	"strconv"
	"strings"

	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
)

// Problem is a mistake in the machine file that was found when the logic was read.
type Problem struct {
	// What is wrong, and what would serve.
	Text string `json:"text"`
	// Place in the description.
	Path string `json:"path"`
	// Place in a file.
	Position *Position `json:"position,omitempty"`
}

// Proof is the answer to a rule about the interlock logic at one object.
type Proof struct {
	// Id of the rule.
	Rule string `json:"rule"`
	// Kind of the object.
	Kind string `json:"kind"`
	// Place of the object in the description.
	Path string `json:"path"`
	// Place of the object in a file.
	Position *Position `json:"position,omitempty"`
	// The answer: proved, refuted, reached, unreachable, vacuous or undecided.
	Verdict string `json:"verdict"`
	// Why the answer is vacuous or undecided.
	Reason string `json:"reason,omitempty"`
	// How the answer was found.
	Method string `json:"method,omitempty"`
	// Names of the assumptions in force: the answer holds only where they do.
	Assumptions []string `json:"assumptions,omitempty"`
	// The run from power-up that breaks the rule, or that reaches what must be reachable.
	Story *Story `json:"story,omitempty"`
}

// Story is a run of the machine from power-up, cycle by cycle.
type Story struct {
	// Number of cycles.
	Steps int `json:"steps"`
	// True when no shorter run does the same.
	Shortest bool `json:"shortest"`
	// Time of one cycle; absent when it is not stated.
	Cycle *Quantity `json:"cycle,omitempty"`
	// The signals that matter, inputs first.
	Signals []StorySignal `json:"signals"`
}

// StorySignal is one signal of a run.
type StorySignal struct {
	// Name of the signal, as the logic says it.
	Name string `json:"name"`
	// True for a signal from outside, false for a value that the logic computes.
	Input bool `json:"input"`
	// Value in each cycle: 1, a point for false, a number or word, ? where it does not matter.
	Values []string `json:"values"`
}

// addProofs takes over what was proved.
func (r *Report) addProofs(from *rules.Result) {
	r.LogicProblems = make([]Problem, 0, len(from.LogicProblems))
	for _, p := range from.LogicProblems {
		r.LogicProblems = append(r.LogicProblems, problem(p))
	}
	r.Proofs = make([]Proof, 0, len(from.Proofs))
	for _, p := range from.Proofs {
		r.Proofs = append(r.Proofs, Proof{p.Rule.ID, p.Kind, p.Path, position(p.Position), p.Result.Verdict.String(), p.Result.Reason,
			p.Result.Method, p.Result.Assumptions, story(p.Story)})
	}
	r.Summary.LogicProblems = len(r.LogicProblems)
}

func problem(p source.Problem) Problem { return Problem{p.Text, p.Path, position(p.Position)} }

func story(from *rules.Story) *Story {
	if from == nil {
		return nil
	}
	s := &Story{Steps: from.Trace.Len(), Shortest: from.Shortest}
	if from.Cycle != 0 {
		s.Cycle = of(newUnits(), from.Cycle, valueDigits)
	}
	s.Signals = storySignals(from.Trace)
	return s
}

// proofs prints what was asked about the interlock logic.
func (t *textReport) proofs() {
	if len(t.Proofs) == 0 && len(t.LogicProblems) == 0 {
		return
	}
	t.title("Interlock logic")
	for _, p := range t.LogicProblems {
		t.head(placeText(p.Position, p.Path), "error", red, p.Text+" (nothing about the logic is proved)")
	}
	if len(t.Proofs) == 0 {
		return
	}
	out := table{columns: []column{{"rule", false}, {"place", false}, {"answer", false}, {"cycles", true}}}
	shown := t.shown(len(t.Proofs), 6*few)
	for _, p := range t.Proofs[:shown] {
		r := row{cells: []string{p.Rule, p.Path, p.Verdict, ""}}
		if p.Story != nil {
			r.cells[3] = strconv.Itoa(p.Story.Steps)
		}
		switch p.Verdict {
		case "refuted", "unreachable":
			r.mark, r.style = "!", red
		case "vacuous", "undecided":
			r.mark, r.style = "?", yellow
		}
		out.rows = append(out.rows, r)
	}
	out.write(t.page)
	t.more(len(t.Proofs)-shown, "answers", ProofsPart)
	t.assumptions()
}

// assumptions prints on what the answers rest.
func (t *textReport) assumptions() {
	var names []string
	seen := map[string]bool{}
	for _, p := range t.Proofs {
		for _, a := range p.Assumptions {
			if !seen[a] {
				seen[a] = true
				names = append(names, a)
			}
		}
	}
	if len(names) == 0 {
		t.line(span{"  The answers rest on no assumption.", plain})
		return
	}
	t.line(span{"  The answers hold only where these assumptions do:", plain})
	for _, a := range t.Assumptions {
		if seen[a.Name] {
			t.text(span{"  " + a.Name + ": ", plain}, 6, strings.TrimSuffix(a.Holds+" ("+a.About+")", " ()"))
			delete(seen, a.Name)
		}
	}
	for _, name := range names {
		if seen[name] { // a report that was taken apart
			t.line(span{"  " + name, plain})
		}
	}
}
