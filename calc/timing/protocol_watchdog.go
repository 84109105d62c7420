package timing

import (
	"fmt"
	"math"

	"github.com/guardwright/guardwright/model"
)

// RoundTrip are the times of a message and its answer in PROFIsafe or Safety over EtherCAT, without any fault.
type RoundTrip struct {
	// There is the longest time of the message on the network, Back that of its answer.
	There, Back model.Duration
	// Device is the device acknowledgement time: from the message to the answer being ready.
	Device model.Duration
	// Host is the host acknowledgement time: from the answer to the next message being ready.
	Host model.Duration
}

// Time is the longest round trip: there, device, back, host (IEC 61784-3-3, 9.3.3, from memory). A watchdog below it trips in
// normal operation.
func (r RoundTrip) Time() model.Duration { return r.There + r.Device + r.Back + r.Host }

// SmallestWatchdog is the round trip with a margin, a share of it; about 30 % is usual (PROFIsafe system description, from memory).
func (r RoundTrip) SmallestWatchdog(margin model.Ratio) model.Duration {
	return model.Duration(float64(r.Time()) * (1 + float64(margin)))
}

// Watched is one part of a PROFIsafe safety function.
type Watched struct {
	// Longest is the worst case delay time WCDT: the longest time without a fault.
	Longest model.Duration
	// Watchdog is the time after which a fault of the part leads to the safe state; zero for a part without one.
	Watchdog model.Duration
}

// ResponseTime is the safety function response time of PROFIsafe: the sum of the longest times, and once the largest margin by
// which a watchdog exceeds the time that it watches, because one fault at a time is assumed (IEC 61784-3-3, 9.3, from memory).
func ResponseTime(parts []Watched) model.Duration {
	var sum, margin model.Duration
	for _, p := range parts {
		sum += p.Longest
		margin = max(margin, p.Watchdog-p.Longest)
	}
	return sum + margin
}

// WatchdogRange returns the smallest and the largest watchdog time that a protocol can be set to, both in whole milliseconds
// (from memory). A protocol without a watchdog is an error.
func WatchdogRange(protocol model.Protocol) (smallest, largest model.Duration, err error) {
	switch protocol {
	case model.PROFIsafe:
		return model.Milliseconds(1), model.Milliseconds(65535), nil // IEC 61784-3-3: 16 bit
	case model.SafetyOverEtherCAT:
		return model.Milliseconds(1), model.Milliseconds(65534), nil // ETG.5100; 0 would be no watchdog
	}
	return 0, 0, fmt.Errorf("found the protocol %q, which has no watchdog time; wanted %q or %q", protocol, model.PROFIsafe, model.SafetyOverEtherCAT)
}

// wholeMilliseconds rounds a watchdog time up to what can be set.
func wholeMilliseconds(d model.Duration) model.Duration {
	return model.Milliseconds(math.Ceil(float64(d)*1000 - 1e-9))
}
