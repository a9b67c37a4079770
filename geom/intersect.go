package geom

import "math"

// Cross is a point common to two pieces, with its share along each.
type Cross struct {
	P    Point
	T, U float64
}

// Crossings appends to dst the points at which the carriers of p and q cross
// within both pieces. Carriers that merely touch (a line or circle that dips
// into a circle by no more than tol, mm) or coincide are not crossings. At most
// two points are found. Shares are exact to rounding; a point may lie at an end.
func Crossings(dst []Cross, p, q *Piece, tol float64) []Cross {
	switch {
	case p.R == 0 && q.R == 0:
		return lineLine(dst, p, q)
	case p.R == 0:
		return lineArc(dst, p, q, tol, false)
	case q.R == 0:
		return lineArc(dst, q, p, tol, true)
	}
	if p.R <= q.R {
		return arcArc(dst, p, q, tol)
	}
	// From the smaller circle: the place along the line of centres is then small
	// against its own rounding.
	n := len(dst)
	dst = arcArc(dst, q, p, tol)
	for i := n; i < len(dst); i++ {
		dst[i].T, dst[i].U = dst[i].U, dst[i].T
	}
	return dst
}

func lineLine(dst []Cross, p, q *Piece) []Cross {
	// Sides of q's ends against p, and the other way round, reject most pairs.
	d, e := p.B.Sub(p.A), q.B.Sub(q.A)
	w := q.A.Sub(p.A)
	den := d.Cross(e)
	if den == 0 {
		return dst
	}
	t := w.Cross(e) / den
	u := w.Cross(d) / den
	if t < 0 || t > 1 || u < 0 || u > 1 {
		return dst
	}
	return append(dst, Cross{p.A.Add(d.Mul(t)), t, u})
}

func lineArc(dst []Cross, l, a *Piece, tol float64, swapped bool) []Cross {
	d := l.B.Sub(l.A)
	n := d.Norm()
	if n == 0 {
		return dst
	}
	dir := d.Mul(1 / n)
	w := a.C.Sub(l.A)
	along, off := w.Dot(dir), math.Abs(w.Cross(dir))
	depth := a.R - off
	if depth <= tol {
		return dst
	}
	half := math.Sqrt(max(0, (a.R-off)*(a.R+off)))
	for _, s := range [2]float64{along - half, along + half} {
		if s < 0 || s > n {
			continue
		}
		pt := l.A.Add(dir.Mul(s))
		v := pt.Sub(a.C)
		if !a.SweepsOver(v) {
			continue
		}
		c := Cross{pt, s / n, a.ShareOf(v)}
		if swapped {
			c.T, c.U = c.U, c.T
		}
		dst = append(dst, c)
	}
	return dst
}

func arcArc(dst []Cross, p, q *Piece, tol float64) []Cross {
	w := q.C.Sub(p.C)
	d := w.Norm()
	if d == 0 || p.R+q.R-d <= tol || d-math.Abs(p.R-q.R) <= tol {
		return dst
	}
	// Distance from p's centre to the common chord, along w.
	a := (d*d + (p.R-q.R)*(p.R+q.R)) / (2 * d)
	h2 := (p.R - a) * (p.R + a)
	if h2 <= 0 {
		return dst
	}
	h := math.Sqrt(h2)
	dir := w.Mul(1 / d)
	m := p.C.Add(dir.Mul(a))
	for _, s := range [2]float64{-h, h} {
		pt := m.Add(dir.Left().Mul(s))
		u, v := pt.Sub(p.C), pt.Sub(q.C)
		if p.SweepsOver(u) && q.SweepsOver(v) {
			dst = append(dst, Cross{pt, p.ShareOf(u), q.ShareOf(v)})
		}
	}
	return dst
}

// Stretch is a common stretch of two pieces: the shares [T0, T1] of the first
// that lie on the second, the matching shares U0, U1 of the second (U0 belongs
// to T0), and the largest distance between the two along it.
type Stretch struct {
	T0, T1, U0, U1 float64
	Apart          float64
}

// Overlaps appends to dst the stretches, longer than least, along which p and q
// lie within same (mm) of each other. Two arcs can have two such stretches.
func Overlaps(dst []Stretch, p, q *Piece, same, least float64) []Stretch {
	switch {
	case p.R == 0 && q.R == 0:
		return lineOverlap(dst, p, q, same, least)
	case p.R > 0 && q.R > 0:
		return arcOverlap(dst, p, q, same, least)
	}
	return flatOverlap(dst, p, q, same, least)
}

func lineOverlap(dst []Stretch, p, q *Piece, same, least float64) []Stretch {
	d := p.B.Sub(p.A)
	n := d.Norm()
	if n <= least {
		return dst
	}
	dir := d.Mul(1 / n)
	a, b := q.A.Sub(p.A), q.B.Sub(p.A)
	sa, sb := a.Dot(dir), b.Dot(dir)
	ha, hb := a.Cross(dir), b.Cross(dir)
	lo, hi := max(0, min(sa, sb)), min(n, max(sa, sb))
	if hi-lo <= least {
		return dst
	}
	// The offset of q from p's line is linear along q, so that the ends of the
	// common stretch bound it.
	at := func(s float64) (u, h float64) {
		u = (s - sa) / (sb - sa)
		return u, ha + (hb-ha)*u
	}
	u0, h0 := at(lo)
	u1, h1 := at(hi)
	apart := max(math.Abs(h0), math.Abs(h1))
	if apart > same {
		return dst
	}
	return append(dst, Stretch{lo / n, hi / n, clamp01(u0), clamp01(u1), apart})
}

func arcOverlap(dst []Stretch, p, q *Piece, same, least float64) []Stretch {
	// Same carrier: centres and radii may differ by more than same on flat arcs,
	// so the test is made on the stretch itself; this only rejects early.
	if p.C.Dist(q.C)+math.Abs(p.R-q.R) > same && p.R > 0 && q.R > 0 {
		if !nearAlong(p, q, same) {
			return dst
		}
	}
	full := math.Abs(p.Sweep)
	if p.IsCircle() || q.IsCircle() {
		switch {
		case p.IsCircle() && q.IsCircle():
			return appendStretch(dst, p, q, 0, 1, 0, 1, same, least)
		case p.IsCircle():
			// The whole of q lies on p: split at p's own start.
			t0, t1 := p.ShareOf(q.A.Sub(p.C)), p.ShareOf(q.B.Sub(p.C))
			u0, u1 := 0.0, 1.0
			if (q.Sweep > 0) != (p.Sweep > 0) {
				t0, t1, u0, u1 = t1, t0, u1, u0
			}
			if t0 < t1 {
				return appendStretch(dst, p, q, t0, t1, u0, u1, same, least)
			}
			um := q.ShareOf(p.A.Sub(q.C))
			dst = appendStretch(dst, p, q, t0, 1, u0, um, same, least)
			return appendStretch(dst, p, q, 0, t1, um, u1, same, least)
		default:
			u0, u1 := q.ShareOf(p.A.Sub(q.C)), q.ShareOf(p.B.Sub(q.C))
			return appendStretch(dst, p, q, 0, 1, u0, u1, same, least)
		}
	}
	// Both are arcs: run q's angles in p's frame, p from 0 to full.
	s := 1.0
	if p.Sweep < 0 {
		s = -1
	}
	a := s * TurnTo(p.A.Sub(p.C), q.A.Sub(p.C))
	w := s * q.Sweep
	lo, hi := a, a+w
	rev := hi < lo
	if rev {
		lo, hi = hi, lo
	}
	for _, k := range [3]float64{-2 * math.Pi, 0, 2 * math.Pi} {
		t0, t1 := max(0, lo+k), min(full, hi+k)
		if (t1-t0)*p.R <= least {
			continue
		}
		u0, u1 := (t0-lo-k)/(hi-lo), (t1-lo-k)/(hi-lo)
		if rev {
			u0, u1 = 1-u0, 1-u1
		}
		dst = appendStretch(dst, p, q, t0/full, t1/full, u0, u1, same, least)
	}
	return dst
}

// nearAlong reports whether two arcs can share a stretch at all: somewhere the
// carriers are within same and nearly parallel. Cheap and generous.
func nearAlong(p, q *Piece, same float64) bool {
	for _, e := range [2]Point{q.A, q.B} {
		if d := p.Dist(e); d <= same {
			return true
		}
	}
	for _, e := range [2]Point{p.A, p.B} {
		if d := q.Dist(e); d <= same {
			return true
		}
	}
	return false
}

// flatOverlap compares a line with an arc flat enough to lie within same of it.
func flatOverlap(dst []Stretch, p, q *Piece, same, least float64) []Stretch {
	arc := p
	if p.R == 0 {
		arc = q
	}
	// Only the sagitta of the whole arc is tested: a curved arc shares no more
	// than sqrt(8 R same) with a line, which is a touch, not a repeat.
	if arc.R*(1-math.Cos(min(math.Pi, math.Abs(arc.Sweep)/2))) > same {
		return dst
	}
	lp, lq := Line(p.A, p.B), Line(q.A, q.B)
	n := len(dst)
	dst = lineOverlap(dst, &lp, &lq, 2*same, least)
	for i := n; i < len(dst); i++ {
		s := dst[i]
		var ok bool
		if s.Apart, ok = apart(p, q, s, same); !ok {
			return dst[:n]
		}
		dst[i] = s
	}
	return dst
}

func appendStretch(dst []Stretch, p, q *Piece, t0, t1, u0, u1, same, least float64) []Stretch {
	s := Stretch{T0: clamp01(t0), T1: clamp01(t1), U0: clamp01(u0), U1: clamp01(u1)}
	if (s.T1-s.T0)*p.Length() <= least {
		return dst
	}
	var ok bool
	if s.Apart, ok = apart(p, q, s, same); !ok {
		return dst
	}
	return append(dst, s)
}

// apart measures the largest distance between the pieces along the stretch at
// its ends, quarter points and middle. Two arcs (or an arc and a line) differ
// along their common stretch by a function with at most one extremum between
// the places where they agree, so five places suffice to the order of same.
func apart(p, q *Piece, s Stretch, same float64) (float64, bool) {
	var worst float64
	for _, f := range [5]float64{0, 0.25, 0.5, 0.75, 1} {
		d := q.Dist(p.At(s.T0 + (s.T1-s.T0)*f))
		if d > same {
			return d, false
		}
		worst = max(worst, d)
	}
	return worst, true
}

func clamp01(t float64) float64 { return min(1, max(0, t)) }
