package geom

import "math"

// NearestPoints returns the smallest distance between two pieces and the points
// where it is taken, on a and on b; 0 and one point where they meet. Lines and
// arcs are nearest to each other at an end of one of them, where they cross, or on
// a common normal, which runs through the centre of an arc; all of these are tried.
func NearestPoints(a, b *Piece) (d float64, pa, pb Point) {
	d = math.Inf(1)
	try := func(p, q Point) {
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
	var buf [2]Cross
	if x := Crossings(buf[:0], a, b, 0); len(x) > 0 {
		return 0, x[0].P, x[0].P
	}
	switch {
	case a.R > 0 && b.R > 0:
		normalsOfArcs(a, b, try)
	case b.R > 0:
		if p, q, ok := normalFrom(a, b); ok {
			try(p, q)
		}
	case a.R > 0:
		if q, p, ok := normalFrom(b, a); ok {
			try(p, q)
		}
	}
	return d, pa, pb
}

// PieceDist returns the smallest distance between two pieces, 0 where they meet.
func PieceDist(a, b *Piece) float64 {
	d, _, _ := NearestPoints(a, b)
	return d
}

// normalFrom returns the ends of the common normal of a line that runs past a
// circle and an arc of it. The middle of a chord inside the circle is farthest
// from it, unless the arc is only on the near side; then an end is nearest.
func normalFrom(l, a *Piece) (onLine, onArc Point, ok bool) {
	d := l.B.Sub(l.A)
	len2 := d.Dot(d)
	if len2 == 0 {
		return Point{}, Point{}, false
	}
	t := a.C.Sub(l.A).Dot(d) / len2
	foot := l.A.Lerp(l.B, t)
	h := foot.Sub(a.C)
	n := h.Norm()
	if n < a.R || t < 0 || t > 1 || !a.SweepsOver(h) {
		return Point{}, Point{}, false
	}
	return foot, a.C.Add(h.Mul(a.R / n)), true
}

// normalsOfArcs tries the ends of the common normals of two arcs. Concentric ones
// are nearest at an end.
func normalsOfArcs(a, b *Piece, try func(onA, onB Point)) {
	u := b.C.Sub(a.C).Unit()
	if u == (Point{}) {
		return
	}
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
}
