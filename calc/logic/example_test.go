package logic_test

import (
	"context"
	"fmt"

	"github.com/guardwright/guardwright/calc/logic"
)

// zone is a stop function with manual reset and a start button: the reset is taken when the button is let go, and the start
// counts only in a step after that.
func zone(startNeedsArming bool) (s *logic.System, guard, run, armed logic.Bool) {
	s = logic.New()
	es, guard := s.Input("emergency stop released"), s.Input("guard closed")
	reset, start := s.Input("reset"), s.Input("start")
	armedWas, runWas := s.Latch("armed before", false), s.Latch("run before", false)
	armed = s.Signal("armed", s.And(es, guard, s.Or(armedWas, s.Fell(reset))))
	permit := armed
	if startNeedsArming {
		permit = s.And(armed, armedWas)
	}
	run = s.Signal("run", s.And(permit, s.Or(runWas, s.Rose(start))))
	s.SetNext(armedWas, armed)
	s.SetNext(runWas, run)
	return s, guard, run, armed
}

func ExampleProve() {
	s, guard, run, armed := zone(true)
	results, err := logic.Prove(context.Background(), s, []logic.Property{
		logic.Always("guard open stops", s.Implies(run, guard)),
		logic.When("reset does not start", s.Began(run), s.Pre(armed)),
		logic.Reachable("the machine can run", run),
	}, logic.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range results {
		fmt.Println(r)
	}
	// Output:
	// guard open stops: proved
	// reset does not start: proved
	// the machine can run: reached in 3 steps
}

func ExampleTrace_Table() {
	s, _, run, armed := zone(false)
	results, err := logic.Prove(context.Background(), s, []logic.Property{
		logic.When("reset does not start", s.Began(run), s.Pre(armed)),
	}, logic.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(results[0])
	fmt.Print(results[0].Trace.Table())
	// Output:
	// reset does not start: refuted in 2 steps
	// step                     0  1
	// emergency stop released  .  1
	// guard closed             .  1
	// reset                    1  .
	// start                    .  1
	// armed                    .  1
	// run                      .  1
	// armed before             .  .
	// run before               .  .
}

func ExampleSystem_WithFault() {
	s := logic.New()
	button := s.Input("emergency stop released")
	channel := s.Signal("channel", button) // what the logic reads
	run := s.Signal("run", s.And(channel, s.Input("start")))
	p := logic.Always("emergency stop stops", s.Implies(s.Not(button), s.Not(run)))
	welded, err := s.WithFault(logic.Fault{Signal: "channel", Kind: logic.StuckTrue})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, x := range []*logic.System{s, welded} {
		results, err := logic.Prove(context.Background(), x, []logic.Property{p}, logic.Options{})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(results[0], results[0].Faults)
	}
	// Output:
	// emergency stop stops: proved []
	// emergency stop stops: refuted in 1 steps [channel stuck at true]
}

func ExampleMonitor() {
	s, guard, run, _ := zone(true)
	m, err := logic.NewMonitor(s, []logic.Property{logic.Always("guard open stops", s.Implies(run, guard))},
		[]string{"guard closed", "run"}, 10)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, row := range [][]logic.Value{
		{logic.True, logic.False}, {logic.True, logic.True}, {logic.Unknown, logic.True}, {logic.False, logic.True},
	} {
		if err := m.Step(row); err != nil {
			fmt.Println(err)
			return
		}
	}
	fmt.Println(m.Findings()[0])
	// Output:
	// guard open stops: broken in 1 of 4 steps, first in step 3, not known in 1, first in step 2
}

func ExampleCycle_AtLeast() {
	cycle := logic.Cycle(4_000_000) // 4 ms
	lock, _ := cycle.AtLeast(50_000_000)
	pulse, _ := cycle.AtMost(50_000_000)
	fmt.Println(lock)
	fmt.Println(pulse)
	// Output:
	// at least 50ms = 13 steps (52ms)
	// at most 50ms = 12 steps (48ms)
}
