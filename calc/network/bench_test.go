package network_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/model"
)

// manyConnections is 500 switches in 25 rings of 20 behind each other's first switches, with modules and 2000 connections.
func manyConnections() *plant {
	p := newPlant(model.CIPSafety, 500, 1000)
	for g := range 25 {
		var nodes []string
		for i := range 20 {
			nodes = append(nodes, fmt.Sprintf("s%d", g*20+i))
		}
		above := "c"
		if g > 0 {
			above = fmt.Sprintf("s%d", (g-1)/2*20+10)
		}
		p.link(above, nodes[0], 30)
		for i, n := range nodes {
			p.link(n, nodes[(i+1)%len(nodes)], 10)
		}
		p.Network.Rings[fmt.Sprintf("r%d", g)] = model.RingSpec{Nodes: nodes, Protocol: model.RSTP, Recovery: model.Milliseconds(3)}
	}
	for i := range 1000 {
		m := fmt.Sprintf("m%d", i)
		p.link(m, fmt.Sprintf("s%d", i/2), 10)
		for k, interval := range []float64{40, 100} {
			p.Network.Connections[fmt.Sprintf("con_%s_%d", m, k)] = model.ConnectionSpec{
				Module: m, Interval: model.Milliseconds(interval), Multiplier: 4, Input: model.Bytes(4), PingMultiplier: 100,
			}
		}
	}
	for i := range p.Network.Links {
		p.Network.Links[i].Rate = model.MegabitsPerSecond(1000)
	}
	return p
}

// BenchmarkDelayBounds bounds the delays of 2000 connections over 500 switches: in rings, at every open position; and, for
// comparison, in the tree that is left when every ring is open at its last link.
func BenchmarkDelayBounds(b *testing.B) {
	rings := manyConnections()
	tree := manyConnections()
	tree.Network.Rings = nil
	tree.Network.Links = withoutLast(rings.Network.Links)
	for name, p := range map[string]*plant{"rings": rings, "tree": tree} {
		b.Run(name, func(b *testing.B) {
			m, err := model.Build(p.Description)
			require.NoError(b, err)
			for b.Loop() {
				r, err := network.Compute(context.Background(), m, network.Options{})
				require.NoError(b, err)
				for _, c := range r.Connections {
					require.True(b, c.Delay.Status.HasValue(), c.Delay.Why)
				}
			}
		})
	}
}

// withoutLast opens each ring of twenty switches at its last link.
func withoutLast(links []model.LinkSpec) []model.LinkSpec {
	var out []model.LinkSpec
	for i, l := range links {
		if i >= 25*21 || i%21 != 20 {
			out = append(out, l)
		}
	}
	return out
}

// BenchmarkRing bounds the delays in one ring of modules, at each of its links open in turn: 50 nodes are the most for which
// ring protocols promise their recovery times, 250 are beyond any of them.
func BenchmarkRing(b *testing.B) {
	for _, size := range []int{10, 50, 250} {
		b.Run(fmt.Sprint(size), func(b *testing.B) {
			p := newPlant(model.CIPSafety, 0, size-1)
			nodes := []string{"c"}
			for i := range size - 1 {
				m := fmt.Sprintf("m%d", i)
				nodes = append(nodes, m)
				p.connect(m, 4, 2)
			}
			p.ring(nodes...)
			m, err := model.Build(p.Description)
			require.NoError(b, err)
			for b.Loop() {
				r, err := network.Compute(context.Background(), m, network.Options{})
				require.NoError(b, err)
				require.True(b, r.Connections[0].Delay.Status.HasValue(), r.Connections[0].Delay.Why)
			}
		})
	}
}
