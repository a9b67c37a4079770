package curve

import (
	"math"
	"testing"

	"sluice/geom"
)

// The measures of this file share no code with the package: curves are sampled
// by the recursive definition of the basis functions, distances taken between
// points and lines.

// coxDeBoor is the recursive definition of basis function i of degree p at u.
func coxDeBoor(us []float64, i, p int, u float64) float64 {
	if p == 0 {
		if us[i] <= u && u < us[i+1] {
			return 1
		}
		return 0
	}
	var v float64
	if d := us[i+p] - us[i]; d > 0 {
		v += (u - us[i]) / d * coxDeBoor(us, i, p-1, u)
	}
	if d := us[i+p+1] - us[i+1]; d > 0 {
		v += (us[i+p+1] - u) / d * coxDeBoor(us, i+1, p-1, u)
	}
	return v
}

// plainAt is the point of s at u, lo <= u < hi, summed over the control points
// whose basis function is not 0 there.
func plainAt(s *Spline, u float64) geom.Point {
	k := s.Degree
	for k+1 < len(s.Ctrl) && s.Knots[k+1] <= u {
		k++
	}
	var x, y, w float64
	for i := k - s.Degree; i <= k; i++ {
		b := coxDeBoor(s.Knots, i, s.Degree, u)
		if len(s.Weights) > 0 {
			b *= s.Weights[i]
		}
		x, y, w = x+b*s.Ctrl[i].X, y+b*s.Ctrl[i].Y, w+b
	}
	return geom.Pt(x/w, y/w)
}

// samplesOf returns n+1 points of s over each of its knot spans. The definition
// takes 2^degree steps, so high degrees use the package's own evaluation, which
// TestAgainstDefinition checks.
func samplesOf(s *Spline, n int) []geom.Point {
	var ps []geom.Point
	if len(s.Ctrl) == 0 || s.Degree > 8 {
		c, err := s.chain()
		if err != nil {
			return nil
		}
		for i := range c.segs {
			for j := range n {
				u := c.knots[i] + (c.knots[i+1]-c.knots[i])*float64(j)/float64(n)
				ps = append(ps, c.at(u))
			}
		}
		return append(ps, c.end)
	}
	for k := s.Degree; k < len(s.Ctrl); k++ {
		a, b := s.Knots[k], s.Knots[k+1]
		if b <= a {
			continue
		}
		for j := range n {
			ps = append(ps, plainAt(s, a+(b-a)*float64(j)/float64(n)))
		}
	}
	_, hi := s.Domain()
	return append(ps, plainAt(s, hi-1e-13*math.Abs(hi)-1e-300))
}

func samplesOfEllipse(e *Ellipse, n int) []geom.Point {
	var ps []geom.Point
	for j := range n + 1 {
		t := e.Start + (e.End-e.Start)*float64(j)/float64(n)
		c, s := math.Cos(t), math.Sin(t)
		m := geom.Pt(-e.Major.Y, e.Major.X).Mul(e.Ratio)
		if e.Mirrored {
			m = m.Mul(-1)
		}
		ps = append(ps, geom.Pt(e.Center.X+e.Major.X*c+m.X*s, e.Center.Y+e.Major.Y*c+m.Y*s))
	}
	return ps
}

// samplesOfPieces returns points along the pieces.
func samplesOfPieces(ps []geom.Piece, n int) []geom.Point {
	var out []geom.Point
	for _, p := range ps {
		for j := range n {
			x := float64(j) / float64(n)
			if p.R == 0 {
				out = append(out, p.A.Lerp(p.B, x))
				continue
			}
			a := math.Atan2(p.A.Y-p.C.Y, p.A.X-p.C.X) + p.Sweep*x
			out = append(out, geom.Pt(p.C.X+p.R*math.Cos(a), p.C.Y+p.R*math.Sin(a)))
		}
	}
	return append(out, ps[len(ps)-1].B)
}

// farthest returns the largest distance of the points from the polyline; lines
// are looked at in blocks that are passed over where they lie too far off.
func farthest(ps, line []geom.Point) float64 {
	const block = 24
	var mid []geom.Point
	var reach []float64
	for i := 0; i+1 < len(line); i += block {
		part := line[i:min(i+block+1, len(line))]
		c := part[len(part)/2]
		r := 0.0
		for _, p := range part {
			r = max(r, p.Dist(c))
		}
		mid, reach = append(mid, c), append(reach, r)
	}
	var worst float64
	near := 0
	for _, p := range ps {
		best := math.Inf(1)
		look := func(b int) {
			if p.Dist(mid[b])-reach[b] >= best {
				return
			}
			for i := b * block; i < min((b+1)*block, len(line)-1); i++ {
				if d := geom.Line(line[i], line[i+1]).Dist(p); d < best {
					best, near = d, b
				}
			}
		}
		look(near)
		for b := range mid {
			look(b)
		}
		worst = max(worst, best)
	}
	return worst
}

// checkFit tests what FitSpline and FitEllipse promise: pieces that join
// exactly, smooth except at corners of the curve, and within tol both ways. It
// returns the measured distance.
func checkFit(t *testing.T, name string, arcs []geom.Piece, curve []geom.Point, dev, tol float64) float64 {
	t.Helper()
	if len(arcs) == 0 {
		t.Fatalf("%s: no pieces", name)
	}
	n := max(4, min(200, 4000/len(arcs)))
	line := samplesOfPieces(arcs, n)
	measured := max(farthest(curve, line), farthest(line, curve))
	// What sampling itself strays: the sagitta of the steps of both sides.
	var slop float64
	for _, p := range arcs {
		if p.R > 0 {
			slop = max(slop, p.R*(1-math.Cos(p.Sweep/float64(2*n))))
		}
	}
	for i := 1; i+1 < len(curve); i++ {
		slop = max(slop, geom.Line(curve[i-1], curve[i+1]).Dist(curve[i])/2)
	}
	if dev > tol*(1+1e-9) {
		t.Errorf("%s: deviation told is %g, tol %g", name, dev, tol)
	}
	var size float64
	for _, p := range curve {
		size = max(size, math.Abs(p.X), math.Abs(p.Y))
	}
	if measured > dev+slop+1e-12*size {
		t.Errorf("%s: deviation told is %g, measured %g (sampling %g)", name, dev, measured, slop)
	}
	for i := 1; i < len(arcs); i++ {
		if arcs[i].A != arcs[i-1].B {
			t.Errorf("%s: piece %d starts at %v, the one before ends at %v", name, i, arcs[i].A, arcs[i-1].B)
		}
	}
	for i, p := range arcs {
		if p.R > 0 && math.Abs(p.A.Dist(p.C)-p.R)+math.Abs(p.B.Dist(p.C)-p.R) > 1e-9*(p.R+size) {
			t.Errorf("%s: piece %d does not pass through its ends: %+v", name, i, p)
		}
	}
	return measured
}

// kinks returns the turns at the joints of pieces, the seam of closed ones
// included, in radians.
func kinks(arcs []geom.Piece) []float64 {
	var ks []float64
	for i := range arcs {
		if i == 0 && arcs[0].A != arcs[len(arcs)-1].B {
			continue
		}
		p, q := arcs[(i+len(arcs)-1)%len(arcs)], arcs[i]
		ks = append(ks, math.Abs(geom.TurnTo(p.TangentAt(1), q.TangentAt(0))))
	}
	return ks
}

// cornersOf counts the kinks that are corners, and returns the largest of the
// others.
func cornersOf(arcs []geom.Piece) (corners int, rest float64) {
	for _, k := range kinks(arcs) {
		if k > cornerTurn/2 {
			corners++
		} else {
			rest = max(rest, k)
		}
	}
	return corners, rest
}
