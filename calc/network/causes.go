package network

import (
	"github.com/guardwright/guardwright/model"
)

// causes lists what in the power tree takes the supply of nodes away: each supply, protective device and feed behind which
// the sensor circuit of a node hangs, which feeds its electronics. The dead nodes of all causes are runs of one list,
// because what hangs behind a place in a tree can be numbered in a row.
func (t *topology) causes() []*Cause {
	p := powerTree{t: t}
	for _, s := range t.Machine.Power.Supplies {
		p.supply(s)
	}
	var out []*Cause
	for _, c := range p.found {
		if c.to > c.from {
			c.Dead = p.dead[c.from:c.to:c.to]
			out = append(out, &c.Cause)
		}
	}
	return out
}

type powerTree struct {
	t     *topology
	dead  []*Node
	found []*span
}

type span struct {
	Cause
	from, to int
}

// open notes a cause; what is listed until its end is what it kills.
func (p *powerTree) open(o model.Origin) *span {
	c := &span{Cause: Cause{Origin: o}, from: len(p.dead)}
	p.found = append(p.found, c)
	return c
}

func (p *powerTree) supply(s *model.Supply) {
	c := p.open(s.Origin)
	for _, q := range s.Protections {
		p.protection(q)
	}
	for _, f := range s.Feeds {
		p.feed(f)
	}
	c.to = len(p.dead)
}

func (p *powerTree) protection(q *model.Protection) {
	c := p.open(q.Origin)
	for _, below := range q.Protections {
		p.protection(below)
	}
	for _, f := range q.Feeds {
		p.feed(f)
	}
	c.to = len(p.dead)
}

func (p *powerTree) feed(f *model.FeedCircuit) {
	if f.Circuit != model.Sensor {
		return
	}
	c := p.open(f.Feed.Origin)
	to := f.Feed.To
	node := model.NetworkNode{Controller: to.Controller, Module: to.Module, Switch: to.Switch}
	if i, ok := p.t.index[node]; ok {
		p.dead = append(p.dead, p.t.Nodes[i])
	}
	if to.Module != nil {
		for _, onward := range to.Module.Onward {
			if next := onward.Circuit(f.Circuit); next != nil {
				p.feed(next)
			}
		}
	}
	c.to = len(p.dead)
}
