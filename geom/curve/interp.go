package curve

import (
	"errors"

	"sluice/geom"
)

// interpolate returns the cubic through the fit points with continuous first
// and second derivatives, its parameter the summed distance between the points.
// The ends follow StartTan and EndTan (taken at unit speed, which is the speed
// of that parameter) where given, else have no second derivative; a closed
// spline is smooth all round. Source: the C2 cubic spline equations in terms
// of slopes (de Boor, A Practical Guide to Splines, chapter IV, from memory).
func (s *Spline) interpolate() (*chain, error) {
	pts := make([]geom.Point, 0, len(s.Fit)+1)
	var ext float64
	for _, p := range s.Fit {
		ext = max(ext, p.Dist(s.Fit[0]))
	}
	for _, p := range s.Fit {
		if len(pts) == 0 || p.Dist(pts[len(pts)-1]) > 1e-12*ext {
			pts = append(pts, p)
		}
	}
	round := s.Closed || s.Periodic
	if round && len(pts) > 1 && pts[0].Dist(pts[len(pts)-1]) <= 1e-9*ext {
		pts = pts[:len(pts)-1]
	}
	if len(pts) < 2 {
		return nil, errors.New("spline has no length: its fit points are all the same")
	}
	round = round && len(pts) > 2
	if round {
		pts = append(pts, pts[0])
	}
	n := len(pts) - 1
	h := make([]float64, n)
	for i := range h {
		h[i] = pts[i+1].Dist(pts[i])
	}
	var m []geom.Point
	if round {
		m = roundSlopes(pts, h)
	} else {
		m = openSlopes(pts, h, s.StartTan, s.EndTan)
	}
	c := newChain(3, false, pts[0])
	c.knots = make([]float64, n+1)
	flat := make([]hpoint, 4*n)
	for i := range n {
		a, b := pts[i].Sub(c.origin), pts[i+1].Sub(c.origin)
		seg := bezier(flat[4*i : 4*i+4])
		seg[0], seg[3] = weighted(a, 1), weighted(b, 1)
		seg[1] = weighted(a.Add(m[i].Mul(h[i]/3)), 1)
		seg[2] = weighted(b.Sub(m[i+1].Mul(h[i]/3)), 1)
		c.segs = append(c.segs, seg)
		c.knots[i+1] = c.knots[i] + h[i]
	}
	c.finish(round)
	c.start, c.end = pts[0], pts[n]
	return c, nil
}

// openSlopes solves the tridiagonal system for the slopes at the points.
func openSlopes(pts []geom.Point, h []float64, start, end geom.Point) []geom.Point {
	n := len(h)
	lo, di, up := make([]float64, n+1), make([]float64, n+1), make([]float64, n+1)
	r := make([]geom.Point, n+1)
	for i := 1; i < n; i++ {
		innerRow(pts, h, i-1, i, i, lo, di, up, r)
	}
	if t := start.Unit(); start.Finite() && t != (geom.Point{}) {
		di[0], r[0] = 1, t
	} else {
		di[0], up[0], r[0] = 2, 1, pts[1].Sub(pts[0]).Mul(3/h[0])
	}
	if t := end.Unit(); end.Finite() && t != (geom.Point{}) {
		di[n], r[n] = 1, t
	} else {
		lo[n], di[n], r[n] = 1, 2, pts[n].Sub(pts[n-1]).Mul(3/h[n-1])
	}
	tridiagonal(lo, di, up, r)
	return r
}

// innerRow writes the equation that makes the second derivative continuous at
// point i between the chords a and b.
func innerRow(pts []geom.Point, h []float64, a, b, i int, lo, di, up []float64, r []geom.Point) {
	// Divided by the sum of both chords, so that all rows are of one size.
	s := h[a] + h[b]
	lo[i], di[i], up[i] = h[b]/s, 2, h[a]/s
	da := pts[a+1].Sub(pts[a]).Mul(1 / h[a])
	db := pts[b+1].Sub(pts[b]).Mul(1 / h[b])
	r[i] = da.Mul(3 * h[b] / s).Add(db.Mul(3 * h[a] / s))
}

// roundSlopes solves the cyclic system by the Sherman-Morrison formula: a
// tridiagonal system with two right sides.
func roundSlopes(pts []geom.Point, h []float64) []geom.Point {
	n := len(h)
	lo, di, up := make([]float64, n), make([]float64, n), make([]float64, n)
	r := make([]geom.Point, n)
	for i := range n {
		innerRow(pts, h, (i+n-1)%n, i, i, lo, di, up, r)
	}
	alpha, beta := up[n-1], lo[0] // the entries in the corners
	gamma := -di[0]
	di[0] -= gamma
	di[n-1] -= alpha * beta / gamma
	u := make([]geom.Point, n)
	u[0].X, u[n-1].X = gamma, alpha
	tridiagonal(lo, append([]float64(nil), di...), append([]float64(nil), up...), r)
	tridiagonal(lo, di, up, u)
	q := 1 + u[0].X + beta*u[n-1].X/gamma
	f := r[0].Add(r[n-1].Mul(beta / gamma)).Mul(1 / q)
	for i := range r {
		r[i] = r[i].Sub(f.Mul(u[i].X))
	}
	return append(r, r[0])
}

// tridiagonal solves in place by elimination; every system here has a diagonal
// larger than the rest of its row, so no pivoting is needed.
func tridiagonal(lo, di, up []float64, r []geom.Point) {
	n := len(di)
	for i := 1; i < n; i++ {
		f := lo[i] / di[i-1]
		di[i] -= f * up[i-1]
		r[i] = r[i].Sub(r[i-1].Mul(f))
	}
	r[n-1] = r[n-1].Mul(1 / di[n-1])
	for i := n - 2; i >= 0; i-- {
		r[i] = r[i].Sub(r[i+1].Mul(up[i])).Mul(1 / di[i])
	}
}
