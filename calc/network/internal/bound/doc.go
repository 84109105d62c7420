// Package bound computes upper bounds of delay and backlog in a network of output ports with deterministic network
// calculus. Times are in second, amounts in bit, rates in bit per second; a frame counts with its preamble and the gap
// behind it, so that a link is exactly full when the frames fill its rate.
//
// Sources: J.-Y. Le Boudec, P. Thiran, "Network Calculus", LNCS 2050 (theorem and section numbers are those of its free
// sources); A. Bouillard, M. Boyer, E. Le Corronc, "Deterministic Network Calculus", 2018, for the grouping of flows that
// come in by one link.
//
// # The model
//
// A port sends frames at a constant rate C, one whole frame after the other, and never rests while one waits. Frames of
// a higher queue go first, but a frame that is being sent is finished. Within a queue the order is first in, first out,
// or unknown. Each flow keeps its own frames in order (IEEE 802.1Q demands it).
//
// A flow that enters a port sends at most b + r·t in any time t. For the flows of one queue that come in by one link of
// rate c, a second bound holds besides: l + c·t, with l their largest frame, because frames on a link come one behind the
// other. A processing time that lies anywhere between 0 and p shifts both bounds by p: b + r·(t + p) and l + c·(t + p).
// The sum over all links that lead to the port, of the smaller bound each, is α(t), a concave broken line.
//
// # Delay at one port
//
// Let a frame of queue q come at time t after the last moment at which no frame of queue q or a higher one was there.
// Until it has been sent the port has worked without rest, on: one frame of a lower queue that was being sent then (at
// most L), frames of higher queues (at most H(x) up to time x), and frames of queue q. In a first-in first-out queue the
// latter are those that came no later, at most α(t); so the frame has gone at the latest at the x with
//
//	C·x = L + H(x) + α(t)
//
// and x - t is largest at a corner of α or where α meets a corner of the left side, which are all tried. For one queue
// without lower ones this is theorem 1.4.2, the largest horizontal distance. In an unknown order all frames of the queue
// may go first; two bounds hold then, and the smaller is taken: the whole time without rest, and, for a flow with burst b
// against others with bursts σ and rates ρ in sum, (L + σ + b)/(C - ρ) (theorem 6.2.1, blind multiplexing; the strict
// service it needs is that of the link itself, never that of a queue). No bound exists, and none is given, when the
// rates of the queue and those above it exceed C.
//
// # Along the way
//
// A frame waits and is sent within d, and takes at least its own sending time e; so behind the port the flow is bounded
// by b + r·(d - e) and r. This needs no packetizer, because whole frames are counted at both places.
//
// Both bounds are linear in the flow, so flows that go the same leg of their ways with the same priority (a trunk) are taken
// through it together, and each gets its own burst and delay from the times that the trunk spends there.
//
// The delay of a leg is the sum of its ports' delays. Where the frames of a trunk keep their order, which they do when all
// ports serve in order or when the trunk is one flow, the bound in which a burst is paid only once holds as well (section
// 1.4.3): each port gives the trunk a service of rate R after a latency T (corollary 6.2.3 for first in, first out; theorem
// 6.2.1 otherwise), a port whose frames the next node must have whole adds l/R (section 1.7), and the delay is at most
// b/min(R) + ΣT. The smaller of both is taken. The delay of the way is the sum over its legs, each at its worst state.
//
// # No circles
//
// What a flow is like at a port depends on the ports before it. Along a tree, and on a ring that is open somewhere, no
// chain of ports can come back to where it started without turning round, and frames never turn round: the ports can be
// taken in an order in which everything before is known. [Solve] takes them in that order. If flows are given that do
// form a circle, their bounds are reported as missing: a fixed point would need a proof of its own.
package bound
