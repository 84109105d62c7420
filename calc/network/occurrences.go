package network

// occurrences answers which numbers stand in a run of a list, each once and in time proportional to the answer: a number
// is reported at its first place in the run, which is where its place before lies ahead of the run. Those places are found
// by the least place before in halves of the list (S. Muthukrishnan, "Efficient algorithms for document retrieval
// problems", SODA 2002).
type occurrences struct {
	number []int
	before []int   // place of the same number before, or -1
	start  []int   // first place of each item of the list
	least  [][]int // least[k][i] is the place of the least before among 2^k places from i
}

// newOccurrences lists the numbers of items.
func newOccurrences(items [][]int) occurrences {
	o := occurrences{start: make([]int, len(items)+1)}
	last := map[int]int{}
	for i, numbers := range items {
		o.start[i] = len(o.number)
		for _, n := range numbers {
			before, seen := last[n]
			if !seen {
				before = -1
			}
			last[n] = len(o.number)
			o.number, o.before = append(o.number, n), append(o.before, before)
		}
	}
	o.start[len(items)] = len(o.number)
	row := make([]int, len(o.number))
	for i := range row {
		row[i] = i
	}
	for step := 1; len(row) > 0; step *= 2 {
		o.least = append(o.least, row)
		if len(row) <= step {
			break
		}
		next := make([]int, len(row)-step)
		for i := range next {
			next[i] = o.lesser(row[i], row[i+step])
		}
		row = next
	}
	return o
}

func (o *occurrences) lesser(a, b int) int {
	if o.before[b] < o.before[a] {
		return b
	}
	return a
}

// in appends the numbers in the items from up to, but not including, to.
func (o *occurrences) in(from, to int, out []int) []int {
	first := o.start[from]
	var search func(a, b int)
	search = func(a, b int) {
		if a >= b {
			return
		}
		k := 0
		for 2<<k <= b-a {
			k++
		}
		at := o.lesser(o.least[k][a], o.least[k][b-1<<k])
		if o.before[at] >= first {
			return
		}
		out = append(out, o.number[at])
		search(a, at)
		search(at+1, b)
	}
	search(first, o.start[to])
	return out
}
