package logic

// True is the constant true.
func (s *System) True() Bool { s.graph(); return s.boolOf(1) }

// False is the constant false.
func (s *System) False() Bool { s.graph(); return s.boolOf(0) }

// Not is true where x is false.
func (s *System) Not(x Bool) Bool { return s.unary(opNot, x, "Not") }

// And is true where all of xs are; of none, true.
func (s *System) And(xs ...Bool) Bool { return s.chain(opAnd, 1, xs, "And") }

// Or is true where one of xs is; of none, false.
func (s *System) Or(xs ...Bool) Bool { return s.chain(opOr, 0, xs, "Or") }

// Xor is true where exactly one of x and y is.
func (s *System) Xor(x, y Bool) Bool { return s.binary(opXor, x, y, "Xor") }

// Implies is true where x is false or y is true. At the top of a property, x is its precondition: a property whose
// precondition never holds is reported as vacuous.
func (s *System) Implies(x, y Bool) Bool { return s.binary(opImplies, x, y, "Implies") }

// Iff is true where x and y are equal.
func (s *System) Iff(x, y Bool) Bool { return s.binary(opIff, x, y, "Iff") }

// If is x where cond is true, else y.
func (s *System) If(cond, x, y Bool) Bool {
	g := s.graph()
	c, a, b := s.use(cond, "If"), s.use(x, "If"), s.use(y, "If")
	return s.boolOf(g.hashed(node{op: opIf, a: c, b: a, c: b}))
}

func (s *System) unary(o op, x Bool, where string) Bool {
	id := s.use(x, where)
	return s.boolOf(s.g.hashed(node{op: o, a: id}))
}

func (s *System) binary(o op, x, y Bool, where string) Bool {
	a, b := s.use(x, where), s.use(y, where)
	return s.boolOf(s.g.hashed(node{op: o, a: a, b: b}))
}

func (s *System) chain(o op, empty int32, xs []Bool, where string) Bool {
	g := s.graph()
	if len(xs) == 0 {
		return s.boolOf(empty)
	}
	acc := s.use(xs[0], where)
	for _, x := range xs[1:] {
		acc = g.hashed(node{op: o, a: acc, b: s.use(x, where)})
	}
	return s.boolOf(acc)
}
