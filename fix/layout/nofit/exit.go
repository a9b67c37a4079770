package nofit

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// stretch is a run of a ray, mm from its start.
type stretch struct{ lo, hi float64 }

// Leave returns how far (mm) one must go from p in the direction u (unit) to
// reach the first displacement that is free; 0 if p is.
func (t *Table) Leave(p, u geom.Point) float64 {
	var runs []stretch
	for i := range t.pieces {
		c := &t.pieces[i]
		lo, hi := 0.0, math.Inf(1)
		for _, q := range t.planes[c.lo:c.hi] {
			s := q.d - q.nx*p.X - q.ny*p.Y // room before the plane
			v := q.nx*u.X + q.ny*u.Y
			switch {
			case v > 0:
				hi = min(hi, s/v)
			case v < 0:
				lo = max(lo, s/v)
			case s <= 0:
				hi = -1
			}
			if lo >= hi {
				break
			}
		}
		if lo < hi {
			runs = append(runs, stretch{lo, hi})
		}
	}
	slices.SortFunc(runs, func(a, b stretch) int { return cmp.Or(cmp.Compare(a.lo, b.lo), cmp.Compare(a.hi, b.hi)) })
	at := 0.0
	for _, r := range runs {
		if r.lo > at {
			break
		}
		at = max(at, r.hi)
	}
	return at
}

// Exit returns the displacement (mm) that leads from p to a free place by the
// shortest way found; zero if p is free. It looks along the normals of the sides
// of the pieces that hold p, which is exact where the nearest free place lies on
// a side, and in 24 even directions, and then narrows the best down.
func (t *Table) Exit(p geom.Point) geom.Point {
	if d, _, _ := t.Depth(p.X, p.Y); d <= 0 {
		return geom.Point{}
	}
	best, dir := math.Inf(1), geom.Point{}
	try := func(u geom.Point) {
		if d := t.Leave(p, u); d < best {
			best, dir = d, u
		}
	}
	for i := range t.pieces {
		c := &t.pieces[i]
		if !c.box.Contains(p) {
			continue
		}
		for _, q := range t.planes[c.lo:c.hi] {
			if s := q.d - q.nx*p.X - q.ny*p.Y; s < best {
				try(geom.Pt(q.nx, q.ny))
			}
		}
	}
	const ways = 24
	for k := range ways {
		try(geom.Polar(geom.Point{}, 1, 2*math.Pi*float64(k)/ways))
	}
	for a := math.Pi / ways; a > 1e-3; a /= 2 {
		u := dir
		try(u.Rotate(a))
		try(u.Rotate(-a))
	}
	return dir.Mul(best)
}

// Reach returns how far (mm) one can go from the free displacement p in the
// direction u (unit) before the way is barred; +Inf if it never is.
func (t *Table) Reach(p, u geom.Point) float64 {
	least := math.Inf(1)
	for i := range t.pieces {
		c := &t.pieces[i]
		lo, hi := 0.0, least
		for _, q := range t.planes[c.lo:c.hi] {
			s := q.d - q.nx*p.X - q.ny*p.Y
			v := q.nx*u.X + q.ny*u.Y
			switch {
			case v > 0:
				hi = min(hi, s/v)
			case v < 0:
				lo = max(lo, s/v)
			case s <= 0:
				hi = -1
			}
			if lo >= hi {
				break
			}
		}
		if lo < hi {
			least = lo
		}
	}
	return least
}
