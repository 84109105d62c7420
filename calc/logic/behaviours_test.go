package logic

import (
	"fmt"
	"strings"
	"testing"
)

// The designs in this file are small interlocks, 13 wrong and 12 right ones, with verdicts and fewest steps found
// independently of this package by exhaustive search over the reachable states of the same equations (derived values; the
// program that derived them is not part of the project). The operators are those of past-time linear temporal logic; see
// past.go. Numbers of steps such as the window of a reset press are small on purpose.

// draft is a system under construction with what is expected of it.
type draft struct {
	*System
	variant string // a deliberate change of the design, "" for the design itself
	expect  []expectation
	runs    []recordedRun
}

// expectation is a property with its verdict; steps is the length of the shortest trace, 0 where there is none.
type expectation struct {
	property Property
	verdict  Verdict
	steps    int
	// first is the step at which the design's recorded run breaks the property, noStep where it doesn't.
	first int
}

const noStep = -1

// recordedRun is a sequence of inputs with the outputs that must come out: "inputs | outputs" per step, those that are true.
type recordedRun struct {
	outputs []string
	steps   []string
}

// mem is the memory of a net: its value of the step before.
func (d *draft) mem(name string, init bool) Bool { return d.Latch(name+".was", init) }

// def names a net and feeds its memory.
func (d *draft) def(name string, was, e Bool) Bool {
	n := d.Signal(name, e)
	d.SetNext(was, n)
	return n
}

func (d *draft) counter(name string, lo, hi, init int64) Int {
	return d.IntLatch(name+".was", lo, hi, init)
}

func (d *draft) defInt(name string, was, e Int) Int {
	n := d.IntSignal(name, e)
	d.SetNextInt(was, n)
	return n
}

func (d *draft) holds(name string, e Bool) {
	d.expect = append(d.expect, expectation{Always(name, e), Proved, 0, noStep})
}

// fails expects a shortest counterexample of so many steps; first is the step at which the recorded run breaks it.
func (d *draft) fails(name string, steps, first int, e Bool) {
	d.expect = append(d.expect, expectation{Always(name, e), Refuted, steps, first})
}

func (d *draft) reaches(name string, steps int, e Bool) {
	d.expect = append(d.expect, expectation{Reachable(name, e), Reached, steps, noStep})
}

func (d *draft) run(outputs string, steps ...string) {
	d.runs = append(d.runs, recordedRun{strings.Fields(outputs), steps})
}

func (d *draft) inputs(names ...string) []Bool {
	var in []Bool
	for _, n := range names {
		in = append(in, d.Input(n))
	}
	return in
}

// coasting is the mass: it moves in the step after one with run, and then until halt, but for at most limit steps without
// run.
func (d *draft) coasting(runWas, halt Bool, limit int64) Bool {
	movingWas := d.mem("moving", false)
	idle := d.counter("idle", 0, 8, 8) // steps without run before this one
	return d.def("moving", movingWas, d.Or(runWas, d.And(movingWas, d.Not(halt), d.Less(idle, d.IntConst(limit)))))
}

// coastingCount feeds the counter of coasting once run is known.
func (d *draft) coastingCount(run Bool) {
	idle, _ := d.LookupInt("idle.was")
	d.SetNextInt(idle, d.IfInt(run, d.IntConst(0), d.AddSat(idle, d.IntConst(1), 0, 8)))
}

// guardLocked assumes that the guard leaves closed only when the bolt was out the step before.
func (d *draft) guardLocked(g, lockWas Bool) {
	gWas := d.Latch("g.was", true)
	d.SetNext(gWas, g)
	d.Assume("guard stays closed while bolted", d.Or(g, d.Not(gWas), d.Not(lockWas)))
}

// person assumes that inside changes only through the open guard.
func (d *draft) person(g, inside Bool) {
	gWas, insideWas := d.Latch("g.was", true), d.Latch("inside.was", false)
	d.SetNext(gWas, g)
	d.SetNext(insideWas, inside)
	d.Assume("persons pass only through the guard", d.Or(d.Iff(inside, insideWas), d.Not(g), d.Not(gWas)))
}

func (d *draft) when(pre, e Bool) Bool { return d.Implies(pre, e) }

type design struct {
	name  string
	build func(d *draft)
}

func (x design) draft(variant string) *draft {
	d := &draft{System: New(), variant: variant}
	x.build(d)
	return d
}

var wrongDesigns = []design{
	{"edge of the wrong signal", func(d *draft) {
		in := d.inputs("ok", "rst", "start")
		ok, rst, start := in[0], in[1], in[2]
		armedWas, runWas := d.mem("armed", false), d.mem("run", false)
		c := d.And(ok, rst)
		armed := d.def("armed", armedWas, d.And(ok, d.Or(armedWas, d.Rose(c))))
		d.def("run", runWas, d.And(armed, d.Or(runWas, d.Rose(start))))
		d.run("armed run", "ok |", "ok rst | armed", "ok rst start | armed run", "rst |", "ok rst | armed", "ok rst start | armed run")
		d.fails("reset-trailing-edge", 2, 1, d.when(d.Began(armed), d.Fell(rst)))
		d.fails("reset-needs-action", 2, 4, d.when(d.Began(armed), d.Or(d.Rose(rst), d.Fell(rst))))
	}},
	{"emergency stop behind the memory", func(d *draft) {
		in := d.inputs("es", "start", "stop")
		es, start, stop := in[0], in[1], in[2]
		latchWas := d.mem("latch", false)
		l := d.def("latch", latchWas, d.And(d.Or(latchWas, d.Rose(start)), d.Not(stop)))
		run := d.Signal("run", d.And(l, es))
		d.run("run", "es |", "es start | run", "es | run", "|", "es | run")
		d.fails("no-restart-without-start", 3, 4, d.when(d.Began(run), d.Rose(start)))
		d.holds("stop-dominates", d.when(run, d.And(es, d.Not(stop))))
	}},
	{"unlock while coasting", func(d *draft) {
		in := d.inputs("g", "start", "stop", "unl", "halt")
		g, start, stop, unl, halt := in[0], in[1], in[2], in[3], in[4]
		runWas, lockWas := d.mem("run", false), d.mem("lock", true)
		run := d.def("run", runWas, d.Or(d.And(start, d.Not(stop), g, lockWas), d.And(runWas, d.Not(stop), g)))
		lock := d.def("lock", lockWas, d.And(d.Not(d.And(unl, d.Not(run))), g))
		moving := d.coasting(runWas, halt, 4)
		d.coastingCount(run)
		d.guardLocked(g, lockWas)
		d.run("run moving lock", "g | lock", "g start | run lock", "g stop | moving lock", "g unl | moving", "unl | moving")
		d.fails("unlock-only-at-standstill", 2, 3, d.when(d.Not(lock), d.Not(moving)))
		d.fails("no-access-while-moving", 3, 4, d.when(d.Not(g), d.Not(moving)))
	}},
	{"two-hand control without anti-tie-down", func(d *draft) {
		in := d.inputs("l", "r")
		l, r := in[0], in[1]
		run := d.Signal("run", d.And(l, r))
		d.run("run", "|", "l |", "l r | run", "l |", "l r | run")
		d.holds("both-hands", d.when(run, d.And(l, r)))
		idle := d.Not(run)
		d.fails("anti-tie-down", 1, 4, d.when(d.Began(run), d.And(
			d.Pre(d.Since(idle, d.And(idle, d.Not(l)))), d.Pre(d.Since(idle, d.And(idle, d.Not(r)))))))
		d.fails("synchronous-actuation", 1, 4, d.when(d.Began(run), d.And(d.Within(3, d.Rose(l)), d.Within(3, d.Rose(r)))))
	}},
	{"reset within reach from inside", func(d *draft) {
		in := d.inputs("g", "inside", "rin", "start")
		g, inside, rin, start := in[0], in[1], in[2], in[3]
		armedWas, runWas := d.mem("armed", false), d.mem("run", false)
		armed := d.def("armed", armedWas, d.And(g, d.Or(armedWas, d.Fell(rin))))
		run := d.def("run", runWas, d.And(armed, d.Or(runWas, d.Rose(start))))
		d.Assume("inner reset only from inside", d.Implies(rin, inside))
		d.person(g, inside)
		d.run("armed run", "g |", "inside |", "g inside |", "g inside rin |", "g inside | armed", "g inside start | armed run")
		d.fails("nobody-inside-when-running", 2, 5, d.when(run, d.Not(inside)))
		d.fails("arm-only-when-empty", 2, 4, d.when(d.Began(armed), d.Not(inside)))
	}},
	{"maintained start switch", func(d *draft) {
		in := d.inputs("g", "sw")
		g, sw := in[0], in[1]
		run := d.Signal("run", d.And(g, sw))
		d.run("run", "g |", "g sw | run", "sw |", "g sw | run")
		d.fails("no-restart-without-start", 1, 3, d.when(d.Began(run), d.Rose(sw)))
	}},
	{"two zones share one reset", func(d *draft) {
		in := d.inputs("okA", "okB", "rA", "rB")
		okA, okB, rA, rB := in[0], in[1], in[2], in[3]
		aWas, bWas := d.mem("armedA", false), d.mem("armedB", false)
		p := d.Or(rA, rB)
		a := d.def("armedA", aWas, d.And(okA, d.Or(aWas, d.Fell(p))))
		b := d.def("armedB", bWas, d.And(okB, d.Or(bWas, d.Fell(p))))
		d.run("armedA armedB", "okA okB rA |", "okA okB | armedA armedB", "okA | armedA", "okA okB | armedA",
			"okA okB rA | armedA", "okA okB | armedA armedB")
		d.fails("reset-own-zone", 2, 1, d.And(d.when(d.Began(a), d.Fell(rA)), d.when(d.Began(b), d.Fell(rB))))
	}},
	{"lock condition lost over a power cycle", func(d *draft) { timedUnlock(d, 5, 4) }},
	{"sensor failure read as standstill", func(d *draft) {
		in := d.inputs("start", "stop", "unl", "halt", "wirebreak")
		start, stop, unl, halt, wirebreak := in[0], in[1], in[2], in[3], in[4]
		runWas, lockWas, brokenWas := d.mem("run", false), d.mem("lock", true), d.mem("broken", false)
		moving := d.coasting(runWas, halt, 4)
		broken := d.def("broken", brokenWas, d.Or(brokenWas, wirebreak))
		still := d.Signal("still", d.Or(d.Not(moving), broken))
		run := d.def("run", runWas, d.And(d.Or(runWas, d.And(d.Rose(start), lockWas)), d.Not(stop)))
		lock := d.def("lock", lockWas, d.Not(d.And(unl, d.Not(run), still)))
		d.coastingCount(run)
		d.run("run moving lock still", "| lock still", "start | run lock still", "wirebreak | run moving lock still",
			"stop | moving lock still", "unl | moving still")
		d.fails("unlock-only-at-standstill", 3, 4, d.when(d.Not(lock), d.Not(moving)))
	}},
	{"muting left on", func(d *draft) {
		in := d.inputs("m1", "m2", "clear", "start")
		m1, m2, clear, start := in[0], in[1], in[2], in[3]
		muteWas, runWas := d.mem("mute", false), d.mem("run", false)
		both := d.And(m1, m2)
		mute := d.def("mute", muteWas, d.And(d.Or(muteWas, d.And(d.Rose(both), clear)), both))
		run := d.def("run", runWas, d.And(d.Or(clear, mute), d.Or(runWas, d.Rose(start))))
		d.run("mute run", "clear |", "clear start | run", "m1 clear | run", "m1 m2 clear | mute run", "m1 m2 | mute run",
			"m1 m2 clear | mute run", "m1 m2 clear | mute run", "m1 m2 clear | mute run", "m1 m2 | mute run")
		d.fails("muting-limited-in-time", 6, 8, d.when(d.And(run, d.Not(clear)), d.And(mute, d.Within(4, d.Began(mute)))))
		d.holds("muting-needs-both-sensors", d.when(mute, d.And(m1, m2)))
	}},
	{"acknowledged before the fault is gone", func(d *draft) {
		in := d.inputs("fault", "ack")
		fault, ack := in[0], in[1]
		memWas, okWas := d.mem("mem", false), d.mem("ok", true)
		mem := d.Or(memWas, d.Rose(ack))
		ok := d.def("ok", okWas, d.And(d.Not(fault), d.Or(okWas, mem)))
		d.def("mem", memWas, d.And(mem, d.Not(ok)))
		d.run("ok", "| ok", "fault |", "fault ack |", "fault |", "| ok")
		d.fails("ack-after-fault-gone", 2, 4, ackAfterFaultGone(d, ok, fault, ack))
		d.holds("fault-passivates", d.when(fault, d.Not(ok)))
	}},
	{"start held during reset", func(d *draft) {
		in := d.inputs("ok", "rst", "start")
		ok, rst, start := in[0], in[1], in[2]
		armedWas, runWas := d.mem("armed", false), d.mem("run", false)
		armed := d.def("armed", armedWas, d.And(ok, d.Or(armedWas, d.Fell(rst))))
		run := d.def("run", runWas, d.And(armed, d.Or(runWas, start)))
		d.run("armed run", "ok |", "ok start |", "ok rst start |", "ok start | armed run")
		d.fails("reset-does-not-start", 2, 3, d.when(d.Began(run), d.Pre(armed)))
		d.fails("no-restart-without-start", 2, 3, d.when(d.Began(run), d.Rose(start)))
	}},
	{"enabling switch re-enables on the way back", func(d *draft) {
		in := d.inputs("en2", "en3", "jog")
		en2, en3, jog := in[0], in[1], in[2]
		run := d.Signal("run", d.And(en2, d.Not(en3), jog))
		d.Assume("middle and squeezed exclude each other", d.Not(d.And(en2, en3)))
		d.run("run", "|", "en2 |", "en2 jog | run", "en3 jog |", "en2 jog | run")
		d.fails("enable-not-from-squeezed", 1, 4,
			d.when(run, d.And(en2, d.Since(d.Not(en3), d.And(d.Not(en2), d.Not(en3))))))
	}},
}

func ackAfterFaultGone(d *draft, ok, fault, ack Bool) Bool {
	return d.when(d.Rose(ok), d.And(d.Rose(ack), d.Not(fault), d.Pre(d.Not(fault))))
}

// timedUnlock is a guard lock released some steps after the run, with a supply that can fail. atPowerUp is the value of the
// timer without supply: 5 "already elapsed" (wrong), 0 (right).
func timedUnlock(d *draft, atPowerUp, coast int64) {
	in := d.inputs("pwr", "start", "stop", "unl", "halt")
	pwr, start, stop, unl, halt := in[0], in[1], in[2], in[3], in[4]
	wanted := int64(5)
	if d.variant == "timer one step shorter" {
		wanted = 4
	}
	if d.variant == "coasts one step longer" {
		coast++
	}
	runWas, lockWas := d.mem("run", false), d.mem("lock", true)
	timerWas := d.counter("timer", 0, 5, atPowerUp)
	low := d.Latch("start seen low", false) // the edge memory, lost with the supply
	d.SetNext(low, d.And(pwr, d.Not(start)))
	moving := d.coasting(runWas, halt, coast)
	run := d.def("run", runWas, d.And(pwr, d.Or(runWas, d.And(start, low, lockWas)), d.Not(stop)))
	timer := d.defInt("timer", timerWas, d.IfInt(pwr,
		d.IfInt(run, d.IntConst(0), d.AddSat(timerWas, d.IntConst(1), 0, 5)), d.IntConst(atPowerUp)))
	lock := d.def("lock", lockWas, d.Or(d.Not(pwr), d.Not(d.And(unl, d.Not(run), d.LessEq(d.IntConst(wanted), timer)))))
	d.coastingCount(run)
	standstill := d.when(d.Not(lock), d.Not(moving))
	if atPowerUp == 5 {
		d.run("run moving lock", "pwr | lock", "pwr start | run lock", "pwr | run moving lock", "| moving lock", "pwr unl | moving")
		d.fails("unlock-only-at-standstill", 4, 4, standstill)
		return
	}
	d.holds("unlock-only-at-standstill", standstill)
	d.holds("timed-unlock", d.when(d.Not(lock), d.Held(5, d.Not(run))))
	d.holds("power-up-locked", d.when(d.Not(lock), d.Held(5, pwr)))
	d.holds("no-restart-without-start", d.when(d.Began(run), d.Rose(start)))
	d.reaches("run", 2, run)
	d.reaches("unlocked after a run", 7, d.And(d.Not(lock), d.Once(run)))
}

// again is true when e begins a second time.
func (d *draft) again(e Bool) Bool { return d.And(d.Began(e), d.Pre(d.Once(e))) }

var rightDesigns = []design{
	{"reset with a pulse window", func(d *draft) {
		in := d.inputs("ok", "rst", "start")
		ok, rst, start := in[0], in[1], in[2]
		limit := d.variant != "no upper limit of the press"
		armedWas, runWas, badWas := d.mem("armed", false), d.mem("run", false), d.mem("bad", true)
		nWas := d.counter("n", 0, 5, 0)
		n := d.defInt("n", nWas, d.IfInt(rst, d.AddSat(nWas, d.IntConst(1), 0, 5), d.IntConst(0)))
		bad := badWas
		if limit {
			bad = d.Or(bad, d.Less(d.IntConst(4), n))
		}
		if d.variant != "ok during the press left out" {
			bad = d.Or(bad, d.Not(ok))
		}
		d.def("bad", badWas, d.And(rst, bad))
		window := d.LessEq(d.IntConst(2), nWas)
		if limit {
			window = d.And(window, d.LessEq(nWas, d.IntConst(4)))
		}
		fe := d.And(d.Not(rst), window, d.Not(badWas), ok)
		armed := d.def("armed", armedWas, d.And(ok, d.Or(armedWas, fe)))
		run := d.def("run", runWas, d.And(armed, armedWas, d.Or(runWas, d.Rose(start))))
		d.holds("reset-trailing-edge", d.when(d.Began(armed), d.Fell(rst)))
		d.holds("reset-pulse-window", d.when(d.Began(armed),
			d.And(d.Fell(rst), d.Pre(d.Held(2, rst)), d.Not(d.Pre(d.Held(5, rst))))))
		d.holds("ready-during-press", d.when(d.Began(armed), d.And(ok, d.Pre(d.Since(d.And(rst, ok), d.And(d.Rose(rst), ok))))))
		d.holds("reset-does-not-start", d.when(d.Began(run), d.Pre(armed)))
		d.holds("no-restart-without-start", d.when(d.Began(run), d.Rose(start)))
		d.holds("no-run-without-reset-since-demand", d.when(run, d.Since(ok, d.Fell(rst))))
		d.holds("demand-stops", d.when(d.Not(ok), d.Not(run)))
		d.reaches("run", 5, run)
		d.reaches("run again", 10, d.again(run))
	}},
	{"emergency stop and guard into reset needed", func(d *draft) {
		in := d.inputs("es", "g", "rst", "start", "stop")
		es, g, rst, start, stop := in[0], in[1], in[2], in[3], in[4]
		armedWas, runWas := d.mem("armed", false), d.mem("run", false)
		armed := d.def("armed", armedWas, d.And(es, g, d.Or(armedWas, d.Fell(rst))))
		before := armedWas
		if d.variant == "armed before left out" {
			before = d.True()
		}
		run := d.def("run", runWas, d.And(armed, before, d.Or(runWas, d.Rose(start)), d.Not(stop)))
		d.holds("stop-dominates", d.when(run, d.And(es, g, d.Not(stop))))
		d.holds("no-restart-without-start", d.when(d.Began(run), d.Rose(start)))
		d.holds("no-run-without-reset-since-demand", d.when(run, d.Since(d.And(es, g), d.Fell(rst))))
		d.holds("reset-does-not-start", d.when(d.Began(run), d.Pre(armed)))
		d.reaches("run", 3, run)
		d.reaches("run again after emergency stop", 6, d.And(d.Began(run), d.Once(d.And(d.Not(es), d.Once(run)))))
	}},
	{"guard locking with two standstill channels", func(d *draft) {
		in := d.inputs("g", "start", "stop", "unl", "halt", "brk", "rst")
		g, start, stop, unl, halt, brk, rst := in[0], in[1], in[2], in[3], in[4], in[5], in[6]
		armedWas, runWas, lockWas, brokenWas := d.mem("armed", false), d.mem("run", false), d.mem("lock", true), d.mem("broken1", false)
		coast := int64(4)
		if d.variant == "coasts one step longer" {
			coast++
		}
		moving := d.coasting(runWas, halt, coast)
		broken := d.def("broken1", brokenWas, d.Or(brokenWas, brk))
		s1, s2 := d.Or(d.Not(moving), broken), d.Not(moving)
		still := d.And(s1, s2)
		switch d.variant {
		case "one standstill channel":
			still = s1
		case "one or the other channel":
			still = d.Or(s1, s2)
		}
		armed := d.And(g, lockWas, d.Or(armedWas, d.Fell(rst)))
		run := d.And(armed, armedWas, d.Or(runWas, d.Rose(start)), d.Not(stop), d.Not(unl))
		unlock := d.Or(d.And(unl, d.Not(run), still), d.Not(g))
		lock := d.def("lock", lockWas, d.And(d.Not(unlock), d.Or(d.And(g, d.Not(unl)), lockWas)))
		d.def("armed", armedWas, d.And(armed, lock))
		run = d.def("run", runWas, d.And(run, lock))
		d.coastingCount(run)
		d.guardLocked(g, lockWas)
		d.holds("unlock-only-at-standstill", d.when(d.Not(lock), d.Not(moving)))
		d.holds("no-access-while-moving", d.when(d.Not(g), d.Not(moving)))
		d.holds("run-only-closed-and-locked", d.when(run, d.And(g, lock)))
		d.holds("no-restart-without-start", d.when(d.Began(run), d.Rose(start)))
		d.holds("no-run-without-reset-since-demand", d.when(run, d.Since(g, d.Fell(rst))))
		d.reaches("run", 3, run)
		d.reaches("run after opening", 5, d.And(run, d.Once(d.Not(g))))
		d.reaches("opened after a run with one channel broken", 6, d.And(d.Not(g), d.Once(run), broken))
	}},
	{"two-hand control with synchronous actuation", func(d *draft) {
		in := d.inputs("l", "r")
		l, r := in[0], in[1]
		runWas, relLWas, relRWas := d.mem("run", false), d.mem("relL", false), d.mem("relR", false)
		tLWas, tRWas := d.counter("tL", 0, 4, 4), d.counter("tR", 0, 4, 4)
		age := func(name string, was Int, pressed Bool) Int {
			return d.defInt(name, was, d.IfInt(pressed, d.AddSat(was, d.IntConst(1), 0, 4), d.IntConst(0)))
		}
		tL, tR := age("tL", tLWas, l), age("tR", tRWas, r)
		relL := d.Or(relLWas, d.And(d.Not(l), d.Not(runWas)))
		relR := d.Or(relRWas, d.And(d.Not(r), d.Not(runWas)))
		begin := d.True()
		if d.variant != "releases left out" {
			begin = d.And(begin, relL, relR)
		}
		if d.variant != "age test left out" {
			begin = d.And(begin, d.LessEq(tL, d.IntConst(3)), d.LessEq(tR, d.IntConst(3)))
		}
		run := d.def("run", runWas, d.And(l, r, d.Or(runWas, begin)))
		clear := d.Began(run)
		if d.variant != "clearing without run left out" {
			clear = d.Or(clear, d.And(l, r, d.Not(run)))
		}
		d.def("relL", relLWas, d.And(relL, d.Not(clear)))
		d.def("relR", relRWas, d.And(relR, d.Not(clear)))
		idle := d.Not(run)
		d.holds("both-hands", d.when(run, d.And(l, r)))
		d.holds("anti-tie-down", d.when(d.Began(run), d.And(
			d.Pre(d.Since(idle, d.And(idle, d.Not(l)))), d.Pre(d.Since(idle, d.And(idle, d.Not(r)))))))
		d.holds("synchronous-actuation", d.when(d.Began(run), d.And(d.Within(3, d.Rose(l)), d.Within(3, d.Rose(r)))))
		d.holds("release-stops", d.when(run, d.And(l, r)))
		d.reaches("run", 2, run)
		d.reaches("run again", 5, d.again(run))
	}},
	{"two zones with span of control", func(d *draft) {
		in := d.inputs("es", "gA", "gB", "rA", "rB")
		es, gA, gB, rA, rB := in[0], in[1], in[2], in[3], in[4]
		aWas, bWas := d.mem("armedA", false), d.mem("armedB", false)
		a := d.def("armedA", aWas, d.And(es, gA, d.Or(aWas, d.Fell(rA))))
		span := gA
		if d.variant == "gate A left out of zone B" {
			span = d.True()
		}
		b := d.def("armedB", bWas, d.And(es, span, gB, d.Or(bWas, d.Fell(rB))))
		d.holds("reset-own-zone", d.And(d.when(d.Began(a), d.Fell(rA)), d.when(d.Began(b), d.Fell(rB))))
		d.holds("global-stop-dominates", d.when(d.Not(es), d.And(d.Not(a), d.Not(b))))
		d.holds("gate-stops-own-and-span", d.And(d.when(d.Not(gA), d.And(d.Not(a), d.Not(b))), d.when(d.Not(gB), d.Not(b))))
		d.holds("gate-stops-nothing-else", d.when(d.Fell(a), d.Or(d.Not(es), d.Not(gA))))
		d.reaches("A armed while gate B is open", 2, d.And(a, d.Not(gB)))
		d.reaches("both", 2, d.And(a, b))
	}},
	{"two-stage reset", func(d *draft) {
		in := d.inputs("g", "inside", "rin", "rout", "start")
		g, inside, rin, rout, start := in[0], in[1], in[2], in[3], in[4]
		armedWas, runWas, goodWas := d.mem("armed", false), d.mem("run", false), d.mem("good", false)
		pre4Was := d.counter("pre4", 0, 4, 0)
		pre4 := d.IfInt(d.And(d.Fell(rin), d.Not(g)), d.IntConst(4), d.AddSat(pre4Was, d.IntConst(-1), 0, 4))
		d.def("good", goodWas, d.And(rout, g, d.Or(goodWas, d.Rose(rout))))
		armed := d.def("armed", armedWas, d.And(g, d.Or(armedWas,
			d.And(d.Not(rout), goodWas, d.Less(d.IntConst(0), pre4)))))
		d.defInt("pre4", pre4Was, d.IfInt(d.Began(armed), d.IntConst(0), pre4))
		run := d.def("run", runWas, d.And(armed, armedWas, d.Or(runWas, d.Rose(start))))
		d.Assume("inner reset only from inside", d.Implies(rin, inside))
		d.Assume("outer reset only with view of an empty zone", d.Implies(rout, d.Not(inside)))
		d.person(g, inside)
		d.holds("nobody-inside-when-running", d.when(run, d.Not(inside)))
		d.holds("arm-only-when-empty", d.when(d.Began(armed), d.Not(inside)))
		d.holds("two-stage-order-and-time", d.when(d.Began(armed), d.And(d.Fell(rout), d.Within(4, d.Fell(rin)))))
		d.reaches("run", 5, run)
	}},
	{"muting with limits", func(d *draft) {
		in := d.inputs("m1", "m2", "clear", "start", "lamp")
		m1, m2, clear, start, lamp := in[0], in[1], in[2], in[3], in[4]
		limit := int64(4)
		if d.variant == "one muting step more" {
			limit = 5
		}
		muteWas, runWas, blockedWas := d.mem("mute", false), d.mem("run", false), d.mem("blocked", true)
		t1Was, t2Was, usedWas := d.counter("t1", 0, 3, 3), d.counter("t2", 0, 3, 3), d.counter("used", 0, 5, 0)
		age := func(name string, was Int, on Bool) Int {
			return d.defInt(name, was, d.IfInt(on, d.AddSat(was, d.IntConst(1), 0, 3), d.IntConst(0)))
		}
		t1, t2 := age("t1", t1Was, m1), age("t2", t2Was, m2)
		two := d.IntConst(2)
		begin := d.And(m1, m2, d.LessEq(t1, two), d.LessEq(t2, two), clear, lamp, d.Not(blockedWas))
		stay := d.And(muteWas, m1, m2, lamp, d.Less(usedWas, d.IntConst(limit)))
		mute := d.def("mute", muteWas, d.If(muteWas, stay, begin))
		d.defInt("used", usedWas, d.IfInt(mute, d.AddSat(usedWas, d.IntConst(1), 0, 5), d.IntConst(0)))
		free := d.And(d.Not(m1), d.Not(m2))
		d.def("blocked", blockedWas, d.And(d.Not(free), d.Or(blockedWas, d.And(muteWas, d.Not(mute)))))
		run := d.def("run", runWas, d.And(d.Or(clear, mute), d.Or(runWas, d.Rose(start))))
		d.holds("muting-limited-in-time", d.when(d.And(run, d.Not(clear)), d.And(mute, d.Within(4, d.Began(mute)))))
		d.holds("muting-needs-both-sensors", d.when(mute, d.And(m1, m2)))
		d.holds("muting-synchronous-start", d.when(d.Began(mute), d.And(d.Within(2, d.Rose(m1)), d.Within(2, d.Rose(m2)), clear)))
		d.holds("muting-sensors-free-between", d.when(d.Began(mute), d.Pre(d.Since(d.Not(mute), d.And(d.Not(mute), free)))))
		d.holds("muting-lamp", d.when(mute, lamp))
		d.holds("no-restart-without-start", d.when(d.Began(run), d.Rose(start)))
		d.reaches("run through muting", 3, d.And(run, mute, d.Not(clear)))
		d.reaches("mute twice", 4, d.again(mute))
	}},
	{"two ports with acknowledgement", func(d *draft) {
		in := d.inputs("f1", "f2", "ack")
		ack := in[2]
		var ok []Bool
		for i, f := range in[:2] {
			was := d.mem(fmt.Sprintf("ok%d", i+1), true)
			before := d.Pre(d.Not(f))
			if d.variant == "step before left out" {
				before = d.True()
			}
			ok = append(ok, d.def(fmt.Sprintf("ok%d", i+1), was, d.And(d.Not(f), d.Or(was, d.And(d.Rose(ack), before)))))
		}
		d.holds("ack-after-fault-gone-1", ackAfterFaultGone(d, ok[0], in[0], ack))
		d.holds("ack-after-fault-gone-2", ackAfterFaultGone(d, ok[1], in[1], ack))
		d.holds("fault-passivates", d.And(d.when(in[0], d.Not(ok[0])), d.when(in[1], d.Not(ok[1]))))
		d.holds("fault-local", d.And(d.when(d.Fell(ok[0]), in[0]), d.when(d.Fell(ok[1]), in[1])))
		d.reaches("ok1 again while ok2 stayed", 3, d.And(d.Rose(ok[0]), d.Hist(ok[1])))
	}},
	{"timed unlock over a power cycle", func(d *draft) { timedUnlock(d, 0, 4) }},
	{"contactor feedback", func(d *draft) {
		in := d.inputs("ok", "fb", "start")
		ok, fb, start := in[0], in[1], in[2]
		runWas, fltWas := d.mem("run", false), d.mem("flt", false)
		nWas := d.counter("n", 0, 2, 0)
		seen := fb
		if d.variant == "feedback left out of the start" {
			seen = d.True()
		}
		r := d.And(d.Or(runWas, d.And(d.Rose(start), seen, d.Not(fltWas))), ok, d.Not(fltWas))
		n := d.defInt("n", nWas, d.IfInt(d.Iff(r, fb), d.AddSat(nWas, d.IntConst(1), 0, 2), d.IntConst(0)))
		flt := d.def("flt", fltWas, d.Or(fltWas, d.LessEq(d.IntConst(2), n)))
		run := d.def("run", runWas, d.And(r, d.Not(flt)))
		d.holds("feedback-before-start", d.when(d.Began(run), fb))
		d.holds("welded-contactor-latches", d.when(d.Held(2, d.And(d.Not(run), d.Not(fb))), flt))
		d.holds("fault-keeps-stopped", d.when(flt, d.Not(run)))
		d.holds("no-restart-without-start", d.when(d.Began(run), d.Rose(start)))
		d.holds("latched", d.when(d.Pre(flt), flt))
		d.reaches("run", 2, run)
		d.reaches("run again", 4, d.again(run))
	}},
	{"reset lamp", func(d *draft) {
		in := d.inputs("es", "g", "rst")
		es, g, rst := in[0], in[1], in[2]
		armedWas := d.mem("armed", false)
		ready := d.And(es, g)
		armed := d.def("armed", armedWas, d.And(ready, d.Or(armedWas, d.Fell(rst))))
		lamp := d.IntSignal("lamp", d.IfInt(armed, d.IntConst(0), d.IfInt(ready, d.IntConst(1), d.IntConst(2))), "off", "flash", "steady")
		flash := d.Is(lamp, "flash")
		d.holds("lamp-off-iff-armed", d.Iff(d.Is(lamp, "off"), armed))
		d.holds("lamp-flash-iff-ready", d.Iff(flash, d.And(ready, d.Not(armed))))
		// Our reading: arming follows a step in which the lamp flashed, or one in which something was still open.
		d.holds("arm-was-announced", d.when(d.Began(armed), d.Pre(d.Or(flash, d.Not(ready)))))
		d.reaches("flash", 1, flash)
	}},
	{"escape release", func(d *draft) {
		in := d.inputs("g", "esc", "rst", "start")
		g, esc, rst, start := in[0], in[1], in[2], in[3]
		armedWas, runWas, lockWas := d.mem("armed", false), d.mem("run", false), d.mem("lock", true)
		armed := d.def("armed", armedWas, d.And(g, lockWas, d.Not(esc), d.Or(armedWas, d.Fell(rst))))
		run := d.def("run", runWas, d.And(armed, armedWas, d.Or(runWas, d.Rose(start))))
		lock := d.def("lock", lockWas, d.And(g, d.Not(esc)))
		d.holds("escape-stops", d.when(esc, d.Not(run)))
		d.holds("escape-needs-reset", d.when(run, d.Since(d.Not(esc), d.Fell(rst))))
		d.holds("escape-frees-bolt", d.when(esc, d.Not(lock)))
		d.holds("run-only-closed-and-locked", d.when(run, d.And(g, lock)))
		d.reaches("run", 3, run)
		d.reaches("run after escape", 4, d.And(run, d.Once(esc)))
	}},
}

// breaks are deliberate changes of right designs: the property that must then fail and its shortest counterexample. A change
// without a property must break nothing.
var breaks = []struct {
	design, variant, property string
	steps                     int
}{
	{"emergency stop and guard into reset needed", "armed before left out", "reset-does-not-start", 2},
	{"reset with a pulse window", "no upper limit of the press", "reset-pulse-window", 7},
	{"reset with a pulse window", "ok during the press left out", "ready-during-press", 4},
	{"guard locking with two standstill channels", "one standstill channel", "unlock-only-at-standstill", 4},
	{"guard locking with two standstill channels", "one or the other channel", "unlock-only-at-standstill", 4},
	{"guard locking with two standstill channels", "coasts one step longer", "", 0},
	{"two-hand control with synchronous actuation", "releases left out", "anti-tie-down", 4},
	{"two-hand control with synchronous actuation", "age test left out", "synchronous-actuation", 5},
	{"two-hand control with synchronous actuation", "clearing without run left out", "", 0},
	{"muting with limits", "one muting step more", "muting-limited-in-time", 6},
	{"two ports with acknowledgement", "step before left out", "ack-after-fault-gone-1", 2},
	{"timed unlock over a power cycle", "timer one step shorter", "unlock-only-at-standstill", 6},
	{"timed unlock over a power cycle", "coasts one step longer", "unlock-only-at-standstill", 7},
	{"contactor feedback", "feedback left out of the start", "feedback-before-start", 2},
	{"two zones with span of control", "gate A left out of zone B", "gate-stops-own-and-span", 2},
}

func allDesigns() []design { return append(append([]design(nil), wrongDesigns...), rightDesigns...) }

func designNamed(t *testing.T, name string) design {
	t.Helper()
	for _, x := range allDesigns() {
		if x.name == name {
			return x
		}
	}
	t.Fatalf("no design %q", name)
	return design{}
}

// checkResult compares a result with what is expected and confirms its trace.
func checkResult(t *testing.T, s *System, e expectation, r Result) {
	t.Helper()
	if r.Verdict != e.verdict || r.Steps != e.steps || (r.Trace != nil && !r.Shortest) {
		t.Errorf("%v, want %v in %d steps", r, e.verdict, e.steps)
		return
	}
	if r.Trace == nil {
		return
	}
	if err := s.Confirm(e.property, r.Trace); err != nil {
		t.Errorf("%v: %v\n%s", r, err, r.Trace.Table())
	}
}

// proveAll answers what is expected of the draft in one call and checks it.
func proveAll(t *testing.T, d *draft, options Options) {
	t.Helper()
	var props []Property
	for _, e := range d.expect {
		props = append(props, e.property)
	}
	results, err := Prove(t.Context(), d.System, props, options)
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range d.expect {
		checkResult(t, d.System, e, results[i])
	}
}

// TestDesigns checks verdicts and fewest steps of all designs.
func TestDesigns(t *testing.T) {
	for _, x := range allDesigns() {
		t.Run(x.name, func(t *testing.T) { proveAll(t, x.draft(""), Options{}) })
	}
}

// TestBreaks breaks right designs on purpose: the named property must fail, at exactly the stated length, and what is only
// belt and braces must change nothing.
func TestBreaks(t *testing.T) {
	for _, b := range breaks {
		t.Run(b.design+", "+b.variant, func(t *testing.T) {
			x := designNamed(t, b.design)
			d := x.draft(b.variant)
			if b.property == "" {
				proveAll(t, d, Options{})
				return
			}
			for _, e := range d.expect {
				if e.property.Name != b.property {
					continue
				}
				results, err := Prove(t.Context(), d.System, []Property{e.property}, Options{})
				if err != nil {
					t.Fatal(err)
				}
				checkResult(t, d.System, expectation{e.property, Refuted, b.steps, noStep}, results[0])
				return
			}
			t.Fatalf("no property %q", b.property)
		})
	}
}

// TestDesignsByPlainSearch checks the designs and the breaks with the plain search.
func TestDesignsByPlainSearch(t *testing.T) {
	for _, x := range allDesigns() {
		t.Run(x.name, func(t *testing.T) {
			d := x.draft("")
			for _, e := range d.expect {
				r, err := Explore(t.Context(), d.System, e.property, 1_000_000)
				if err != nil {
					t.Fatal(err)
				}
				checkResult(t, d.System, e, r)
			}
		})
	}
}

// TestRecordedRuns replays the known sequence of each wrong design: the outputs and the step of the first violation.
func TestRecordedRuns(t *testing.T) {
	for _, x := range wrongDesigns {
		t.Run(x.name, func(t *testing.T) {
			d := x.draft("")
			for _, e := range d.expect {
				d.Signal("property "+e.property.Name, e.property.expr)
			}
			for _, run := range d.runs {
				checkRun(t, d, run)
			}
		})
	}
}

func checkRun(t *testing.T, d *draft, run recordedRun) {
	t.Helper()
	var inputs []map[string]Value
	var want []string
	for _, line := range run.steps {
		in, out, _ := strings.Cut(line, "|")
		row := map[string]Value{}
		for _, name := range d.Inputs() {
			row[name] = False
		}
		for _, name := range strings.Fields(in) {
			row[name] = True
		}
		inputs = append(inputs, row)
		want = append(want, strings.TrimSpace(out))
	}
	tr, err := d.Run(inputs)
	if err != nil {
		t.Fatal(err)
	}
	for step := range want {
		var got []string
		for _, name := range run.outputs {
			if v, _ := tr.Value(step, name); v == True {
				got = append(got, name)
			}
		}
		if g := strings.Join(got, " "); g != want[step] {
			t.Errorf("step %d: outputs %q, want %q", step, g, want[step])
		}
	}
	for _, e := range d.expect {
		first := noStep
		for step := range want {
			if v, _ := tr.Value(step, "property "+e.property.Name); v != True {
				first = step
				break
			}
		}
		if first != e.first {
			t.Errorf("%s: first broken in step %d, want %d", e.property.Name, first, e.first)
		}
	}
}
