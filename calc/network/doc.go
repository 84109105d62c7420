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
// network in which nobody sends more than the description says; they are never averages and never measured.
//
// # Caution
//
// The results support, and do not replace, risk assessment, validation, the local codes and the judgement of a
// competent person. They are only as good as the data sheets behind the description. Delay and recovery decide
// first whether the machine runs on without a needless trip; a safety function must never rest on a delay bound
// alone, but on the watchdog that ends it.
package network
