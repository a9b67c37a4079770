package curve

import (
	"math"

	"sluice/geom"
)

// maxDegree is the largest degree of spline taken; files state 2 to 5.
const maxDegree = 25

// hpoint is a weighted point: x and y times the weight, and the weight.
type hpoint struct{ X, Y, W float64 }

func (p hpoint) point() geom.Point { return geom.Point{X: p.X / p.W, Y: p.Y / p.W} }

func (p hpoint) lerp(q hpoint, t float64) hpoint {
	u := 1 - t
	return hpoint{u*p.X + t*q.X, u*p.Y + t*q.Y, u*p.W + t*q.W}
}

func weighted(p geom.Point, w float64) hpoint { return hpoint{p.X * w, p.Y * w, w} }

// bezier is one rational Bézier segment: its degree+1 weighted points.
type bezier []hpoint

// chain is a curve as a row of Bézier segments of one degree, in coordinates
// relative to origin so that drawings far from 0,0 lose no digits.
type chain struct {
	deg      int
	rational bool
	origin   geom.Point
	segs     []bezier
	knots    []float64 // len(segs)+1 parameters where segments meet
	forced   []bool    // per segment: its start is kept as an end of arcs
	start    geom.Point
	end      geom.Point // exact ends, not relative to origin
	closed   bool
	gap      float64 // between the ends where they are to be joined, mm
	mul      []float64
	mulM     []float64
}

// pos is a place on a chain: a segment and a parameter 0..1 in it.
type pos struct {
	seg int
	t   float64
}

// newChain returns a chain ready for its segments, with the tables that
// multiply two polynomials in Bernstein form: the product of B(i,p) and B(j,q)
// is C(p,i) C(q,j) / C(p+q,i+j) times B(i+j,p+q).
func newChain(deg int, rational bool, origin geom.Point) *chain {
	return &chain{deg: deg, rational: rational, origin: origin,
		mul: productTable(deg, deg), mulM: productTable(deg, deg-1)}
}

func productTable(p, q int) []float64 {
	var a, b, c [2*maxDegree + 1]float64
	binomials(a[:p+1])
	binomials(b[:q+1])
	binomials(c[:p+q+1])
	t := make([]float64, (p+1)*(q+1))
	for i := range p + 1 {
		for j := range q + 1 {
			t[i*(q+1)+j] = a[i] * b[j] / c[i+j]
		}
	}
	return t
}

// binomials fills c with C(n,0) .. C(n,n), n = len(c)-1.
func binomials(c []float64) {
	n := len(c) - 1
	c[0] = 1
	for i := 1; i <= n; i++ {
		c[i] = c[i-1] * float64(n-i+1) / float64(i)
	}
}

// at returns the point of the segment at t (de Casteljau).
func (b bezier) at(t float64) geom.Point {
	switch t {
	case 0:
		return b[0].point()
	case 1:
		return b[len(b)-1].point()
	}
	var w [maxDegree + 1]hpoint
	n := copy(w[:], b)
	for r := n - 1; r > 0; r-- {
		for i := range r {
			w[i] = w[i].lerp(w[i+1], t)
		}
	}
	return w[0].point()
}

// jet returns point, first and second derivative by the segment's own
// parameter.
func (b bezier) jet(t float64) (p, d1, d2 geom.Point) {
	var w [maxDegree + 1]hpoint
	n := copy(w[:], b) - 1
	for r := n; r > 2; r-- {
		for i := range r {
			w[i] = w[i].lerp(w[i+1], t)
		}
	}
	var s hpoint // second derivative of the weighted curve
	if n >= 2 {
		f := float64(n * (n - 1))
		s = hpoint{f * (w[2].X - 2*w[1].X + w[0].X), f * (w[2].Y - 2*w[1].Y + w[0].Y), f * (w[2].W - 2*w[1].W + w[0].W)}
		w[0], w[1] = w[0].lerp(w[1], t), w[1].lerp(w[2], t)
	}
	f := float64(n)
	v := hpoint{f * (w[1].X - w[0].X), f * (w[1].Y - w[0].Y), f * (w[1].W - w[0].W)}
	q := w[0].lerp(w[1], t)
	p = q.point()
	d1 = geom.Point{X: (v.X - v.W*p.X) / q.W, Y: (v.Y - v.W*p.Y) / q.W}
	d2 = geom.Point{X: (s.X - 2*v.W*d1.X - s.W*p.X) / q.W, Y: (s.Y - 2*v.W*d1.Y - s.W*p.Y) / q.W}
	return p, d1, d2
}

// split puts the control points of the parts before and after t into lo and hi.
func (b bezier) split(t float64, lo, hi bezier) {
	n := len(b)
	copy(hi, b)
	lo[0] = hi[0]
	for r := n - 1; r > 0; r-- {
		for i := range r {
			hi[i] = hi[i].lerp(hi[i+1], t)
		}
		lo[n-r] = hi[0]
	}
	// hi was folded from the front: entry i now holds the point of level
	// n-1-i, which are the control points of the second part in order.
}

// sub puts the part of the segment between t0 and t1 into out.
func (b bezier) sub(t0, t1 float64, out *[maxDegree + 1]hpoint) bezier {
	n := len(b)
	if t0 <= 0 && t1 >= 1 {
		return b
	}
	var a, c [maxDegree + 1]hpoint
	if t1 < 1 {
		b.split(t1, a[:n], c[:n])
		b = a[:n]
		t0 /= t1
	}
	if t0 <= 0 {
		return append(bezier(out[:0]), b...)
	}
	var d [maxDegree + 1]hpoint
	b.split(min(t0, 1), d[:n], out[:n])
	return out[:n]
}

// size returns how far the control points reach from the first one.
func (b bezier) size() float64 {
	p, s := b[0].point(), 0.0
	for _, q := range b[1:] {
		s = max(s, q.point().Dist(p))
	}
	return s
}

// startTangent returns the direction in which the segment leaves its first
// point: towards the first control point that differs from it. It is zero for
// a segment that is a single point.
func (b bezier) startTangent() geom.Point {
	p, tiny := b[0].point(), 1e-7*b.size()
	for _, q := range b[1:] {
		if d := q.point().Sub(p); d.Norm() > tiny {
			return d.Unit()
		}
	}
	return geom.Point{}
}

// endTangent returns the direction in which the segment reaches its last point.
func (b bezier) endTangent() geom.Point {
	n := len(b) - 1
	p, tiny := b[n].point(), 1e-7*b.size()
	for i := n - 1; i >= 0; i-- {
		if d := p.Sub(b[i].point()); d.Norm() > tiny {
			return d.Unit()
		}
	}
	return geom.Point{}
}

// tangentAt returns the unit direction of travel at t.
func (b bezier) tangentAt(t float64) geom.Point {
	switch {
	case t <= 0:
		return b.startTangent()
	case t >= 1:
		return b.endTangent()
	}
	_, d, _ := b.jet(t)
	if n := d.Norm(); n > 1e-7*b.size() {
		return d.Mul(1 / n)
	}
	n := len(b)
	var lo, hi [maxDegree + 1]hpoint
	b.split(t, lo[:n], hi[:n])
	return bezier(hi[:n]).startTangent()
}

// locate returns the segment of a parameter and the share within it.
func (c *chain) locate(u float64) pos {
	lo, hi := 0, len(c.segs)-1
	for lo < hi {
		m := (lo + hi + 1) / 2
		if c.knots[m] <= u {
			lo = m
		} else {
			hi = m - 1
		}
	}
	d := c.knots[lo+1] - c.knots[lo]
	return pos{lo, min(1, max(0, (u-c.knots[lo])/d))}
}

// at returns the point of the curve at parameter u, clamped to the domain.
func (c *chain) at(u float64) geom.Point {
	if u <= c.knots[0] {
		return c.start
	}
	if u >= c.knots[len(c.segs)] {
		return c.end
	}
	p := c.locate(u)
	return c.segs[p.seg].at(p.t).Add(c.origin)
}

// deriv returns the first derivative by the curve's parameter.
func (c *chain) deriv(u float64) geom.Point {
	p := c.locate(u)
	_, d, _ := c.segs[p.seg].jet(p.t)
	return d.Mul(1 / (c.knots[p.seg+1] - c.knots[p.seg]))
}

func nan() geom.Point { return geom.Point{X: math.NaN(), Y: math.NaN()} }
