// Package network computes the safety network of a machine: what hangs where, what is lost when one thing fails,
// addresses, load, and upper bounds of delay and backlog.
//
// [Compute] takes a described machine and returns a [Result]. It reads nothing else, keeps no state and may be
// called from several goroutines at once; the same machine gives the same result.
//
// # What is taken for granted
//
// Links are full duplex and carry their stated rate in each direction. A ring protocol keeps each ring open at
// exactly one link, so that frames travel along a tree; which link that is may change, and every result said to
// hold "at any open position" covers all of them. Frames are not lost and not repeated. Delays are bounds for a
// network in which nobody sends more than the description says; they are never averages and never measured. Service
// traffic that the description leaves out (address resolution, neighbour discovery, commissioning) is not in them, and
// neither is the tolerance of clocks, 100 parts in a million at most (IEEE 802.3).
//
// One slower link can shorten the bound of a flow behind it, because it spaces the frames that the flow meets. Slower
// links everywhere, longer cables and further flows never shorten one.
//
// # What is not covered
//
// Of two rings that share a link, or a ring with a further link across, which way frames take is not told: there is no load, no
// delay and no longest way there, and a [Limit] says so. Single and double faults are found there as well.
//
// Redundancy that sends every frame twice, over two networks (PRP) or both ways round a ring (HSR; both IEC 62439-3), is not
// known. The rapid spanning tree protocol (RSTP, IEEE 802.1Q) is known for a ring as any other protocol of one: its recovery time
// is what the description states, and is not computed from the number of bridges; its own frames are not counted, and a [Limit]
// says so. Meshes that it keeps open are loops.
//
// CIP Safety connections are taken for point-to-point; the longer frames of a producer with several consumers (multicast, 6 byte
// more) are not known. What happens when nodes are switched on, such as the 4 s to 7 s that a node probes its IPv4 address
// (RFC 5227, from its constants), is in no result.
//
// # Methods
//
// Single faults come from the structure of the network graph (internal/graph), delays from deterministic network calculus
// with its proofs (internal/bound). A ring is computed at each link at which it can be open, rings apart from each other:
// a delay over several rings is the sum of the worst of each. EtherCAT has no queues; there the arithmetic of the cycle
// gives the delay. A safety protocol is one file (cip.go, profisafe.go, ethercat.go).
//
// # Caution
//
// The results support, and do not replace, risk assessment, validation, the local codes and the judgement of a
// competent person. They are only as good as the data sheets behind the description. Delay and recovery decide
// first whether the machine runs on without a needless trip; a safety function must never rest on a delay bound
// alone, but on the watchdog that ends it.
package network
