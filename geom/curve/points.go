package curve

import (
	"math"
	"slices"

	"sluice/geom"
)

// longSide is the ratio of neighbouring lines from which on the longer one is
// taken to be straight by intent, so that its direction is the tangent.
const longSide = 2.5

// FitPoints returns lines and arcs that stay within tol (mm) of the polyline
// through pts, in both directions, and pass through some of its points,
// joined tangentially except at corners: points where the polyline turns by
// more than 15 degrees, and the ends of lines too long to be rounded within
// tol. A closed polyline need not repeat its first point. Points that are not
// finite are left out; with fewer than two different points the path is empty.
func FitPoints(pts []geom.Point, closed bool, tol float64) geom.Path {
	ps := make([]geom.Point, 0, len(pts)+1)
	for _, p := range pts {
		if p.Finite() && (len(ps) == 0 || p != ps[len(ps)-1]) {
			ps = append(ps, p)
		}
	}
	if closed && len(ps) > 1 && ps[0] == ps[len(ps)-1] {
		ps = ps[:len(ps)-1]
	}
	if len(ps) < 2 {
		return nil
	}
	closed = closed && len(ps) > 2
	n := len(ps) // number of lines
	if closed {
		if c, ok := wholeCircle(ps, tol); ok {
			return geom.Path{c}
		}
		if i := firstCorner(ps); i > 0 {
			ps = append(slices.Clone(ps[i:]), ps[:i]...)
		}
		ps = append(ps, ps[0])
	} else {
		n--
	}
	f := &pointFitter{ps: ps, tol: tol, tan: make([]geom.Point, n+1)}
	smoothSeam := closed && !sharp(ps[n-1], ps[0], ps[1])
	if smoothSeam {
		f.tan[0] = tangent(ps[n-1], ps[0], ps[1])
		f.tan[n] = f.tan[0]
	}
	for i := 0; i < n; {
		j := i + 1
		for j < n && !sharp(ps[j-1], ps[j], ps[j+1]) {
			f.tan[j] = tangent(ps[j-1], ps[j], ps[j+1])
			j++
		}
		f.stretch(i, j, smoothSeam && i == 0, smoothSeam && j == n)
		i = j
	}
	return f.out
}

// firstCorner returns the first corner of the closed polyline, or -1.
func firstCorner(ps []geom.Point) int {
	n := len(ps)
	for i := range n {
		if sharp(ps[(i+n-1)%n], ps[i], ps[(i+1)%n]) {
			return i
		}
	}
	return -1
}

func sharp(a, b, c geom.Point) bool {
	return math.Abs(geom.TurnTo(b.Sub(a), c.Sub(b))) > denseTurn+1e-9
}

// tangent returns the direction at b: that of the circle through the three
// points, or of the much longer of the two lines.
func tangent(a, b, c geom.Point) geom.Point {
	u, v := b.Sub(a), c.Sub(b)
	lu, lv := u.Norm(), v.Norm()
	switch {
	case lu > longSide*lv:
		return u.Mul(1 / lu)
	case lv > longSide*lu:
		return v.Mul(1 / lv)
	}
	return u.Mul(lv / lu).Add(v.Mul(lu / lv)).Unit()
}

// wholeCircle returns the circle through a closed polyline of soft turns whose
// lines all lie within tol of it.
func wholeCircle(ps []geom.Point, tol float64) (geom.Piece, bool) {
	n := len(ps)
	var turn float64
	for i := range n {
		a, b, c := ps[(i+n-1)%n], ps[i], ps[(i+1)%n]
		if sharp(a, b, c) {
			return geom.Piece{}, false
		}
		turn += geom.TurnTo(b.Sub(a), c.Sub(b))
	}
	c, r, ok := fitCircle(slices.Values(ps))
	if !ok || math.Abs(math.Abs(turn)-2*math.Pi) > 1e-6 {
		return geom.Piece{}, false
	}
	sign := math.Copysign(1, turn)
	from := c.Add(ps[0].Sub(c).Unit().Mul(r))
	ring := ray{from, from.Sub(c).Unit().Left().Mul(sign), sign / r}
	for i := range n {
		if !(ring.chordOff(ps[i], ps[(i+1)%n]) <= tol) {
			return geom.Piece{}, false
		}
	}
	return geom.Piece{A: from, B: from, C: c, R: r, Sweep: sign * 2 * math.Pi}, true
}

// pointFitter is one fit under way.
type pointFitter struct {
	ps, tan []geom.Point
	tol     float64
	out     geom.Path
}

// stretch covers the points i..j, smooth inside; keepA and keepB tell that the
// tangent at the end is set.
func (f *pointFitter) stretch(i, j int, keepA, keepB bool) {
	if j == i+1 && !keepA && !keepB {
		f.out = append(f.out, geom.Line(f.ps[i], f.ps[j]))
		return
	}
	if !keepA && !keepB && f.arc(i, j) {
		return
	}
	if !keepA {
		f.tan[i] = mirrored(f.tan[i+1], f.ps[i+1].Sub(f.ps[i]))
	}
	if !keepB {
		f.tan[j] = mirrored(f.tan[j-1], f.ps[j].Sub(f.ps[j-1]))
	}
	from := len(f.out)
	for i < j {
		if _, _, ok := f.biarc(i, i+1); !ok {
			f.out = append(f.out, geom.Line(f.ps[i], f.ps[i+1]))
			i++
			continue
		}
		// Double the reach until it fails, then halve in on the farthest.
		lo, hi := i+1, j+1
		for reach := 2; i+reach <= j; reach *= 2 {
			if _, _, ok := f.biarc(i, i+reach); !ok {
				hi = i + reach
				break
			}
			lo = i + reach
		}
		for hi-lo > 1 {
			if m := (lo + hi) / 2; f.fits(i, m) {
				lo = m
			} else {
				hi = m
			}
		}
		p, q, _ := f.biarc(i, lo)
		f.out = append(f.out, p, q)
		i = lo
	}
	merged, _ := merge(f.out[from:], f.tol/1000)
	f.out = f.out[:from+len(merged)]
}

// mirrored returns direction t mirrored in the direction of chord d: the
// tangent at the other end of an arc.
func mirrored(t, d geom.Point) geom.Point { return d.Unit().Rotate(geom.TurnTo(t, d)) }

func (f *pointFitter) fits(i, j int) bool {
	_, _, ok := f.biarc(i, j)
	return ok
}

// arc covers the points i..j with one arc or line if that stays within tol.
func (f *pointFitter) arc(i, j int) bool {
	a, b := f.ps[i], f.ps[j]
	if a == b {
		return false
	}
	half, _, ok := halfTurn(a, b, slices.Values(f.ps[i+1:j]), f.tol)
	if !ok {
		return false
	}
	p := arcFromTurn(a, b, 2*half)
	r := rayOf(p)
	for k := i; k < j; k++ {
		if !r.passes(f.ps[k], f.ps[k+1], f.tol) {
			return false
		}
	}
	f.out = append(f.out, p)
	return true
}

// biarc returns the biarc over the points i..j if it stays within tol.
func (f *pointFitter) biarc(i, j int) (p, q geom.Piece, ok bool) {
	m, ok := newBiarc(f.ps[i], f.tan[i], f.ps[j], f.tan[j])
	if !ok {
		return p, q, false
	}
	for k := i; k < j; k++ {
		u, v := f.ps[k], f.ps[k+1]
		hu, hv := u.Sub(m.j).Dot(m.tj), v.Sub(m.j).Dot(m.tj)
		if k == i { // the ends belong to their own arcs
			hu = min(hu, -math.SmallestNonzeroFloat64)
		}
		if k == j-1 {
			hv = max(hv, 0)
		}
		switch {
		case hu < 0 && hv < 0:
			ok = m.first.passes(u, v, f.tol)
		case hu >= 0 && hv >= 0:
			ok = m.sec.passes(u, v, f.tol)
		case hu < 0:
			x := u.Lerp(v, hu/(hu-hv))
			ok = m.first.passes(u, x, f.tol) && m.sec.passes(x, v, f.tol)
		default:
			ok = false // runs back across the joint
		}
		if !ok {
			return p, q, false
		}
	}
	p, q = m.pieces()
	return p, q, true
}

// passes reports whether the line pq lies within tol of the ray's circle and
// runs forward along it.
func (r ray) passes(p, q geom.Point, tol float64) bool {
	d := q.Sub(p)
	fwd := d.Dot(r.t) + r.k*d.Dot(p.Sub(r.a).Left())
	return fwd >= 0 && r.chordOff(p, q) <= tol || p == q
}
