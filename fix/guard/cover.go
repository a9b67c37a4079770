package guard

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// span is a stretch of a piece as shares of its length.
type span struct{ t0, t1 float64 }

// quick is how far, mm, an arc may run past the end of another and still be taken
// as whole on it: more than rounding, and nothing against a tolerance.
const quick = 1e-6

// whole reports quickly that all of p lies within tol of q; false says nothing.
func whole(p, q *geom.Piece, tol float64) bool {
	switch {
	case p.R == 0 && q.R == 0: // what lies within tol of a line is convex
		return q.Dist(p.A) <= tol && q.Dist(p.B) <= tol
	case p.R == 0 || q.R == 0:
		return false
	}
	if p.C.Dist(q.C)+math.Abs(p.R-q.R) > tol {
		return false
	}
	if q.IsCircle() {
		return true
	}
	// The turn from q's start to p's ends, in the direction of q.
	s := 1.0
	if q.Sweep < 0 {
		s = -1
	}
	a := s * geom.TurnTo(q.A.Sub(q.C), p.A.Sub(q.C))
	w := s * p.Sweep
	lo, hi := min(a, a+w), max(a, a+w)
	over := quick / q.R
	if lo < -over {
		lo, hi = lo+2*math.Pi, hi+2*math.Pi
	}
	return lo >= -over && hi <= math.Abs(q.Sweep)+over
}

// appendWithin appends to dst the stretches of p that lie within tol of q. The
// edge of what lies within tol of q is made of two parallel lines, or two circles
// about q's centre, and a circle about each end: between two places at which p
// crosses one of them p is all in or all out.
func appendWithin(dst []span, p, q *geom.Piece, tol float64) []span {
	var room [20]float64
	ts := append(room[:0], 0, 1)
	ts = onCircle(ts, p, q.A, tol)
	if q.A != q.B {
		ts = onCircle(ts, p, q.B, tol)
	}
	if q.R > 0 {
		ts = onCircle(ts, p, q.C, q.R+tol)
		ts = onCircle(ts, p, q.C, q.R-tol)
	} else if d := q.B.Sub(q.A); d != (geom.Point{}) {
		n := d.Unit().Left().Mul(tol)
		ts = onLine(ts, p, q.A.Add(n), d)
		ts = onLine(ts, p, q.A.Sub(n), d)
	}
	slices.Sort(ts)
	for i := 1; i < len(ts); i++ {
		t0, t1 := ts[i-1], ts[i]
		if t1 <= t0 || q.Dist(p.At((t0+t1)/2)) > tol {
			continue
		}
		if n := len(dst); i > 1 && n > 0 && dst[n-1].t1 == t0 {
			dst[n-1].t1 = t1
			continue
		}
		dst = append(dst, span{t0, t1})
	}
	return dst
}

// onCircle appends the shares of p at which it crosses a circle.
func onCircle(ts []float64, p *geom.Piece, c geom.Point, r float64) []float64 {
	if r <= 0 {
		return ts
	}
	if p.R == 0 {
		d := p.B.Sub(p.A)
		l := d.Norm()
		if l == 0 {
			return ts
		}
		u := d.Mul(1 / l)
		w := c.Sub(p.A)
		along, off := w.Dot(u), w.Cross(u)
		h2 := (r - off) * (r + off)
		if h2 <= 0 {
			return ts
		}
		h := math.Sqrt(h2)
		return inside(ts, (along-h)/l, (along+h)/l)
	}
	w := c.Sub(p.C)
	d := w.Norm()
	if d == 0 {
		return ts
	}
	a := (d*d + (p.R-r)*(p.R+r)) / (2 * d)
	h2 := (p.R - a) * (p.R + a)
	if h2 <= 0 {
		return ts
	}
	u := w.Mul(1 / d)
	m, n := u.Mul(a), u.Left().Mul(math.Sqrt(h2))
	return onDirections(ts, p, m.Add(n), m.Sub(n))
}

// onLine appends the shares of p at which it crosses the line through o along d.
func onLine(ts []float64, p *geom.Piece, o, d geom.Point) []float64 {
	if p.R == 0 {
		e := p.B.Sub(p.A)
		den := e.Cross(d)
		if den == 0 {
			return ts
		}
		t := o.Sub(p.A).Cross(d) / den
		return inside(ts, t, -1)
	}
	u := d.Unit()
	w := p.C.Sub(o)
	off := u.Cross(w) // of the centre to the left of the line
	h2 := (p.R - off) * (p.R + off)
	if h2 <= 0 {
		return ts
	}
	m, n := u.Left().Mul(-off), u.Mul(math.Sqrt(h2))
	return onDirections(ts, p, m.Add(n), m.Sub(n))
}

func onDirections(ts []float64, p *geom.Piece, a, b geom.Point) []float64 {
	for _, d := range [2]geom.Point{a, b} {
		if p.SweepsOver(d) {
			ts = inside(ts, p.ShareOf(d), -1)
		}
	}
	return ts
}

// inside appends the shares that lie on the piece.
func inside(ts []float64, a, b float64) []float64 {
	if a > 0 && a < 1 {
		ts = append(ts, a)
	}
	if b > 0 && b < 1 {
		ts = append(ts, b)
	}
	return ts
}

// rest returns what the spans leave of [0, 1], stretches of no more than least
// (a share) left out. It sorts the spans.
func rest(spans []span, least float64) []span {
	slices.SortFunc(spans, func(a, b span) int { return cmp.Compare(a.t0, b.t0) })
	var out []span
	at := 0.0
	for _, s := range spans {
		if s.t0-at > least {
			out = append(out, span{at, s.t0})
		}
		at = max(at, s.t1)
	}
	if 1-at > least {
		out = append(out, span{at, 1})
	}
	return out
}
