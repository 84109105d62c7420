package bound

import "math"

// Bucket bounds a flow: at most Burst + Rate·t in any time t (token bucket, γ in the book).
type Bucket struct{ Burst, Rate float64 }

// Service is what a flow gets at least: Rate·(t - Latency) (rate-latency curve, β in the book).
type Service struct{ Rate, Latency float64 }

// Delay is the largest horizontal distance between the two (theorem 1.4.2); infinite when the flow's rate is above that
// of the service.
func (a Bucket) Delay(s Service) float64 {
	if a.Rate > s.Rate || s.Rate <= 0 {
		return math.Inf(1)
	}
	return s.Latency + a.Burst/s.Rate
}

// Backlog is the largest vertical distance (theorem 1.4.1); infinite when the flow's rate is above that of the service.
func (a Bucket) Backlog(s Service) float64 {
	if a.Rate > s.Rate {
		return math.Inf(1)
	}
	return a.Burst + a.Rate*s.Latency
}

// Output bounds the flow behind the service (theorem 1.4.3).
func (a Bucket) Output(s Service) Bucket { return Bucket{a.Backlog(s), a.Rate} }

// Then is the service of two in a row (theorem 1.4.6).
func (s Service) Then(next Service) Service {
	return Service{min(s.Rate, next.Rate), s.Latency + next.Latency}
}

// Blind is what a strict service leaves a flow when the order between it and the others is unknown (theorem 6.2.1). The
// rate is zero or less, and the latency infinite, when the others take all.
func (s Service) Blind(others Bucket) Service {
	left := s.Rate - others.Rate
	if left <= 0 {
		return Service{left, math.Inf(1)}
	}
	return Service{left, s.Latency + (others.Burst+others.Rate*s.Latency)/left}
}

// FIFO is what a service that serves in order leaves a flow among others (corollary 6.2.3).
func (s Service) FIFO(others Bucket) Service {
	left := s.Rate - others.Rate
	if left <= 0 {
		return Service{left, math.Inf(1)}
	}
	return Service{left, s.Latency + others.Burst/s.Rate}
}

// Queue is what the flows of one queue get of a link with the given rate, when frames of higher queues go first and one
// frame of a lower queue, of the given size, is finished first (proposition 1.3.4, corollary 6.2.1).
func Queue(rate float64, higher Bucket, lowerFrame float64) Service {
	left := rate - higher.Rate
	if left <= 0 {
		return Service{left, math.Inf(1)}
	}
	return Service{left, (lowerFrame + higher.Burst) / left}
}

// Periodic bounds a sender of frames at fixed intervals, each of which leaves at most jitter early or late.
func Periodic(frame, interval, jitter float64) Bucket {
	rate := frame / interval
	return Bucket{frame + rate*2*jitter, rate}
}
