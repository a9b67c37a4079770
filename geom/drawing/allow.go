package drawing

import "math"

// Bounds on the arcs that stand for curves. An honest outline needs three to
// ten for each control point; curves of kilometres, or the same curve drawn ten
// thousand times by a small file, would need any number.
const (
	freeArcs     = 100_000 // every drawing may have these
	arcsPerPoint = 24      // and these for each point of a curve drawn directly
	insertedArcs = 100_000 // what block references repeat may have no more
)

// arcsFor estimates how many arcs follow a curve within tol: a piece of length
// l and moderate bend takes about 4 (l / 324 tol)^(1/3), since a biarc over h
// strays by k h^3 / 324 where k, the change of curvature, is near 1/l^2 (D. Meek
// and D. Walton, J. Comput. Appl. Math. 59, 1995; the factor is measured on
// random splines, of which none took more than 2.4 times the estimate).
func arcsFor(c *Curve, tol float64) (arcs float64, points int) {
	need := func(l float64) float64 { return max(2, 4*math.Cbrt(l/(324*tol))) }
	switch {
	case c.Spline != nil:
		p := c.Spline.Ctrl
		if len(p) == 0 {
			p = c.Spline.Fit
		}
		for i := 1; i < len(p); i++ {
			arcs += need(p[i].Dist(p[i-1]))
		}
		points = len(p)
	case c.Ellipse != nil:
		arcs, points = 4*need(2*c.Ellipse.Major.Norm()), 4
	}
	return arcs, points
}

// allowed says of each curve whether it may be turned into arcs: the curves in
// turn until the bounds are used up.
func (d *Drawing) allowed(tol float64) []bool {
	ok := make([]bool, len(d.Curves))
	inserted := func(i int) bool { return d.Entities[d.Curves[i].Entity].Type == "INSERT" }
	direct, repeated := 0.0, 0.0
	for i := range d.Curves {
		if _, n := arcsFor(&d.Curves[i], tol); inserted(i) {
			repeated += arcsPerPoint * float64(n)
		} else {
			direct += arcsPerPoint * float64(n)
		}
	}
	left := freeArcs + direct + min(repeated, insertedArcs)
	for i := range d.Curves {
		arcs, _ := arcsFor(&d.Curves[i], tol)
		if ok[i] = arcs <= left; ok[i] {
			left -= arcs
		}
	}
	return ok
}
