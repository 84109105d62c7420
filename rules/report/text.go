package report

import (
	"fmt"
	"io"
	"slices"
)

// TextOptions are the settings of [Report.Text]. The zero value serves.
type TextOptions struct {
	// Parts to print, in full. Empty: every part but the list of all checks, of long lists only the beginning or, of
	// numbers, those with the least margin.
	Parts []Part
	// ReadFile returns the text of a file that a position names, for the source lines under findings; os.ReadFile serves.
	// Nil, or an error: no source lines.
	ReadFile func(name string) ([]byte, error)
	// Colour marks what is grave with the control sequences of a terminal (ECMA-48).
	Colour bool
	// Width is the number of columns that lines are broken at. 0, and anything less than the 100 that the tables need:
	// 100. Names of files and objects are never broken.
	Width int
	// Ask says how a reader gets to see a part in full, such as "--show feeds"; nil: the part is named.
	Ask func(p Part) string
}

// leastWidth is the room that the tables need.
const leastWidth = 100

// Text writes the report for people.
func (r *Report) Text(w io.Writer, o TextOptions) error {
	t := &textReport{Report: r, options: o, full: len(o.Parts) > 0,
		page: &page{width: max(o.Width, leastWidth), colour: o.Colour}, sources: sources{read: o.ReadFile}}
	if !t.full {
		t.options.Parts = slices.DeleteFunc(Parts(), func(p Part) bool { return p == ChecksPart || p == RulesPart })
	}
	t.print()
	if _, err := io.WriteString(w, t.page.b.String()); err != nil {
		return fmt.Errorf("writing the report: %w", err)
	}
	return nil
}

// textReport prints a report as text.
type textReport struct {
	*Report
	*page
	sources sources
	options TextOptions
	full    bool
}

func (t *textReport) print() {
	sections := map[Part]func(){
		SummaryPart: t.summary, FindingsPart: t.findings, UndecidedPart: t.undecided, AcceptedPart: t.accepted, ProofsPart: t.proofs, StoryPart: t.stories, LogicPart: t.logic, LogicFaultsPart: t.logicFaults,
		RecordPart: t.record, NetworksPart: t.networks, SuppliesPart: t.supplies, ProtectionsPart: t.protections, FeedsPart: t.feeds,
		ModulesPart: t.modules, PortsPart: t.ports, LoadsPart: t.loads, FaultsPart: t.faults, SelectivityPart: t.selectivity,
		InrushPart: t.inrush, AddressesPart: t.addresses, LinksPart: t.linkLoads, SingleFaultsPart: t.singleFaults,
		ConnectionsPart: t.connections, ReactionsPart: t.reactions, DistancesPart: t.distances, ChecksPart: t.checks, LimitsPart: t.limits, NotComputedPart: t.notComputed, RulesPart: t.rules,
	}
	numbers := false
	for _, p := range Parts() {
		if slices.Contains(t.options.Parts, p) {
			sections[p]()
			numbers = numbers || slices.Contains(append(numberParts(), ChecksPart), p)
		}
	}
	if numbers {
		t.blank()
		t.text(span{}, 0, t.Rounding)
		t.text(span{}, 0, "Marks: ! beyond the limit, ? not decided. Margins count from the limit: + is inside, - beyond it.")
	}
	t.blank()
	t.text(span{"Caution: ", strong}, 0, t.Caution)
}

// few is the number of entries of a long list that are printed unless it was asked for.
const few = 5

// shown is how many of n entries are printed.
func (t *textReport) shown(n, most int) int {
	if t.full {
		return n
	}
	return min(n, most)
}

// more says how many entries were left out and how to see them.
func (t *textReport) more(left int, what string, p Part) {
	if left <= 0 {
		return
	}
	ask := "ask for the part " + string(p)
	if t.options.Ask != nil {
		ask = t.options.Ask(p)
	}
	t.text(span{"  ", plain}, 4, fmt.Sprintf("%d more %s: %s", left, what, ask))
}

// summary prints the verdict and the counts.
func (t *textReport) summary() {
	t.line(span{t.Machine.Name, strong})
	s := t.Summary
	look := green
	switch {
	case s.Errors > 0 || s.RuleErrors > 0 || s.LogicProblems > 0:
		look = red
	case s.Warnings > 0 || s.Undecided > 0 || s.Rules == 0 || s.PowerMissing != "":
		look = yellow
	}
	for i, l := range wrap(s.Verdict, t.width, 9, 9) {
		lead := "         "
		if i == 0 {
			lead = "verdict: "
		}
		t.line(span{lead, plain}, span{l, look})
	}
	if s.PowerMissing != "" {
		t.text(span{"supply:  ", plain}, 9, "not computed: "+s.PowerMissing)
	} else {
		t.text(span{"supply:  ", plain}, 9, s.supply())
	}
	for _, m := range []struct{ lead, why string }{{"network: ", s.NetworkMissing}, {"times:   ", s.TimingMissing}, {"distance ", s.DistanceMissing}} {
		if m.why != "" {
			t.text(span{m.lead, plain}, 9, "not computed: "+m.why)
		}
	}
	if s.Unsolved > 0 {
		t.text(span{"         ", plain}, 9, count(s.Unsolved, "part of the supply has", "parts of the supply have")+
			" no operating point; the numbers there are unknown")
	}
	if s.Today != "" {
		t.text(span{"accepted ", plain}, 9, "findings were judged as of "+s.Today)
	}
}

func (s Summary) supply() string {
	c := s.Checks
	return fmt.Sprintf("%s of the 24 V supply: %d within their limit, %d beyond, %d without a limit, %d not covered, %d unknown",
		count(c.total(), "number", "numbers"), c.Within, c.Beyond, c.NoLimit, c.NotCovered, c.Unknown)
}
