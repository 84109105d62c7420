package logic

// Past-time operators over discrete steps. They are those of past-time linear temporal logic and of the past part of
// bounded-time temporal logic; each is remembered by a memory of fixed size (K. Havelund, G. Rosu, Synthesizing Monitors for
// Safety Properties, TACAS 2002, from memory). In every definition, t is the present step and step 0 is the first one.

// Pre is true when x was true in step t-1; false in step 0.
func (s *System) Pre(x Bool) Bool { return s.unary(opPre, x, "Pre") }

// Rose is true when x is true now and there was a step t-1 in which x was false. False in step 0: an input that is true
// already at power-up is no action.
func (s *System) Rose(x Bool) Bool { return s.unary(opRose, x, "Rose") }

// Fell is true when x is false now and there was a step t-1 in which x was true. False in step 0.
func (s *System) Fell(x Bool) Bool { return s.unary(opFell, x, "Fell") }

// Began is true when x is true now and was not true in a step t-1. Unlike Rose it is x in step 0: motion in the very first
// step is a start like any other.
func (s *System) Began(x Bool) Bool { return s.unary(opBegan, x, "Began") }

// Once is true when x is true now or was in some earlier step.
func (s *System) Once(x Bool) Bool { return s.unary(opOnce, x, "Once") }

// Hist is true when x is true now and was in all earlier steps.
func (s *System) Hist(x Bool) Bool { return s.unary(opHist, x, "Hist") }

// Since is true when y was true in some step u <= t and x was true in all steps u+1 ... t (strong since). In step 0 it is y.
func (s *System) Since(x, y Bool) Bool { return s.binary(opSince, x, y, "Since") }

// Within is true when x was true in at least one of the last n steps, the present one included; n must be at least 1.
func (s *System) Within(n int, x Bool) Bool { return s.window(opWithin, n, x, "Within") }

// Held is true when x was true in all of the last n steps, the present one included, and n steps exist; n must be at least 1.
func (s *System) Held(n int, x Bool) Bool { return s.window(opHeld, n, x, "Held") }

func (s *System) window(o op, n int, x Bool, where string) Bool {
	id := s.use(x, where)
	if n < 1 || n > maxWindow {
		s.g.fail("%s(%d, ...): the number of steps must be 1 to %d", where, n, maxWindow)
		return s.boolOf(0)
	}
	return s.boolOf(s.g.hashed(node{op: o, a: id, b: int32(n)}))
}
