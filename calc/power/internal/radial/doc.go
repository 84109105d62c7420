// Package radial computes the exact operating point of one direct-current
// tree: one source, a plus and a return conductor to every node, and at every
// node any sum of constant-current, constant-power and resistive loads. It
// also computes how far the constant-power loads are from voltage collapse.
//
// It is an internal numeric kernel. Its quantities are plain float64 in SI
// units (V, A, W, ohm, S), because every one of them enters the same sums and
// products a million times; package power, which uses it, has the typed ones.
//
// # Model
//
// Node k draws the current
//
//	I(V) = current + conductance V + power/V
//
// at the voltage V between its plus and its return conductor. As plus and
// return current of a tree are equal, V depends only on the loop resistances
// R = RPlus + RMinus; the potentials of both conductors follow at the end.
// A return conductor that the network shares with another one is covered as
// far as the other network's drop in it is known, see [Tree.WithDrops].
// A current limit, a starting device or a load that switches off at low
// voltage is outside of this model.
//
// # Operating point
//
// The equations have several solutions if constant-power loads are present.
// The operating point is the greatest one: in every other one some load sits
// on the branch where more current means less power. All voltages must be
// positive.
//
// Newton's method linearises each load about the voltage V of the iterate,
//
//	I = a + g V,  a = current + 2 power/V,  g = conductance - power/V²
//
// and the linear network is eliminated from the leaves to the source. With a
// and g summed over the subtree of node c, its parent sees the current
//
//	(a + g Vparent) / (1 + g R)
//
// This form needs no conductance 1/R and so no special case for R = 0. One
// step costs O(n), without recursion.
//
// The iteration starts at the voltages without constant-power loads, which are
// above every solution. In node form the equations are F(V) = A V - c + p/V = 0
// with an M-matrix A (its inverse has no negative entry), so F is convex and F'
// has a non-negative inverse above the greatest solution. By the monotone
// Newton theorem (J. M. Ortega, W. C. Rheinboldt: Iterative Solution of
// Nonlinear Equations in Several Variables, 1970, 13.3.4; from memory) the
// iterates then fall monotonically to the greatest solution, if there is one.
// A pivot 1 + g R <= 0, or a voltage <= 0, contradicts this and proves that
// there is none.
//
// # Collapse factor
//
// Let Z be the matrix of voltage drops per injected current of the network
// with its conductances, V0 the voltages without constant-power loads. The
// solutions at the factor lambda on all constant powers p obey
//
//	V = V0 - lambda Z (p/V)
//
// Z has no negative entry, so the right side rises with V. Two facts enclose
// the largest lambda that has a solution:
//
// Any V > 0 with V <= V0 - lambda Z (p/V) proves that a solution exists above
// V (Tarski's fixed point theorem; at nodes without power V drops out of the
// right side, and only V > 0 has to be possible).
//
// Any y >= 0 proves an upper bound: multiply by y', put w = Z y, and use
// x + b/x >= 2 sqrt(b) at every node:
//
//	y'V0 = sum(y V + lambda w p/V) >= 2 sqrt(lambda) sum sqrt(p y w)
//	lambda <= (y'V0 / (2 sum sqrt(p y w)))²
//
// Both bounds are computed from sums of positive terms only (for the first one,
// V0 - V is given and V computed from it), so they hold up to ordinary rounding
// even where the Jacobian is singular.
// They are tight: for y the left null vector at the fold, and for V there.
//
// The search alternates between the upper solution at a proved factor and a
// step along w = J⁻¹ (h p/V) beyond the fold, which proves the next factor
// (see stride). The step with h = 1 follows the tangent; afterwards h is
// corrected by the curvature, after which the error of the lower bound falls
// about like its power 3/2 and that of the upper bound faster.
//
// The factor can also be limited by a voltage that reaches zero at a node with
// constant-current loads only; it is then the least upper bound of the factors
// with an operating point.
//
// # Accuracy
//
// Away from collapse the voltages are accurate to a few roundings per level of
// the tree. If the collapse factor is 1 + d, errors are amplified by about
// 1/sqrt(d): with a source of 24 V and a tree of 300 levels, 1e-9 V holds down to
// d = 1e-9. Solution.ErrorEstimate follows this. At the double root, d = 0, the voltages are
// continuous in the data but not differentiable: a change of one load in its
// last digit moves them by about 1e-8 of the source voltage, and no method can
// give more than that. There Solve returns the double root itself, which is
// well conditioned, and says so (AtCollapse); 24 V behind 2 ohm with 72 W gives
// 12 V and 6 A. Loads beyond the limit by less than a relative 1e-12 are
// treated as if they were at it; beyond that they are refused.
//
// # Caution
//
// Results support, and do not replace, risk assessment, validation, local
// codes and a competent person's judgement.
package radial
