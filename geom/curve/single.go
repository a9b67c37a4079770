package curve

import (
	"math"

	"sluice/geom"
)

// biarc covers the curve from a to b with one biarc if that stays within
// tolerance.
func (f *fitter) biarc(a, b mark) bool {
	m, ok := f.newBiarc(a, b)
	if !ok {
		return false
	}
	// Samples first: they are at hand and tell most failures. They also show
	// where the curve crosses the normal of the joint.
	limit := f.tol * (1 + 1e-9)
	cross := -1
	for i := a.next; i < b.next; i++ {
		p := f.q[i].p
		r := &m.first
		if p.Sub(m.j).Dot(m.tj) >= 0 {
			r = &m.sec
			if cross < 0 {
				cross = i
			}
		}
		if !(math.Abs(r.off(p)) <= limit) {
			return false
		}
	}
	if cross < 0 {
		cross = b.next
	}
	if math.Abs(f.q[b.next].turn-f.q[max(0, a.next-1)].turn) > 1.5*math.Pi {
		return false
	}
	lo, hi := a.pos, f.q[cross].pos
	if cross == b.next {
		hi = b.pos
	}
	if cross > a.next {
		lo = f.q[cross-1].pos
	}
	x, ok := f.crossing(lo, hi, m.j, m.tj)
	if !ok {
		return false
	}
	d1, ok1 := f.along(a.pos, x, m.first, f.tol)
	if !ok1 {
		return false
	}
	d2, ok2 := f.along(x, b.pos, m.sec, f.tol)
	if !ok2 {
		return false
	}
	f.dev = max(f.dev, d1, d2)
	p, q := m.pieces()
	f.out = append(f.out, p, q)
	return true
}

// newBiarc returns the biarc between two marks, unless one of its arcs would be
// too small to be told from a point.
func (f *fitter) newBiarc(a, b mark) (biarc, bool) {
	m, ok := newBiarc(a.p, a.tan, b.p, b.tan)
	return m, ok && min(m.a.Dist(m.j), m.j.Dist(m.b), m.a.Dist(m.b)) > 1e-9*f.tol
}

// crossing returns the place between lo and hi where the curve crosses the
// normal through j, by regula falsi (Illinois).
func (f *fitter) crossing(lo, hi pos, j, t geom.Point) (pos, bool) {
	if lo.seg != hi.seg {
		// The two differ only by the joint between their segments.
		switch {
		case lo.t >= 1:
			lo = pos{hi.seg, 0}
		case hi.t <= 0:
			hi = pos{lo.seg, 1}
		default:
			return lo, false
		}
		if lo.seg != hi.seg {
			return lo, false
		}
	}
	b := f.segs[lo.seg]
	h := func(x float64) float64 { return b.at(x).Sub(j).Dot(t) }
	x0, x1 := lo.t, hi.t
	y0, y1 := h(x0), h(x1)
	if y0 >= 0 {
		return lo, y0 <= 1e-9*f.tol+1e-12*(math.Abs(j.X)+math.Abs(j.Y))
	}
	if y1 < 0 {
		return hi, y1 >= -1e-9*f.tol-1e-12*(math.Abs(j.X)+math.Abs(j.Y))
	}
	enough := 1e-14 * (math.Abs(j.X) + math.Abs(j.Y) + f.tol)
	side := 0
	for range 60 {
		x := (x0*y1 - x1*y0) / (y1 - y0)
		y := h(x)
		if math.Abs(y) <= enough || x1-x0 <= 1e-16 {
			return pos{lo.seg, x}, true
		}
		if y < 0 {
			x0, y0 = x, y
			if side < 0 {
				y1 /= 2
			}
			side = -1
		} else {
			x1, y1 = x, y
			if side > 0 {
				y0 /= 2
			}
			side = 1
		}
	}
	return pos{lo.seg, (x0 + x1) / 2}, true
}

// single covers the whole stretch from a to b with one line or one arc if that
// stays within tolerance and keeps the end directions.
func (f *fitter) single(a, b mark) bool {
	kink := looseEnd
	if f.fixed {
		kink = 1e-7
	}
	chord := b.p.Sub(a.p)
	l := chord.Norm()
	q := f.q
	turn := q[len(q)-1].turn
	if !(l > 1e-9*q[len(q)-1].s) || math.Abs(turn) > 2*math.Pi {
		return false
	}
	ends := func(t0, t1 geom.Point) bool {
		return math.Abs(geom.TurnTo(t0, a.tan)) <= kink && math.Abs(geom.TurnTo(t1, b.tan)) <= kink
	}
	// A line only where the curve is straight to rounding: an arc of large
	// radius is one piece too, and nearer.
	u := chord.Mul(1 / l)
	if ends(u, u) {
		if dev, ok := f.along(a.pos, b.pos, ray{a.p, u, 0}, f.tol/100); ok {
			f.dev = max(f.dev, dev)
			f.out = append(f.out, geom.Line(a.p, b.p))
			return true
		}
	}
	half, _, ok := halfTurn(a.p, b.p, func(yield func(geom.Point) bool) {
		for i := 1; i < len(q)-1; i++ {
			if !yield(q[i].p) {
				return
			}
		}
	}, f.tol)
	if !ok {
		return false
	}
	t0, t1 := u.Rotate(-half), u.Rotate(half)
	if !ends(t0, t1) {
		return false
	}
	dev, ok := f.along(a.pos, b.pos, ray{a.p, t0, 2 * math.Sin(half) / l}, f.tol)
	if !ok {
		return false
	}
	f.dev = max(f.dev, dev)
	f.out = append(f.out, arcFromTurn(a.p, b.p, 2*half))
	return true
}

// halfTurn returns half the turn of the arc from a to b whose largest distance
// from the points is least, that distance (both to a few percent), and false
// where no such arc stays within tol. A point p lies on the arc of half turn f(p) = angle between ap
// and pb (the inscribed angle); moving it off that arc by d changes the angle
// by d |ab| / (|ap| |pb|). So each point gives an interval of half turns.
func halfTurn(a, b geom.Point, points func(func(geom.Point) bool), tol float64) (half, off float64, ok bool) {
	l := b.Dist(a)
	try := func(tol float64) (lo, hi float64) {
		lo, hi = -math.Pi, math.Pi
		for p := range points {
			u, v := p.Sub(a), b.Sub(p)
			lu, lv := u.Norm(), v.Norm()
			slack := math.Inf(1)
			if lu*lv > 0 {
				slack = tol * l / (lu * lv)
			}
			if !(slack < math.Pi/2) {
				continue
			}
			h := geom.TurnTo(u, v)
			lo, hi = max(lo, h-slack), min(hi, h+slack)
			if lo > hi {
				return
			}
		}
		return lo, hi
	}
	// A tolerance larger than the arc itself would tell nothing.
	var widest float64
	for p := range points {
		widest = max(widest, p.Dist(a)*p.Dist(b))
	}
	if l > 0 {
		tol = min(tol, widest/l/2)
	}
	lo, hi := try(tol)
	if lo > hi || hi-lo > math.Pi {
		return 0, 0, false
	}
	half = (lo + hi) / 2
	// Close in on the best arc: the least tolerance that leaves an interval.
	bad, good := 0.0, tol
	for range 12 {
		t := (bad + good) / 2
		if bad == 0 {
			t = good / 16
		}
		if lo, hi := try(t); lo <= hi {
			good, half = t, (lo+hi)/2
		} else {
			bad = t
		}
		if good-bad < 0.02*good || good < 1e-9*tol {
			break
		}
	}
	return half, good, true
}

// circle covers a smooth closed curve with one full circle if that stays within
// tolerance.
func (f *fitter) circle() bool {
	q := f.q
	turn := q[len(q)-1].turn
	if math.Abs(math.Abs(turn)-2*math.Pi) > 0.5 {
		return false
	}
	c, r, ok := fitCircle(func(yield func(geom.Point) bool) {
		for i := range q {
			if !yield(q[i].p) {
				return
			}
		}
	})
	if !ok {
		return false
	}
	for i := range q {
		if math.Abs(q[i].p.Dist(c)-r) > 2*f.tol {
			return false
		}
	}
	sign := math.Copysign(1, turn)
	a := q[0].p
	// Through the start if it can be, else with the mean radius.
	for _, r := range [2]float64{a.Dist(c), r} {
		out := a.Sub(c).Unit()
		from := c.Add(out.Mul(r))
		t := out.Left().Mul(sign)
		dev, ok := f.along(q[0].pos, q[len(q)-1].pos, ray{from, t, sign / r}, f.tol)
		if !ok {
			continue
		}
		f.dev = max(f.dev, dev)
		if a.Dist(from) <= 1e-12*r {
			from = a
		}
		f.out = append(f.out, geom.Piece{A: from, B: from, C: c, R: r, Sweep: sign * 2 * math.Pi})
		return true
	}
	return false
}

// fitCircle returns the circle with the least sum of squares of
// |p-c|^2 - r^2 over the points (Kåsa's fit, from memory), about their mean.
func fitCircle(points func(func(geom.Point) bool)) (c geom.Point, r float64, ok bool) {
	var mean geom.Point
	n := 0.0
	for p := range points {
		mean = mean.Add(p)
		n++
	}
	mean = mean.Mul(1 / n)
	var xx, xy, yy, xz, yz, zz float64
	for p := range points {
		d := p.Sub(mean)
		z := d.Dot(d)
		xx, xy, yy = xx+d.X*d.X, xy+d.X*d.Y, yy+d.Y*d.Y
		xz, yz, zz = xz+d.X*z, yz+d.Y*z, zz+z
	}
	det := xx*yy - xy*xy
	if !(det > 1e-12*(xx+yy)*(xx+yy)) {
		return c, 0, false
	}
	o := geom.Point{X: (xz*yy - yz*xy) / (2 * det), Y: (yz*xx - xz*xy) / (2 * det)}
	return mean.Add(o), math.Sqrt(zz/n + o.Dot(o)), true
}
