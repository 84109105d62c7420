package logic

import (
	"fmt"
	"strconv"
)

// plant is a machine of like zones for measurements: stop function with manual reset on release, guard lock release at
// standstill, and an interlock from zone to zone.
type plant struct {
	*System
	zones []zone
	dual  bool
	chain int // 0 none, 1 run needs run of the next zone in the same step, 2 start needs run of the next zone the step before
	timer int // steps of an on-delay before the lock is released, 0 none
	fault string
}

type zone struct {
	es, guards, rst, start, standstill     Bool
	stop, run, runWas, unlk, unlkWas, m1   Bool
	armedWas, needWas, m1Was, prst, pstart Bool
}

func newPlant(n int, p plant) *plant {
	p.System = New()
	es := p.And(p.contact("es1"), p.contact("es2"))
	p.zones = make([]zone, n)
	for z := range p.zones {
		p.Group("zone " + strconv.Itoa(z))
		p.declare(z, es)
	}
	for z := n - 1; z >= 0; z-- { // a zone may depend on the next one
		p.Group("zone " + strconv.Itoa(z))
		p.logic(z)
	}
	p.Group("")
	return &p
}

// contact is an input, or a pair of them that must agree on "in order".
func (p *plant) contact(name string) Bool {
	if !p.dual {
		return p.Input(name)
	}
	return p.And(p.Input(name+".a"), p.Input(name+".b"))
}

func (p *plant) declare(z int, es Bool) {
	prefix := "z" + strconv.Itoa(z) + "."
	name := func(s string) string { return prefix + s }
	x := &p.zones[z]
	x.es = es
	in := func(s string) Bool { return p.Input(name(s)) }
	ok, disc := p.True(), p.False()
	if p.dual {
		disc = p.Latch(name("disc"), false) // channels differ; forgotten when all of them have opened
		differ, open := p.False(), p.True()
		for _, g := range []string{"g1", "g2", "lst"} {
			a, b := in(g+".a"), in(g+".b")
			ok = p.And(ok, a, b)
			differ = p.Or(differ, p.Xor(a, b))
			open = p.And(open, p.Not(a), p.Not(b))
		}
		p.SetNext(disc, p.Or(differ, p.And(disc, p.Not(open))))
		ok = p.And(ok, in("lock feedback"))
	} else {
		ok = p.And(in("g1"), in("g2"), in("lst"))
	}
	x.guards = ok
	x.stop = p.Or(p.Not(es), p.Not(ok), disc, in("fault"))
	x.rst, x.start, x.standstill = in("rst"), in("start"), in("standstill")
	x.unlk = in("unlock request")
	x.armedWas, x.needWas, x.runWas = p.Latch(name("armed"), false), p.Latch(name("need"), true), p.Latch(name("run"), false)
	x.unlkWas, x.m1Was = p.Latch(name("unlocked"), false), p.Latch(name("m1"), true)
	x.prst, x.pstart = p.Latch(name("prst"), false), p.Latch(name("pstart"), false)
	p.SetNext(x.prst, x.rst)
	p.SetNext(x.pstart, x.start)
}

func (p *plant) logic(z int) {
	x := &p.zones[z]
	released := p.And(x.prst, p.Not(x.rst))
	armed := p.And(p.Not(x.stop), x.rst, p.Or(x.armedWas, p.And(x.rst, p.Not(x.prst))))
	reset := p.And(x.armedWas, p.Not(x.rst), p.Not(x.stop))
	if p.fault == "reset" && z == len(p.zones)/2 {
		reset = p.And(x.rst, p.Not(x.stop))
	}
	need := p.Or(x.stop, p.And(x.needWas, p.Not(reset)))
	still := p.And(x.standstill, p.Not(x.runWas))
	if p.fault == "unlock" && z == len(p.zones)/2 {
		still = p.Not(x.runWas)
	}
	if p.timer > 0 {
		still = p.And(still, p.OnDelay(p.timer-1, p.Not(x.runWas)))
	}
	request := x.unlk
	x.unlk = p.And(request, p.Or(x.unlkWas, still))
	start := p.And(x.start, p.Not(x.pstart))
	if p.chain == 2 && z+1 < len(p.zones) {
		start = p.And(start, p.zones[z+1].runWas)
	}
	run := p.And(p.Not(need), p.Not(x.unlk), p.Or(x.runWas, start))
	if p.chain == 1 && z+1 < len(p.zones) {
		run = p.And(run, p.zones[z+1].run)
	}
	x.run = p.Signal("z"+strconv.Itoa(z)+".run now", run)
	x.m1 = p.Or(x.stop, p.And(x.m1Was, p.Not(released)))
	p.SetNext(x.armedWas, armed)
	p.SetNext(x.needWas, need)
	p.SetNext(x.unlkWas, x.unlk)
	p.SetNext(x.runWas, x.run)
	p.SetNext(x.m1Was, x.m1)
}

// local returns the five bad situations of a zone: motion begins without a reset since the last stop; the lock opens without
// standstill; motion at emergency stop; motion while unlocked; motion with a guard open.
func (p *plant) local(z int) []Bool {
	x := &p.zones[z]
	begins := p.And(x.run, p.Not(x.runWas))
	opens := p.And(x.unlk, p.Not(x.unlkWas), p.Not(x.standstill))
	return []Bool{p.And(begins, x.m1), opens, p.And(p.Not(x.es), x.run), p.And(x.unlk, x.run), p.And(x.run, p.Not(x.guards))}
}

// locals are the five properties of every zone.
func (p *plant) locals() []Property {
	out := make([]Property, 0, 5*len(p.zones))
	for z := range p.zones {
		for i, bad := range p.local(z) {
			out = append(out, Always("zone "+strconv.Itoa(z)+", P"+strconv.Itoa(i+1), p.Not(bad)))
		}
	}
	return out
}

// whole are the properties of the whole machine: no motion at emergency stop; none of the local situations anywhere; while
// zone 0 runs, no zone waits for a reset.
func (p *plant) whole() []Property {
	var runs, all, waits []Bool
	for z := range p.zones {
		runs = append(runs, p.zones[z].run)
		all = append(all, p.local(z)...)
		waits = append(waits, p.zones[z].m1)
	}
	w := []Property{
		Always("W1", p.Not(p.And(p.Not(p.zones[0].es), p.Or(runs...)))),
		Always("W2", p.Not(p.Or(all...))),
	}
	if p.chain == 1 {
		w = append(w, Always("W3", p.Not(p.And(p.zones[0].run, p.Or(waits...)))))
	}
	return w
}

// standstillTime asks, with a counter of the property's own, that the lock opens only after the timer's steps without run.
func (p *plant) standstillTime(z, steps int) Property {
	x := &p.zones[z]
	age := p.IntLatch(fmt.Sprintf("z%d.monitor", z), 0, int64(steps), 0)
	idle := p.AddSat(age, p.IntConst(1), 0, int64(steps))
	now := p.IfInt(x.runWas, p.IntConst(0), idle)
	p.SetNextInt(age, now)
	opens := p.And(x.unlk, p.Not(x.unlkWas))
	return Always("timer", p.Not(p.And(opens, p.Less(now, p.IntConst(int64(steps))))))
}
