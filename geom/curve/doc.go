// Package curve turns free-form curves into straight lines and circular arcs:
// B-splines and ellipses into tangent arcs within a stated tolerance, and
// point runs that were once arcs back into those arcs.
//
// Lengths are millimetres, angles radians. Every tolerance is an argument.
//
// How a curve is fitted: it is written exactly as a row of rational Bézier
// segments, cut where its tangent breaks, and each smooth stretch is covered
// by biarcs (two arcs with a common tangent) that take the curve's own tangents
// at their ends, spaced so that each carries the same share of the error. The
// distance between curve and arcs is bounded by the coefficients of its
// Bernstein form (see bound.go), so what is returned as deviation is an upper
// bound, in both directions, and not the largest of some samples.
package curve
