package curve

import (
	"math"

	"sluice/geom"
)

// ray is a circle or line seen from one of its points: it leaves a in the unit
// direction t with signed curvature k (positive turns left, 0 is a line).
type ray struct {
	a, t geom.Point
	k    float64
}

// dist turns g(P) = k/2 |P-a|^2 - (P-a).n, n the left normal at a, into the
// signed distance from the circle, outside positive for k > 0. With the centre
// a + n/k, |P-c|^2 = r^2 + 2 g/k; written so that it holds for k = 0 too.
func (r ray) dist(g float64) float64 {
	root := 1 + 2*r.k*g
	return 2 * g / (1 + math.Sqrt(max(root, 0)))
}

// off returns the signed distance of p from the whole circle or line.
func (r ray) off(p geom.Point) float64 {
	q := p.Sub(r.a)
	return r.dist(r.k/2*q.Dot(q) - q.Dot(r.t.Left()))
}

const maxCoefs = 2*maxDegree + 1

// bounder measures how far a curve strays from a circle or line.
//
// On a Bézier segment of degree p, g is N(t)/W(t) with N and W polynomials of
// degree 2p; with W's Bernstein coefficients positive, g lies between the least
// and the largest of the coefficient ratios. The bound closes in on the truth
// with the square of the segment's length, so it is halved until it does.
// That the curve runs forward along the circle is another polynomial of degree
// 2p-1, M, whose coefficients must not be negative. Running forward between
// points that lie on the same radii as the arc's ends, curve and arc pass every
// radius together, so the bound holds from the arc to the curve too.
type bounder struct {
	ray
	tol      float64
	attained float64 // largest distance seen at some point of the curve
	upper    float64 // proven bound
}

// segment adds part b of a chain to the measure and reports whether it lies
// within tol and runs forward.
func (m *bounder) segment(c *chain, b bezier) bool {
	p := c.deg
	var num, den [maxCoefs]float64
	var q [maxDegree + 1]geom.Point
	n := m.t.Left()
	var qn [maxDegree + 1]float64
	for i, h := range b {
		q[i] = geom.Point{X: h.X - h.W*m.a.X, Y: h.Y - h.W*m.a.Y}
		qn[i] = q[i].Dot(n)
	}
	for i := range p + 1 {
		for j := range p + 1 {
			f := c.mul[i*(p+1)+j]
			num[i+j] += f * (m.k/2*q[i].Dot(q[j]) - b[j].W*qn[i])
			den[i+j] += f * b[i].W * b[j].W
		}
	}
	if !c.rational {
		for i := range 2*p + 1 {
			den[i] = 1
		}
	}
	if !m.bound(num[:2*p+1], den[:2*p+1], c.rational, 12) {
		return false
	}
	// M = W (t.Q') - W' (t.Q) + k Q' x-left Q, with Q weighted.
	var fwd [maxCoefs]float64
	for i := range p + 1 {
		qt := q[i].Dot(m.t)
		left := q[i].Left()
		for j := range p {
			d := q[j+1].Sub(q[j])
			v := b[i].W*d.Dot(m.t) + m.k*d.Dot(left)
			if c.rational {
				v -= (b[j+1].W - b[j].W) * qt
			}
			fwd[i+j] += c.mulM[i*p+j] * v
		}
	}
	return forward(fwd[:2*p])
}

// bound adds the range of num/den to the measure.
func (m *bounder) bound(num, den []float64, rational bool, depth int) bool {
	n := len(num)
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, v := range num {
		if rational {
			v /= den[i]
		}
		lo, hi = min(lo, v), max(hi, v)
	}
	at := max(math.Abs(m.dist(num[0]/den[0])), math.Abs(m.dist(num[n-1]/den[n-1])))
	if !(at <= m.tol) {
		return false
	}
	m.attained = max(m.attained, at)
	up := max(math.Abs(m.dist(lo)), math.Abs(m.dist(hi)))
	if up <= m.tol && (up <= m.upper || up <= 1.05*m.attained || up <= 0.01*m.tol || depth == 0) {
		m.upper = max(m.upper, up)
		return true
	}
	if depth == 0 {
		return false
	}
	var a, b, c, d [maxCoefs]float64
	halve(num, a[:n], b[:n])
	if rational {
		halve(den, c[:n], d[:n])
	} else {
		copy(c[:n], den)
		copy(d[:n], den)
	}
	return m.bound(a[:n], c[:n], rational, depth-1) && m.bound(b[:n], d[:n], rational, depth-1)
}

// forward reports whether the polynomial with Bernstein coefficients c is not
// negative on 0..1, but for rounding.
func forward(c []float64) bool {
	var size float64
	for _, v := range c {
		size = max(size, math.Abs(v))
	}
	return size > 0 && notNegative(c, -1e-9*size, 8)
}

func notNegative(c []float64, floor float64, depth int) bool {
	n := len(c)
	if !(c[0] >= floor && c[n-1] >= floor) {
		return false
	}
	below := false
	for _, v := range c {
		below = below || v < floor
	}
	if !below {
		return true
	}
	if depth == 0 {
		return false
	}
	var a, b [maxCoefs]float64
	halve(c, a[:n], b[:n])
	return notNegative(a[:n], floor, depth-1) && notNegative(b[:n], floor, depth-1)
}

// halve splits a polynomial in Bernstein form at 1/2.
func halve(c, lo, hi []float64) {
	n := len(c)
	copy(hi, c)
	lo[0] = hi[0]
	for r := n - 1; r > 0; r-- {
		for i := range r {
			hi[i] = (hi[i] + hi[i+1]) / 2
		}
		lo[n-r] = hi[0]
	}
}

// along bounds the distance between the curve from a to b and the ray; ok is
// false where it passes tol or the curve turns back.
func (c *chain) along(a, b pos, r ray, tol float64) (dev float64, ok bool) {
	m := bounder{ray: r, tol: tol}
	var buf [maxDegree + 1]hpoint
	for i := a.seg; i <= b.seg; i++ {
		t0, t1 := 0.0, 1.0
		if i == a.seg {
			t0 = a.t
		}
		if i == b.seg {
			t1 = b.t
		}
		if t1 <= t0 {
			continue
		}
		if !m.segment(c, c.segs[i].sub(t0, t1, &buf)) {
			return 0, false
		}
	}
	return m.upper, true
}

// nearChord bounds the distance between the curve from a to b and the straight
// line pq by the control points, whose hull holds the curve; reach is the
// length of the control polygon, an upper bound on the curve's.
func (c *chain) nearChord(a, b pos, p, q geom.Point) (dev, reach float64) {
	line := geom.Line(p, q)
	var buf [maxDegree + 1]hpoint
	for i := a.seg; i <= b.seg; i++ {
		t0, t1 := 0.0, 1.0
		if i == a.seg {
			t0 = a.t
		}
		if i == b.seg {
			t1 = b.t
		}
		if t1 <= t0 {
			continue
		}
		var last geom.Point
		for j, h := range c.segs[i].sub(t0, t1, &buf) {
			v := h.point()
			dev = max(dev, line.Dist(v))
			if j > 0 {
				reach += v.Dist(last)
			}
			last = v
		}
	}
	return dev, reach
}
