package logic

import (
	"fmt"
	"slices"
	"sync"
	"sync/atomic"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
	"github.com/guardwright/guardwright/calc/logic/internal/search"
)

// job is one cone to search, for one or more questions whose cones have the same latches or fewer.
type job struct {
	questions       []int
	inputs, latches []uint32 // graph nodes
	clusters        []int32
	homes           []int32
	cone            *aig.Cone
	constraints     []int
	goals           []search.Goal
	same            int // number of the job with an equal cone that was solved, or own number
	out             *search.Outcome
}

// level is one way to answer the questions still open, from the cheapest on.
type level uint8

const (
	levelCut    level = iota // other parts of the machine cut off
	levelExact               // questions with like cones together
	levelFacts               // one step of induction on what is known of the parts of the machine
	levelOwn                 // with the property's own assumptions only
	levelUnroll              // a trace of some steps
	levelReach               // property-directed reachability, briefly
	levelEnding              // timers that end at any time, but those near the property
	levelAlone               // each question alone, with all the work allowed
	levelSAT                 // unrolling and property-directed reachability
	levels
)

// firstWork bounds the work of a search before induction is tried.
const firstWork = 1 << 22

// deepWork bounds the work of a search that asks of more runs than there are.
const deepWork = 1 << 27

func (p *prover) searchLimits(l level) search.Limits {
	work := p.limits.Work
	switch {
	case p.deep:
		work = min(work, deepWork)
	case l < levelAlone:
		work = min(work, firstWork)
	}
	return search.Limits{States: p.limits.States, Letters: p.limits.Letters, Work: work}
}

// answer goes through the levels until no question is open.
func (p *prover) answer() {
	for l := range levels {
		if l >= levelUnroll && p.early > 0 || l >= levelAlone && p.own {
			continue // too much work for what may be no answer
		}
		open := p.open(l)
		if len(open) == 0 {
			continue
		}
		switch {
		case (l == levelFacts || l == levelOwn) && (p.own || p.early > 0):
			continue // once is enough
		case l == levelOwn:
			p.answerOwn()
			continue
		case l == levelFacts:
			p.facts, p.regions = p.findFacts()
			p.exclude(open)
			continue
		case l == levelUnroll || l == levelReach || l == levelSAT:
			p.answerSAT(open, l)
			continue
		case l == levelEnding:
			p.answerEnding()
			continue
		case p.opts.satOnly:
			continue
		}
		jobs := p.jobs(open, l)
		p.solve(jobs, l)
		for i := range jobs {
			p.take(&jobs[i], jobs[jobs[i].same].out)
		}
	}
	p.progress(len(p.questions) - p.answered)
}

// open returns the questions still to be answered at a level.
func (p *prover) open(l level) []int {
	var out []int
	for i := range p.questions {
		q := &p.questions[i]
		if q.state != unanswered || l == levelCut && (q.homes == nil || q.cover >= 0) || l == levelAlone && (q.large || q.cover >= 0) {
			continue
		}
		if steps := p.broken(q.prop); steps == 1 || steps > 0 && q.cover >= 0 {
			q.state = dropped // nothing shorter, and no precondition needed
			continue
		}
		out = append(out, i)
	}
	return out
}

// broken returns the fewest steps in which a property is known to be broken, or a goal met; 0 if it isn't.
func (p *prover) broken(prop int) int {
	steps := 0
	for _, at := range p.byProp[prop] {
		if q := &p.questions[at]; q.cover < 0 && q.state == met && (steps == 0 || q.steps < steps) {
			steps = q.steps
		}
	}
	return steps
}

// jobs puts the questions together whose cones can share a search.
func (p *prover) jobs(open []int, l level) []job {
	for i := range p.workers {
		p.workers[i].slicer.Grown()
	}
	b := &jobBuilder{p: p, level: l, last: make([]int32, p.c.a.Len()), mark: make([]uint32, p.c.a.Len())}
	for _, q := range open {
		b.enter(q)
	}
	p.each(len(b.jobs), func(worker, i int) { p.prepare(p.workers[worker].slicer, &b.jobs[i]) })
	return b.jobs
}

type jobBuilder struct {
	p     *prover
	level level
	jobs  []job
	last  []int32 // by latch node: the last job with it, + 1
	mark  []uint32
	epoch uint32
}

func (b *jobBuilder) enter(at int) {
	q := &b.p.questions[at]
	homes := []int32(nil)
	if b.level == levelCut {
		homes = q.homes
	}
	lv, clusters := b.leavesOf(q, homes)
	if len(lv.Latches) > search.MaxLatches {
		q.large = homes == nil
		q.reason = fmt.Sprintf("%d latches in its cone, more than the search of all states handles", len(lv.Latches))
		return
	}
	if b.level == levelCut && lv.Cuts == 0 {
		homes = nil
	}
	if to := b.partner(lv, clusters, homes); to != 0 {
		b.jobs[to-1].questions = append(b.jobs[to-1].questions, at)
		b.extend(to, lv)
		return
	}
	b.jobs = append(b.jobs, job{questions: []int{at}, inputs: slices.Clone(lv.Inputs), latches: slices.Clone(lv.Latches),
		clusters: clusters, homes: homes})
	for _, n := range lv.Latches {
		b.last[n] = int32(len(b.jobs))
	}
}

// leavesOf returns the leaves of a question's cone, those known from splitting where they are the same.
func (b *jobBuilder) leavesOf(q *question, homes []int32) (aig.Leaves, []int32) {
	if x := &q.part; q.cover < 0 && len(b.p.clusters) == 0 && (x.cuts == 0 || homes != nil) {
		return aig.Leaves{Inputs: x.inputs, Latches: x.latches, Cuts: x.cuts}, nil
	}
	return b.leaves(q.lit, homes)
}

// leaves returns the leaves of the root and of the assumption clusters that it touches.
func (b *jobBuilder) leaves(root aig.Lit, homes []int32) (aig.Leaves, []int32) {
	p := b.p
	lv := p.slicer.Leaves([]aig.Lit{root}, homes)
	if len(p.clusters) == 0 {
		return lv, nil
	}
	var clusters []int32
	for i := range p.clusters {
		if p.clusters[i].forced {
			clusters = append(clusters, int32(i))
		}
	}
	for _, nodes := range [][]uint32{lv.Inputs, lv.Latches} {
		for _, n := range nodes {
			if at := p.clusterOf[n]; at != 0 && !slices.Contains(clusters, at-1) {
				clusters = append(clusters, at-1)
			}
		}
	}
	slices.Sort(clusters)
	return p.slicer.Leaves(append([]aig.Lit{root}, p.clusterLits(clusters)...), homes), clusters
}

func (p *prover) clusterLits(clusters []int32) []aig.Lit {
	var out []aig.Lit
	for _, at := range clusters {
		out = append(out, p.clusters[at].lits...)
	}
	return out
}

// Limits of putting questions together: jobs tried, and inputs that one may add to another's.
const (
	maxPartners = 4
	extraInputs = 6
)

// partner finds a job whose latches contain those of lv, or the other way round, and returns its number + 1, 0 if none.
func (b *jobBuilder) partner(lv aig.Leaves, clusters, homes []int32) int32 {
	if b.level == levelAlone {
		return 0
	}
	b.epoch++
	for _, n := range lv.Latches {
		b.mark[n] = b.epoch
	}
	for _, n := range lv.Inputs {
		b.mark[n] = b.epoch
	}
	tried := [maxPartners]int32{}
	count := 0
	for _, n := range lv.Latches {
		at := b.last[n]
		if at == 0 || slices.Contains(tried[:count], at) {
			continue
		}
		if count == maxPartners {
			return 0
		}
		tried[count] = at
		count++
		if j := &b.jobs[at-1]; slices.Equal(j.clusters, clusters) && slices.Equal(j.homes, homes) && b.fits(j, lv) {
			return at
		}
	}
	return 0
}

func (b *jobBuilder) fits(j *job, lv aig.Leaves) bool {
	common := 0
	for _, n := range j.latches {
		if b.mark[n] == b.epoch {
			common++
		}
	}
	if common != len(j.latches) && common != len(lv.Latches) {
		return false
	}
	common = 0
	for _, n := range j.inputs {
		if b.mark[n] == b.epoch {
			common++
		}
	}
	return len(j.inputs)+len(lv.Inputs)-common <= max(len(j.inputs), len(lv.Inputs))+extraInputs
}

func (b *jobBuilder) extend(to int32, lv aig.Leaves) {
	j := &b.jobs[to-1]
	b.epoch++
	for _, n := range j.latches {
		b.mark[n] = b.epoch
	}
	for _, n := range j.inputs {
		b.mark[n] = b.epoch
	}
	for _, n := range lv.Latches {
		if b.mark[n] != b.epoch {
			j.latches = append(j.latches, n)
			b.last[n] = to
		}
	}
	for _, n := range lv.Inputs {
		if b.mark[n] != b.epoch {
			j.inputs = append(j.inputs, n)
		}
	}
}

// prepare cuts out the job's cone.
func (p *prover) prepare(slicer *aig.Slicer, j *job) {
	roots := make([]aig.Lit, 0, len(j.questions))
	for i, at := range j.questions {
		q := &p.questions[at]
		roots = append(roots, q.lit)
		j.goals = append(j.goals, search.Goal{Root: i, Group: q.prop, Decide: q.cover < 0})
	}
	lits := p.clusterLits(j.clusters)
	j.constraints = after(len(roots), len(lits))
	j.cone = slicer.Cone(append(roots, lits...), j.homes)
}

// memoEntry is a cone that has been solved in this call.
type memoEntry struct {
	key []uint32
	job int
}

// solve searches the cones of the jobs, equal ones once.
func (p *prover) solve(jobs []job, l level) {
	memo := map[uint64][]memoEntry{}
	var distinct []int
	var buf []uint32
	for i := range jobs {
		j := &jobs[i]
		j.same = i
		if !p.opts.noMemo {
			buf = jobKey(j, buf[:0])
			h := hashKey(buf)
			at := slices.IndexFunc(memo[h], func(e memoEntry) bool { return slices.Equal(e.key, buf) })
			if at >= 0 {
				j.same = memo[h][at].job
				continue
			}
			memo[h] = append(memo[h], memoEntry{key: slices.Clone(buf), job: i})
		}
		distinct = append(distinct, i)
	}
	p.search(jobs, distinct, l)
}

// jobKey writes what the outcome of a job depends on, in the cone's own numbers.
func jobKey(j *job, buf []uint32) []uint32 {
	buf = j.cone.Key(buf)
	for i, g := range j.goals {
		first := slices.IndexFunc(j.goals, func(o search.Goal) bool { return o.Group == g.Group })
		decide := uint32(0)
		if g.Decide {
			decide = 1
		}
		buf = append(buf, uint32(i), uint32(first)<<1|decide)
	}
	return buf
}

func hashKey(key []uint32) uint64 {
	h := uint64(len(key)) * 0x9e3779b97f4a7c15
	for _, k := range key {
		h = (h ^ uint64(k)) * 0x9fb21c651e98df25
		h ^= h >> 32
	}
	return h
}

// search solves the distinct jobs, side by side where asked to.
func (p *prover) search(jobs []job, distinct []int, l level) {
	p.each(len(distinct), func(worker, i int) {
		j := &jobs[distinct[i]]
		j.out = p.workers[worker].searcher.Search(p.ctx, j.cone, j.constraints, j.goals, p.searchLimits(l))
	})
}

// each calls f for 0 to n-1, by several workers where asked to; f must not touch what another call does.
func (p *prover) each(n int, f func(worker, i int)) {
	workers := min(p.opts.Workers, n)
	if workers <= 1 {
		for i := range n {
			f(0, i)
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			for {
				at := int(next.Add(1)) - 1
				if at >= n {
					return
				}
				f(w, at)
			}
		})
	}
	wg.Wait()
}

// take enters the outcome of a search into the questions of a job.
func (p *prover) take(j *job, out *search.Outcome) {
	answered := 0
	for i, at := range j.questions {
		q, g := &p.questions[at], &out.Goals[i]
		q.states = out.States
		switch {
		case j.homes != nil && (g.Met || g.GivenUp):
			continue // on more than the system allows: only a candidate
		case g.Met:
			q.state, q.steps = met, g.Steps
			q.trace = &coneTrace{inputs: j.cone.Inputs, values: g.Trace, clusters: j.clusters}
		case g.GivenUp:
			q.state = dropped
		case out.Complete:
			q.state = never
			q.proof = proof{in: p.of, regions: regionOf(j.cone, out.Reached)}
		default:
			q.reason = out.Stopped.Error()
			continue
		}
		q.method = "search of all states"
		answered++
	}
	p.progress(answered)
}

func (p *prover) progress(answered int) {
	p.answered += answered
	if p.opts.Progress != nil && answered > 0 {
		p.opts.Progress(p.answered, len(p.questions))
	}
}
