package clear

import (
	"math"

	"sluice/geom"
)

// nearestPoints returns the smallest distance between two pieces and the points
// where it is taken, 0 where they meet. Lines and arcs have their nearest
// points at an end of one of them, where they cross, or on the common normal
// (through the centre of an arc), and all of these are tried.
func nearestPoints(a, b *geom.Piece) (d float64, pa, pb geom.Point) {
	d = math.Inf(1)
	try := func(p, q geom.Point) {
		if e := p.Dist(q); e < d {
			d, pa, pb = e, p, q
		}
	}
	q, _ := b.Nearest(a.A)
	try(a.A, q)
	q, _ = b.Nearest(a.B)
	try(a.B, q)
	q, _ = a.Nearest(b.A)
	try(q, b.A)
	q, _ = a.Nearest(b.B)
	try(q, b.B)
	if d == 0 {
		return d, pa, pb
	}
	switch {
	case a.R == 0 && b.R == 0:
		if p, ok := crossLines(a, b); ok {
			return 0, p, p
		}
	case a.R == 0:
		lineArc(a, b, try)
	case b.R == 0:
		lineArc(b, a, func(p, q geom.Point) { try(q, p) })
	default:
		arcArc(a, b, try)
	}
	return d, pa, pb
}

// crossLines returns the point in which two lines cross inside both.
func crossLines(a, b *geom.Piece) (geom.Point, bool) {
	u, v, w := a.B.Sub(a.A), b.B.Sub(b.A), b.A.Sub(a.A)
	den := u.Cross(v)
	if den == 0 {
		return geom.Point{}, false
	}
	s, t := w.Cross(v)/den, w.Cross(u)/den
	if s < 0 || s > 1 || t < 0 || t > 1 {
		return geom.Point{}, false
	}
	return a.A.Lerp(a.B, s), true
}

// lineArc tries the common normals of a line and an arc, and their crossings.
func lineArc(l, a *geom.Piece, try func(onLine, onArc geom.Point)) {
	dir := l.B.Sub(l.A)
	len2 := dir.Dot(dir)
	if len2 == 0 {
		return
	}
	t := a.C.Sub(l.A).Dot(dir) / len2
	foot := l.A.Lerp(l.B, t)
	h := foot.Sub(a.C)
	dist := h.Norm()
	if dist >= a.R {
		if t >= 0 && t <= 1 && a.SweepsOver(h) {
			try(foot, a.C.Add(h.Mul(a.R/dist)))
		}
		return
	}
	half := math.Sqrt((a.R*a.R - dist*dist) / len2)
	for _, s := range [2]float64{t - half, t + half} {
		if p := l.A.Lerp(l.B, s); s >= 0 && s <= 1 && a.SweepsOver(p.Sub(a.C)) {
			try(p, p)
		}
	}
	// The middle of a chord inside the circle is farthest from it, unless the
	// arc is only on the near side; the ends have been tried already.
}

// arcArc tries the common normals of two arcs and their crossings.
func arcArc(a, b *geom.Piece, try func(onA, onB geom.Point)) {
	v := b.C.Sub(a.C)
	dist := v.Norm()
	if dist == 0 {
		return // concentric: the ends have told
	}
	u := v.Mul(1 / dist)
	for _, sa := range [2]float64{1, -1} {
		if !a.SweepsOver(u.Mul(sa)) {
			continue
		}
		for _, sb := range [2]float64{1, -1} {
			if b.SweepsOver(u.Mul(sb)) {
				try(a.C.Add(u.Mul(sa*a.R)), b.C.Add(u.Mul(sb*b.R)))
			}
		}
	}
	x := (dist*dist + a.R*a.R - b.R*b.R) / (2 * dist)
	y2 := a.R*a.R - x*x
	if y2 < 0 {
		return
	}
	y := math.Sqrt(y2)
	for _, s := range [2]float64{y, -y} {
		p := a.C.Add(u.Mul(x)).Add(u.Left().Mul(s))
		if a.SweepsOver(p.Sub(a.C)) && b.SweepsOver(p.Sub(b.C)) {
			try(p, p)
		}
	}
}
