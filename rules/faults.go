package rules

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// FaultTable tells what single faults do to the rules with always: about the interlock logic: for each fault whether each rule
// still holds at each object, and whether the fault is noticed before a second one can add to it. The demand is that of the
// categories 2 to 4 of ISO 13849-1 (2023, 6.1.3.2.3 to 6.1.3.2.5, from memory): in categories 3 and 4 a single fault in a part
// does not lead to the loss of the safety function, and is detected at or before the next demand, where that is reasonably
// practicable in 3, and always in 4.
//
// # How it is found
//
// The rules are asked again about a transition system in which the way of each signal from the device to the logic is written
// out: the contact or channel, the evaluation of two channels at a port whose parameter set evaluates two, the port, the
// connection. Where two channels differ, the evaluation locks the signal out in its safe state until both channels were in
// theirs. A drive with switched_by has energy where its run is given, or where every contactor, valve or drive input there is
// closed, by its command (on or enable, or else the run of the drive) or by a fault. The value moving of a drive belongs to the
// world: it sees the energy. One fault at a time is present in this system from power-up on and for ever; a fault that comes
// and goes is one of those listed. Without a fault the system is the one that the rules were proved about with all ports and
// connections sound.
//
// A rule whose answer cannot depend on the place of a fault holds with it as without, and is not proved again. A rule that
// does not hold without a fault is not asked.
//
// # What it does not tell
//
// The faults are those of the kinds of devices, listed here with each; NotCovered lists what is not looked at. No rate and no
// diagnostic coverage is computed, no fault is excluded by reason of construction, and no common cause is considered. The
// table supports, and does not replace, the failure analysis and the validation by a competent person.
//
// # What it costs
//
// About as many proofs as there are pairs of a fault and a rule at an object within its reach, side by side on
// [Options].Parallel goroutines. Measured: a check of six rules on ten zones with 21 devices takes four to five times as long
// with its 82 faults (180 ms against 40 ms on two processors). The work grows with the number of faults times the size of the
// logic within their reach, so that large machines want it apart from the usual check.
type FaultTable struct {
	// Faults are in the order of devices, ports and connections.
	Faults []FaultAnswer
	// Properties is the number of rules with always:, counted at each object, that hold without a fault and were asked.
	Properties int
	// NotAsked are the others: broken or not decided without a fault.
	NotAsked []FaultProof
	// NotCovered is what was not looked at.
	NotCovered []NotCovered
	// Assumptions are the names of the assumptions in force.
	Assumptions []string
}

// FaultAnswer is what one fault does.
type FaultAnswer struct {
	// Kind is device, port or connection; Name, Path and Position are the object.
	Kind, Name, Path string
	Position         source.Position
	// Fault says what is wrong, such as channel 1 stuck closed.
	Fault string
	// Outside is the number of properties that the fault can't reach: they hold as without it.
	Outside int
	// Proofs are the answers about the others.
	Proofs []FaultProof
	// Notice tells whether the fault is noticed before a second one; see [Notice].
	Notice Notice
	// Reason says by what the fault is noticed, or why there is no effect or no decision; empty where the notice says all.
	Reason string
	// Restart is the shortest run in which motion begins again after the fault showed itself; nil unless NotNoticed.
	Restart *Story
}

// FaultProof is the answer to one rule at one object with a fault.
type FaultProof struct {
	Rule *Rule
	// Kind, Path and Position are the object.
	Kind, Path string
	Position   source.Position
	Answer     FaultVerdict
	// Reason says why it is undecided.
	Reason string
	// Story is the run from power-up that breaks the rule; nil unless Broken.
	Story *Story
}

// FaultVerdict is what a fault does to a rule.
type FaultVerdict uint8

// The verdicts. The zero value is no answer.
const (
	FaultUndecided FaultVerdict = iota // the limits of the proof were reached first
	FaultKept                          // the rule holds with the fault in every run
	FaultBroken                        // a run with the fault breaks the rule
)

// String returns the verdict in words.
func (v FaultVerdict) String() string {
	return [...]string{"undecided", "kept", "broken"}[v]
}

// Notice tells whether a fault is noticed before a second one. A fault shows itself in a cycle in which what comes behind its
// place differs from what would come without it: a stuck contact at the next demand, a welded contactor when it is commanded
// off. It is noticed where in every run, from the cycle after it has first shown itself on, no motion that depends on it begins
// again, but in cycles in which the logic tells a fault: a value whose name or word is fault, or ends with _fault, is true.
// Motion begins where the drive gets energy, and where the logic commands it while a fault gives it energy already.
type Notice uint8

// The answers. The zero value is no answer.
const (
	NoticeUndecided Notice = iota // the limits of the proof were reached first, or no drive has a value run
	Noticed                       // motion does not begin again, or the fault is told
	NotNoticed                    // a run begins motion again as if nothing were wrong
	NoEffect                      // it never shows itself, or no motion depends on it; a second fault can add to it
)

// String returns the answer in words.
func (n Notice) String() string {
	return [...]string{"undecided", "noticed", "not noticed", "no effect"}[n]
}

// NotCovered is something that the table of faults leaves out.
type NotCovered struct {
	// Path is the object; empty for the whole machine.
	Path string
	Text string
}

// faultQuestion is a property with the signals that its answer can depend on.
type faultQuestion struct {
	question
	cone map[string]bool
	// told is the value that tells a fault.
	told logic.Bool
}

// faultRun is what is common to all faults of a machine.
type faultRun struct {
	*checker
	system     *system
	without    []string
	properties []faultQuestion
	drives     []driveQuestion
	told       []faultQuestion // values that tell a fault
}

// tryFaults makes the table of faults.
func (c *checker) tryFaults(ctx context.Context, x *interlock) error {
	c.faults = &FaultTable{}
	if x == nil || x.faulty == nil {
		text := "the machine file has no interlock logic that could be proved about"
		if x != nil && x.noFaults != "" {
			text = x.noFaults
		}
		c.faults.NotCovered = []NotCovered{{Text: text}}
		return nil
	}
	r := &faultRun{checker: c, system: x.faulty}
	if err := r.prepare(ctx); err != nil {
		return err
	}
	faults, left := r.list()
	c.faults.NotCovered = left
	c.faults.Faults = make([]FaultAnswer, len(faults))
	errs := make([]error, len(faults))
	var next atomic.Int64
	var workers sync.WaitGroup
	for range min(max(1, c.options.Parallel), len(faults)) {
		workers.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= len(faults) || ctx.Err() != nil {
					return
				}
				c.faults.Faults[i], errs[i] = r.try(ctx, faults[i])
			}
		})
	}
	workers.Wait()
	if ctx.Err() != nil {
		return ctx.Err()
	}
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// prepare makes the properties, finds those that hold without a fault, and what each depends on.
func (r *faultRun) prepare(ctx context.Context) error {
	s := r.system
	var asked []question
	for _, q := range r.asked {
		if q.rule.temporal.reach {
			continue
		}
		holds, err := s.translator(r.checker, s.rules[q.rule], q.object, forRule).condition()
		if err != nil {
			return fmt.Errorf("rules: rule %s with faults: %w", q.rule.ID, err)
		}
		q.system, q.property = s, logic.Always(q.rule.ID+" at "+q.object.origin().Path, holds)
		asked = append(asked, q)
	}
	r.readDrives()
	if err := s.assumeKinds(r.checker); err != nil {
		return err
	}
	r.without = s.inSystem(s.without(r.options))
	properties := make([]logic.Property, len(asked))
	for i, q := range asked {
		properties[i] = q.property
	}
	results, err := logic.Prove(ctx, s.sys, properties, logic.Options{Limits: r.options.Limits, Without: r.without, Workers: r.options.Parallel, SkipVacuity: true})
	if err != nil {
		return fmt.Errorf("rules: proving the interlock logic before faults: %w", err)
	}
	for i, q := range asked {
		if results[i].Verdict == logic.Proved {
			r.properties = append(r.properties, faultQuestion{question: q})
			continue
		}
		p := q.answered(FaultUndecided, results[i].Reason)
		if results[i].Verdict == logic.Refuted {
			p.Answer = FaultBroken
		}
		r.faults.NotAsked = append(r.faults.NotAsked, p)
	}
	r.faults.Properties = len(r.properties)
	r.faults.Assumptions = plainNames(s.assumed(r.without))
	return r.cones()
}

// assumed lists the assumptions in force.
func (s *system) assumed(without []string) []string {
	return slices.DeleteFunc(s.sys.Assumptions(), func(name string) bool { return slices.Contains(without, name) })
}

func (q question) answered(v FaultVerdict, reason string) FaultProof {
	o := q.object.origin()
	return FaultProof{Rule: q.rule, Kind: q.rule.For, Path: o.Path, Position: o.Position, Answer: v, Reason: reason}
}

// cones finds what each question depends on.
func (r *faultRun) cones() error {
	for _, list := range [][]faultQuestion{r.properties, r.told} {
		for i := range list {
			if err := r.coneOf(&list[i]); err != nil {
				return err
			}
		}
	}
	for i := range r.drives {
		if err := r.coneOf(&r.drives[i].faultQuestion); err != nil {
			return err
		}
	}
	return nil
}

// coneOf finds the signals that a question depends on. An assumption of the kinds restricts only signals of its own object, and
// can always be kept, whatever happened before: the guard stays closed, the channels open, nobody squeezes. So it takes no run
// away from what does not depend on these signals.
func (r *faultRun) coneOf(q *faultQuestion) error {
	apart := r.system.kindOwners
	for {
		without := slices.Clone(r.without)
		for name := range apart {
			without = append(without, name)
		}
		slices.Sort(without)
		names, err := r.system.sys.Cone(q.property, without...)
		if err != nil {
			return fmt.Errorf("rules: what %s depends on: %w", q.property.Name, err)
		}
		q.cone = map[string]bool{}
		for _, name := range names {
			q.cone[name] = true
		}
		left := map[string][]string{}
		for name, signals := range apart {
			if !slices.ContainsFunc(signals, func(s string) bool { return q.cone[s] }) {
				left[name] = signals
			}
		}
		if len(left) == len(apart) {
			return nil
		}
		apart = left
	}
}

func (q *faultQuestion) reachedBy(f singleFault) bool {
	return slices.ContainsFunc(f.faults, func(x logic.Fault) bool { return q.cone[x.Signal] })
}

// faultLimits are the limits of a proof with a fault, where none are stated. They are narrower than those without, because there
// are many faults, and most answers need little; what they cut off is undecided.
func faultLimits(l logic.Limits) logic.Limits {
	if l != (logic.Limits{}) {
		return l
	}
	return logic.Limits{States: 1 << 16, Letters: 1 << 12, Work: 1 << 21, Depth: 60, Queries: 200}
}

// try answers the properties with one fault.
func (r *faultRun) try(ctx context.Context, f singleFault) (FaultAnswer, error) {
	a := FaultAnswer{Kind: f.kind, Name: f.name, Path: f.at.Path, Position: f.at.Position, Fault: f.text, Reason: f.noticed}
	var within []*faultQuestion
	var properties []logic.Property
	for i := range r.properties {
		if q := &r.properties[i]; q.reachedBy(f) {
			within = append(within, q)
			properties = append(properties, q.property)
		}
	}
	a.Outside = len(r.properties) - len(within)
	sys, err := r.system.sys.WithFault(f.faults...)
	if err != nil {
		return a, fmt.Errorf("rules: fault %s of %s: %w", f.text, f.at.Path, err)
	}
	ask := f.notice
	properties = append(properties, ask.shows, ask.restarts, ask.possible)
	results, err := logic.Prove(ctx, sys, properties, logic.Options{Limits: faultLimits(r.options.Limits), Without: r.without, SkipVacuity: true})
	if err != nil {
		return a, fmt.Errorf("rules: fault %s of %s: %w", f.text, f.at.Path, err)
	}
	for i := range results {
		if results[i].Trace == nil {
			continue
		}
		if err := sys.Confirm(properties[i], results[i].Trace, r.without...); err != nil {
			return a, fmt.Errorf("rules: the run that answers %s with fault %s of %s could not be repeated: %w", results[i].Property, f.text, f.at.Path, err)
		}
	}
	shows, restarts, possible := results[len(within)], results[len(within)+1], results[len(within)+2]
	for i, q := range within {
		p := q.answered(FaultUndecided, results[i].Reason)
		switch {
		case results[i].Verdict == logic.Refuted:
			p.Answer, p.Story = FaultBroken, r.system.systemStory(q.property, results[i])
		case possible.Verdict != logic.Reached:
			p.Reason = "no run keeps the assumptions with this fault"
		case results[i].Verdict == logic.Proved:
			p.Answer = FaultKept
		}
		a.Proofs = append(a.Proofs, p)
	}
	r.judge(&a, f, shows, restarts)
	return a, nil
}

// judge tells whether a fault is noticed.
func (r *faultRun) judge(a *FaultAnswer, f singleFault, shows, restarts logic.Result) {
	switch {
	case f.noticed != "" && f.itself:
		a.Notice = Noticed
	case shows.Verdict == logic.Unreachable:
		a.Notice, a.Reason = NoEffect, "by itself it changes nothing, so nothing tells of it"
	case len(r.drives) == 0:
		a.Notice, a.Reason = NoticeUndecided, "no drive has a value run, so nothing tells when motion begins"
	case !f.moves:
		a.Notice, a.Reason = NoEffect, "no motion depends on it"
	case restarts.Verdict == logic.Refuted:
		a.Notice, a.Restart, a.Reason = NotNoticed, r.system.story(restarts, nil), ""
	case restarts.Verdict == logic.Proved && shows.Verdict == logic.Reached:
		a.Notice = Noticed
	default:
		a.Notice, a.Reason = NoticeUndecided, restarts.Reason+shows.Reason
	}
}

// driveQuestion is a drive whose motion is watched.
type driveQuestion struct {
	faultQuestion
	begins logic.Bool
}

// readDrives finds the beginnings of motion, and the values that tell a fault.
func (r *faultRun) readDrives() {
	s, sys := r.system.signals, r.system.sys
	for _, d := range r.world.machine.Drives {
		v := s.words[word{d, "run"}]
		if v == nil || v.failed {
			continue
		}
		command, ok := v.value.(truthSymbol)
		if !ok {
			continue
		}
		begins := sys.Began(command.Bool)
		if energy, ok := v.effect.(truthSymbol); ok {
			begins = sys.Or(sys.And(begins, energy.Bool), sys.Began(energy.Bool))
		}
		q := driveQuestion{begins: begins}
		q.property = logic.Always("motion of "+d.Name, begins)
		r.drives = append(r.drives, q)
	}
	for _, lv := range r.world.machine.Logic.Values {
		v := s.valueOf(lv)
		if v == nil || !tellsFault(lv) {
			continue
		}
		if x, ok := v.value.(truthSymbol); ok {
			q := faultQuestion{told: x.Bool}
			q.property = logic.Always(lv.Name, x.Bool)
			r.told = append(r.told, q)
		}
	}
}

// tellsFault tells whether a value tells of a fault by its name.
func tellsFault(v *model.LogicValue) bool {
	for _, name := range []string{v.Name, v.Word} {
		if name == "fault" || len(name) > 6 && name[len(name)-6:] == "_fault" {
			return true
		}
	}
	return false
}
