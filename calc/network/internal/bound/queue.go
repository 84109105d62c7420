package bound

import "math"

// scratch is the memory in which one server after the other is looked at.
type scratch struct {
	queues []queue
	// all of these belong to the port as a whole
	longest, backlog float64
	lack             Lack
	inputs           []input
	line, above      brokenLine
}

// queue is one queue of a server.
type queue struct {
	number uint8
	bucket Bucket // all flows of the queue
	higher Bucket // all flows of higher queues
	frame  float64
	lower  float64 // largest frame of lower queues
	inputs []group
	lack   Lack
	delay  float64 // of all flows of the queue
	// service is what is left for the queue, with the higher ones gone first and one lower frame
	service Service
}

// group are the flows of a queue that come by the same links.
type group struct {
	key int32
	input
}

// load sorts the visits of a server into queues and groups.
func (w *scratch) load(s *solver, server int32) {
	port := &s.ports[s.owner[server]]
	w.queues, w.longest, w.backlog, w.lack = w.queues[:0], 0, 0, Lack{}
	for _, v := range s.at[server] {
		x := &s.visits[v]
		t := &s.trunks[s.chains[x.chain].trunk]
		q := w.queue(port.Queue[t.priority])
		q.bucket.Burst += x.amount
		q.bucket.Rate += t.bucket.Rate
		q.frame = max(q.frame, t.largest)
		if lack := s.chains[x.chain].lack; lack.Reason != Fine && q.lack.Reason == Fine {
			q.lack = lack
		}
		from := s.incoming(v)
		g := q.group(from.key)
		g.bucket.Burst += x.amount
		g.bucket.Rate += t.bucket.Rate
		g.link = from.rate
		g.frame = max(g.frame, from.links*t.largest)
	}
	for i := range w.queues {
		q := &w.queues[i]
		for j := range q.inputs {
			if g := &q.inputs[j]; g.key != noLink {
				g.frame += g.link * port.Processing
			}
		}
		for j := range w.queues {
			switch o := &w.queues[j]; {
			case o.number > q.number:
				q.higher.Burst += o.bucket.Burst
				q.higher.Rate += o.bucket.Rate
				if q.lack.Reason == Fine {
					q.lack = o.lack
				}
			case o.number < q.number:
				q.lower = max(q.lower, o.frame)
			}
		}
	}
}

// queue finds or makes a queue.
func (w *scratch) queue(number uint8) *queue {
	for i := range w.queues {
		if w.queues[i].number == number {
			return &w.queues[i]
		}
	}
	if len(w.queues) < cap(w.queues) {
		w.queues = w.queues[:len(w.queues)+1]
		q := &w.queues[len(w.queues)-1]
		*q = queue{number: number, inputs: q.inputs[:0]}
		return q
	}
	w.queues = append(w.queues, queue{number: number})
	return &w.queues[len(w.queues)-1]
}

// group finds or makes the group of flows with the same key.
func (q *queue) group(key int32) *group {
	for i := range q.inputs {
		if q.inputs[i].key == key {
			return &q.inputs[i]
		}
	}
	q.inputs = append(q.inputs, group{key: key})
	return &q.inputs[len(q.inputs)-1]
}

// bound computes the bounds of one queue of the loaded server.
func (w *scratch) bound(s *solver, server int32, i int) {
	p := s.owner[server]
	port := &s.ports[p]
	q := &w.queues[i]
	if q.lack.Reason == Fine && q.bucket.Rate+q.higher.Rate > port.Rate {
		q.lack = Lack{Overload, p}
	}
	if q.lack.Reason != Fine {
		if w.lack.Reason == Fine {
			w.lack = q.lack
		}
		return
	}
	q.service = Queue(port.Rate, q.higher, q.lower)
	if port.FIFO {
		w.sum(&w.line, func(n uint8) bool { return n == q.number })
		w.sum(&w.above, func(n uint8) bool { return n > q.number })
		q.delay = fifoDelay(port.Rate, q.lower, &w.line, &w.above)
	} else {
		w.sum(&w.line, func(n uint8) bool { return n >= q.number })
		q.delay = busy(port.Rate, q.lower, &w.line)
	}
	w.sum(&w.line, func(uint8) bool { return true })
	w.backlog = max(w.backlog, backlog(port.Rate, &w.line))
}

// sum adds up what comes to some queues.
func (w *scratch) sum(line *brokenLine, wanted func(uint8) bool) {
	w.inputs = w.inputs[:0]
	for i := range w.queues {
		if wanted(w.queues[i].number) {
			for _, g := range w.queues[i].inputs {
				w.inputs = append(w.inputs, g.input)
			}
		}
	}
	line.sum(w.inputs)
}

// of is what a visit gets of the loaded server: the longest time of waiting and sending of its frames, and the service that
// is left for its trunk alone. In an unknown order the flow of the trunk with the smallest rate waits longest.
func (w *scratch) of(s *solver, x *visit, t *trunk) (wait float64, rest Service, lack Lack) {
	port := &s.ports[s.owner[x.server]]
	q := w.queue(port.Queue[t.priority])
	if q.lack.Reason != Fine {
		return math.Inf(1), Service{}, q.lack
	}
	others := Bucket{max(0, q.bucket.Burst-x.amount), max(0, q.bucket.Rate-t.bucket.Rate)}
	wait = q.delay
	if port.FIFO {
		rest = q.service.FIFO(others)
	} else {
		rest = Queue(port.Rate, Bucket{q.higher.Burst + others.Burst, q.higher.Rate + others.Rate}, q.lower)
		all := q.lower + q.higher.Burst + q.bucket.Burst
		if left := port.Rate - q.higher.Rate - (q.bucket.Rate - t.least); left > 0 {
			wait = min(wait, all/left)
		}
	}
	w.longest = max(w.longest, wait)
	return wait, rest, Lack{}
}
