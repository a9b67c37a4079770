package region

import (
	"math"

	"sluice/geom"
)

// Offset returns a closed path whose walls all lie by mm further out, or further in
// where by is below 0. Corners stay corners, and arcs stay arcs about the same middle.
// ok is false where a piece would vanish, or the walls would meet.
func Offset(p geom.Path, by float64) (out geom.Path, ok bool) {
	return shifted(p, func(int) float64 { return by })
}

// MoveWall returns a closed path of which piece i lies by mm further out, or in, and its
// neighbours run on, or are cut back, to it.
func MoveWall(p geom.Path, i int, by float64) (out geom.Path, ok bool) {
	return shifted(p, func(k int) float64 {
		if k == i {
			return by
		}
		return 0
	})
}

// mostWalls is how many pieces a path may have for its walls to be moved.
const mostWalls = 400

func shifted(p geom.Path, by func(i int) float64) (geom.Path, bool) {
	n := len(p)
	if n == 0 || n > mostWalls {
		return nil, false
	}
	out := 1.0 // to the right of a path that runs counter-clockwise
	if p.Area() < 0 {
		out = -1
	}
	if n == 1 {
		r := p[0].R + by(0)
		if !p[0].IsCircle() || r <= Tolerance {
			return nil, false
		}
		c := p[0]
		q := geom.Arc(c.C, r, c.StartAngle(), c.Sweep)
		q.B = q.A
		return geom.Path{q}, true
	}
	q := make(geom.Path, n)
	for i := range p {
		d := out * by(i)
		switch {
		case d == 0:
			q[i] = p[i]
		case p[i].IsLine():
			u := p[i].TangentAt(0.5)
			off := geom.Pt(u.Y, -u.X).Mul(d)
			q[i] = geom.Line(p[i].A.Add(off), p[i].B.Add(off))
		default:
			r := p[i].R + d
			if p[i].Sweep < 0 {
				r = p[i].R - d
			}
			if r <= Tolerance {
				return nil, false
			}
			q[i] = geom.Arc(p[i].C, r, p[i].StartAngle(), p[i].Sweep)
		}
	}
	corners := make([]geom.Point, n) // between piece i and the next
	for i := range q {
		k := (i + 1) % n
		c, ok := corner(&q[i], &q[k], p[i].B)
		if !ok {
			return nil, false
		}
		corners[i] = c
	}
	for i := range q {
		piece, ok := between(&q[i], corners[(i+n-1)%n], corners[i])
		if !ok {
			return nil, false
		}
		q[i] = piece
	}
	return q, simple(q) && q.Area()*p.Area() > 0
}

// corner returns where a piece meets the next: where their ends are, or else the
// crossing of what carries them that is nearest to the old corner.
func corner(a, b *geom.Piece, old geom.Point) (geom.Point, bool) {
	if a.B.Dist(b.A) <= Tolerance {
		return a.B.Mid(b.A), true
	}
	best, at := math.Inf(1), geom.Point{}
	for _, x := range carriersCross(a, b) {
		if d := x.Dist(old); d < best {
			best, at = d, x
		}
	}
	return at, !math.IsInf(best, 1)
}

// carriersCross returns where the whole lines and circles that carry two pieces cross.
func carriersCross(a, b *geom.Piece) []geom.Point {
	const least = 0.01 // sine of the angle
	switch {
	case a.IsLine() && b.IsLine():
		d, e := a.B.Sub(a.A), b.B.Sub(b.A)
		den := d.Cross(e)
		if math.Abs(den) < least*d.Norm()*e.Norm() || den == 0 {
			return nil
		}
		return []geom.Point{a.A.Add(d.Mul(b.A.Sub(a.A).Cross(e) / den))}
	case a.IsLine():
		u := a.TangentAt(0.5)
		w := b.C.Sub(a.A)
		along, off := w.Dot(u), w.Cross(u)
		if h2 := (b.R - off) * (b.R + off); h2 > 0 {
			h := math.Sqrt(h2)
			return []geom.Point{a.A.Add(u.Mul(along - h)), a.A.Add(u.Mul(along + h))}
		}
		return nil
	case b.IsLine():
		return carriersCross(b, a)
	}
	w := b.C.Sub(a.C)
	d := w.Norm()
	if d == 0 {
		return nil
	}
	along := (d*d + (a.R-b.R)*(a.R+b.R)) / (2 * d)
	h2 := (a.R - along) * (a.R + along)
	if h2 <= 0 {
		return nil
	}
	u, h := w.Mul(1/d), math.Sqrt(h2)
	m := a.C.Add(u.Mul(along))
	return []geom.Point{m.Add(u.Left().Mul(h)), m.Sub(u.Left().Mul(h))}
}

// between returns the stretch of what carries a piece from one place to another, run the
// same way; ok is false where it would have to run the other way.
func between(q *geom.Piece, a, b geom.Point) (geom.Piece, bool) {
	if q.IsLine() {
		return geom.Line(a, b), b.Sub(a).Dot(q.B.Sub(q.A)) > 0 && a.Dist(b) > Tolerance
	}
	turn := geom.TurnTo(a.Sub(q.C), b.Sub(q.C))
	for q.Sweep > 0 && turn < 0 {
		turn += 2 * math.Pi
	}
	for q.Sweep < 0 && turn > 0 {
		turn -= 2 * math.Pi
	}
	if math.Abs(turn-q.Sweep) > math.Pi/2 || math.Abs(turn)*q.R <= Tolerance {
		return geom.Piece{}, false
	}
	return geom.Bulge(a, b, math.Tan(turn/4)), true
}

// simple reports whether a closed path does not cross itself.
func simple(p geom.Path) bool {
	var cross []geom.Cross
	for i := range p {
		for k := i + 1; k < len(p); k++ {
			next := k == i+1 || i == 0 && k == len(p)-1
			cross = geom.Crossings(cross[:0], &p[i], &p[k], Tolerance)
			for _, c := range cross {
				end := min(c.P.Dist(p[i].A), c.P.Dist(p[i].B)) <= 2*Tolerance && min(c.P.Dist(p[k].A), c.P.Dist(p[k].B)) <= 2*Tolerance
				if !next || !end {
					return false
				}
			}
		}
	}
	return true
}
