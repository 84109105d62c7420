package aig

// Cone is the part of a graph that decides some roots, in numbers of its own: node 0 is the constant, then come the inputs,
// the latches, and the gates, each in the order in which a walk from the roots meets them. Equal parts of a machine give
// equal cones, whatever the numbers in the graph.
type Cone struct {
	Inputs  []uint32 // graph nodes: inputs, and nets that were cut
	Latches []uint32 // graph nodes
	Init    []bool   // by latch
	Next    []Lit    // by latch
	Ands    [][2]Lit // fan-ins by gate, lower numbers first
	Roots   []Lit
	// Cuts counts the nets that were cut: the cone then allows more than the graph does.
	Cuts int
}

// NumNodes is the number of nodes, the constant included.
func (c *Cone) NumNodes() int { return 1 + len(c.Inputs) + len(c.Latches) + len(c.Ands) }

// Input returns the literal of input i.
func (c *Cone) Input(i int) Lit { return Lit(1+i) << 1 }

// Latch returns the literal of latch i.
func (c *Cone) Latch(i int) Lit { return Lit(1+len(c.Inputs)+i) << 1 }

// And returns the literal of gate i.
func (c *Cone) And(i int) Lit { return Lit(1+len(c.Inputs)+len(c.Latches)+i) << 1 }

// Key writes the structure of the cone, without the graph's numbers; equal keys mean the same cone.
func (c *Cone) Key(buf []uint32) []uint32 {
	buf = append(buf, uint32(len(c.Inputs)), uint32(len(c.Latches)), uint32(len(c.Roots)), uint32(c.Cuts))
	for i, n := range c.Next {
		buf = append(buf, uint32(n)<<1|b2u(c.Init[i]))
	}
	for _, r := range c.Roots {
		buf = append(buf, uint32(r))
	}
	for _, a := range c.Ands {
		buf = append(buf, uint32(a[0]), uint32(a[1]))
	}
	return buf
}

func b2u(b bool) uint32 {
	if b {
		return 1
	}
	return 0
}

// Slicer cuts cones out of one graph. It keeps working memory between cones and serves one goroutine.
type Slicer struct {
	g       *Graph
	epoch   uint32
	mark    []uint32 // by node: epoch of the last visit
	code    []uint32 // by node: kind and local number
	stack   []uint32
	homes   []int32
	cut     bool
	c       *Cone
	scratch Cone
}

// Local codes: two bits of kind over the number.
const (
	codeInput = uint32(1) << 30
	codeLatch = uint32(2) << 30
	codeAnd   = uint32(3) << 30
	codeMask  = codeInput - 1
)

// NewSlicer returns a slicer for the graph as it now is.
func NewSlicer(g *Graph) *Slicer {
	return &Slicer{g: g, mark: make([]uint32, g.Len()), code: make([]uint32, g.Len())}
}

// Grown makes room for gates added to the graph since.
func (s *Slicer) Grown() {
	for len(s.mark) < s.g.Len() {
		s.mark = append(s.mark, 0)
		s.code = append(s.code, 0)
	}
}

// Cone returns the cone of the roots. Where homes is given, gates and latches of other groups than those and group 0 are cut:
// they become free inputs.
func (s *Slicer) Cone(roots []Lit, homes []int32) *Cone {
	s.begin(homes)
	s.visit(roots)
	return s.finish(roots)
}

// visit walks the roots and the next values of every latch met.
func (s *Slicer) visit(roots []Lit) {
	for _, r := range roots {
		s.walk(r.Node())
	}
	for i := 0; i < len(s.c.Latches); i++ {
		s.walk(s.g.LatchOf(s.c.Latches[i]).Next.Node())
	}
}

// Leaves are the inputs and latches of a cone, as graph nodes in the order met; the slices are good until the next use of the
// slicer.
type Leaves struct {
	Inputs, Latches []uint32
	Cuts            int
}

// Leaves returns the leaves of the cone of the roots, cut as in Cone.
func (s *Slicer) Leaves(roots []Lit, homes []int32) Leaves {
	s.epoch++
	s.scratch.Inputs, s.scratch.Latches, s.scratch.Ands = s.scratch.Inputs[:0], s.scratch.Latches[:0], s.scratch.Ands[:0]
	s.scratch.Cuts = 0
	s.c = &s.scratch
	s.homes, s.cut = homes, homes != nil
	s.mark[0] = s.epoch
	s.visit(roots)
	return Leaves{Inputs: s.c.Inputs, Latches: s.c.Latches, Cuts: s.c.Cuts}
}

// Homes returns the groups of the first grouped nodes below the root, or nil where there are none or more than limit.
func (s *Slicer) Homes(root Lit, limit int) []int32 {
	s.epoch++
	var homes []int32
	stack := append(s.stack[:0], root.Node())
	for len(stack) > 0 {
		n := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if s.mark[n] == s.epoch || n == 0 {
			continue
		}
		s.mark[n] = s.epoch
		switch g := s.g.group[n]; {
		case g != 0:
			known := false
			for _, h := range homes {
				known = known || h == g
			}
			if !known {
				if homes = append(homes, g); len(homes) > limit {
					return nil
				}
			}
		case s.g.IsAnd(n):
			stack = append(stack, s.g.f0[n].Node(), s.g.f1[n].Node())
		}
	}
	s.stack = stack
	return homes
}

func (s *Slicer) begin(homes []int32) {
	s.epoch++
	s.c = &Cone{}
	s.homes, s.cut = homes, homes != nil
	s.mark[0], s.code[0] = s.epoch, 0
}

func (s *Slicer) foreign(n uint32) bool {
	g := s.g.group[n]
	if g == 0 {
		return false
	}
	for _, h := range s.homes {
		if h == g {
			return false
		}
	}
	return true
}

// leaf enters n where it needs no walk below it.
func (s *Slicer) leaf(n uint32) bool {
	switch {
	case s.g.f0[n] == kindInput:
	case s.cut && s.foreign(n):
		s.c.Cuts++
	case s.g.f0[n] == kindLatch:
		s.mark[n], s.code[n] = s.epoch, codeLatch|uint32(len(s.c.Latches))
		s.c.Latches = append(s.c.Latches, n)
		return true
	default:
		return false
	}
	s.mark[n], s.code[n] = s.epoch, codeInput|uint32(len(s.c.Inputs))
	s.c.Inputs = append(s.c.Inputs, n)
	return true
}

// walk enters the combinational cone of n, arguments first.
func (s *Slicer) walk(n uint32) {
	if s.mark[n] == s.epoch {
		return
	}
	g := s.g
	s.stack = append(s.stack[:0], n)
	for len(s.stack) > 0 {
		n := s.stack[len(s.stack)-1]
		if s.mark[n] == s.epoch || s.leaf(n) {
			s.stack = s.stack[:len(s.stack)-1]
			continue
		}
		a, b := g.f0[n].Node(), g.f1[n].Node()
		if s.mark[a] != s.epoch {
			s.stack = append(s.stack, a)
			continue
		}
		if s.mark[b] != s.epoch {
			s.stack = append(s.stack, b)
			continue
		}
		s.stack = s.stack[:len(s.stack)-1]
		s.mark[n], s.code[n] = s.epoch, codeAnd|uint32(len(s.c.Ands))
		s.c.Ands = append(s.c.Ands, [2]Lit{g.f0[n], g.f1[n]})
	}
}

// finish turns the graph's numbers into the cone's.
func (s *Slicer) finish(roots []Lit) *Cone {
	c := s.c
	inputs, latches := uint32(len(c.Inputs)), uint32(len(c.Latches))
	local := func(l Lit) Lit {
		code := s.code[l.Node()]
		n := code & codeMask
		switch code &^ codeMask {
		case codeInput:
			n++
		case codeLatch:
			n += 1 + inputs
		case codeAnd:
			n += 1 + inputs + latches
		}
		return Lit(n)<<1 | l&1
	}
	for i, a := range c.Ands {
		c.Ands[i] = [2]Lit{local(a[0]), local(a[1])}
	}
	c.Init, c.Next = make([]bool, latches), make([]Lit, latches)
	for i, n := range c.Latches {
		l := s.g.LatchOf(n)
		c.Init[i], c.Next[i] = l.Init, local(l.Next)
	}
	c.Roots = make([]Lit, len(roots))
	for i, r := range roots {
		c.Roots[i] = local(r)
	}
	return c
}
