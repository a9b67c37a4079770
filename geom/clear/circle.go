package clear

import (
	"container/heap"
	"math"

	"sluice/geom"
	"sluice/geom/index"
)

// LargestCircle returns the largest circle that fits inside a closed path. The
// path may run either way. For an empty path, or one that encloses nothing, the
// radius is 0.
//
// A circle, a rectangle, a slot with round ends and every shape whose centroid
// lies midway across its least width are answered at once. The general case is
// the search for the pole of inaccessibility by a queue of
// squares, each bounded by the distance at its centre plus half its diagonal;
// distances to arcs are exact. It finds a circle at most precision (mm), or half
// a percent if that is more, smaller than the largest, which is then grown in
// its place until two or three pieces hold it: to rounding error where no other
// place comes that near.
func LargestCircle(ring geom.Path, precision float64) (center geom.Point, radius float64) {
	if len(ring) == 0 {
		return geom.Point{}, 0
	}
	if c, r, ok := plainShape(ring); ok {
		return c, r
	}
	box := ring.Box()
	if box.Empty() || !box.Min.Finite() || !box.Max.Finite() {
		return ring[0].A, 0
	}
	// Work near the origin: a path far off would lose digits.
	o := box.Center()
	local := ring.Transform(geom.Shift(o.Mul(-1)))
	s := &search{tree: index.PathTree(local), path: local}
	size := max(box.W(), box.H())
	if !(precision > size*1e-9) {
		precision = size * 1e-9
	}
	c, r := s.pole(geom.Box{Min: box.Min.Sub(o), Max: box.Max.Sub(o)}, precision)
	if r <= 0 {
		return ring[0].A, 0
	}
	c, r = s.refine(c, r, precision)
	return c.Add(o), r
}

// plainShape answers for shapes whose largest circle is known.
func plainShape(p geom.Path) (c geom.Point, r float64, ok bool) {
	if p[0].R > 0 { // a circle, of any number of arcs
		c, r = p[0].C, p[0].R
		turn := 0.0
		for i := range p {
			if p[i].R == 0 || p[i].C.Dist(c) > 1e-9*(1+r) || math.Abs(p[i].R-r) > 1e-9*(1+r) {
				turn = 0
				break
			}
			turn += p[i].Sweep
		}
		if math.Abs(math.Abs(turn)-2*math.Pi) < 1e-6 {
			return c, r, true
		}
	}
	if len(p) != 4 {
		return c, 0, false
	}
	// Opposite pieces parallel and alike, neighbours at right angles (a
	// rectangle) or two of them half circles (a slot).
	k := 0
	if p[0].R > 0 {
		k = 1
	}
	a, b, d, e := &p[k], &p[k+1], &p[(k+2)%4], &p[(k+3)%4]
	if a.R > 0 || d.R > 0 {
		return c, 0, false
	}
	u, v := a.B.Sub(a.A), d.B.Sub(d.A)
	tol := 1e-9 * (1 + u.Norm())
	if u.Add(v).Norm() > tol {
		return c, 0, false
	}
	w := d.A.Sub(a.B)
	if math.Abs(w.Dot(u)) > tol*w.Norm() {
		return c, 0, false
	}
	mid := a.A.Mid(d.A)
	switch {
	case b.R == 0 && e.R == 0:
		return mid, min(u.Norm(), w.Norm()) / 2, true
	case b.R > 0 && e.R > 0 && b.Sweep*e.Sweep > 0 && math.Abs(math.Abs(b.Sweep)-math.Pi) < 1e-9 &&
		math.Abs(math.Abs(e.Sweep)-math.Pi) < 1e-9 && b.Sweep*u.Cross(w) > 0:
		return mid, w.Norm() / 2, true
	}
	return c, 0, false
}

// search is a path indexed for signed distances.
type search struct {
	tree *index.PieceTree
	path geom.Path
}

// square is a part of the plane still to be looked at.
type square struct {
	c      geom.Point
	half   float64
	d, top float64 // distance at the centre, and the most any point can have
}

type squares []square

func (q squares) Len() int { return len(q) }
func (q squares) Less(i, j int) bool {
	a, b := &q[i], &q[j]
	if a.top != b.top {
		return a.top > b.top
	}
	return a.c.X < b.c.X || a.c.X == b.c.X && a.c.Y < b.c.Y
}
func (q squares) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *squares) Push(x any)   { *q = append(*q, x.(square)) }
func (q *squares) Pop() any {
	n := len(*q) - 1
	x := (*q)[n]
	*q = (*q)[:n]
	return x
}

// signed returns the distance from q to the path, negative outside.
func (s *search) signed(q geom.Point) float64 {
	d, _ := s.tree.Nearest(q, math.Inf(1))
	if s.contains(q) {
		return d
	}
	return -d
}

// contains is geom.Path.Contains with the tree in front: only pieces beside or
// right of q can meet the ray to the right.
func (s *search) contains(q geom.Point) bool {
	in := false
	var some geom.Path
	b := geom.Box{Min: q, Max: geom.Pt(math.Inf(1), q.Y)}
	s.tree.In(b, func(i int32) bool {
		some = append(some[:0], s.path[i])
		if some.Contains(q) {
			in = !in
		}
		return true
	})
	return in
}

// mostSquares bounds the work of the search; shapes met need some hundreds.
const mostSquares = 5000

// pole finds the point farthest inside, to the given precision.
func (s *search) pole(box geom.Box, precision float64) (geom.Point, float64) {
	q := &squares{}
	put := func(c geom.Point, half float64) square {
		d := s.signed(c)
		x := square{c, half, d, d + half*math.Sqrt2}
		heap.Push(q, x)
		return x
	}
	cell := min(box.W(), box.H())
	cell = max(cell, max(box.W(), box.H())/64)
	best := square{c: box.Center(), d: s.signed(box.Center())}
	if c := s.path.Centroid(); c.Finite() {
		if d := s.signed(c); d > best.d {
			best = square{c: c, d: d}
		}
	}
	if cell <= 0 || best.d >= s.halfWidth()*(1-1e-12) {
		return best.c, best.d
	}
	for x := box.Min.X; x < box.Max.X; x += cell {
		for y := box.Min.Y; y < box.Max.Y; y += cell {
			put(geom.Pt(x+cell/2, y+cell/2), cell/2)
		}
	}
	for n := 0; q.Len() > 0 && n < mostSquares; n++ {
		x := heap.Pop(q).(square)
		if x.d > best.d {
			best = x
		}
		if x.top-best.d <= max(precision, 0.005*best.d) {
			break
		}
		h := x.half / 2
		for _, o := range [4]geom.Point{{X: -h, Y: -h}, {X: h, Y: -h}, {X: -h, Y: h}, {X: h, Y: h}} {
			put(x.c.Add(o), h)
		}
	}
	return best.c, best.d
}

// halfWidth returns half the least extent of the path across its box and across
// some of its lines: no circle inside is larger.
func (s *search) halfWidth() float64 {
	across := []geom.Point{{X: 1}, {Y: 1}}
	for i := range s.path {
		if p := &s.path[i]; p.R == 0 && p.A != p.B && len(across) < 10 {
			across = append(across, p.B.Sub(p.A).Unit().Left())
		}
	}
	least := math.Inf(1)
	for _, n := range across {
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := range s.path {
			p := &s.path[i]
			a, b := p.A.Dot(n), p.B.Dot(n)
			lo, hi = min(lo, a, b), max(hi, a, b)
			if p.R > 0 {
				c := p.C.Dot(n)
				if p.SweepsOver(n) {
					hi = max(hi, c+p.R)
				}
				if p.SweepsOver(n.Mul(-1)) {
					lo = min(lo, c-p.R)
				}
			}
		}
		least = min(least, (hi-lo)/2)
	}
	return least
}

// Fits reports whether a circle of the given radius (mm) fits inside a closed
// path, to 1e-6 mm. It is much quicker than LargestCircle where the answer is
// clear.
func Fits(ring geom.Path, radius float64) bool {
	box := ring.Box()
	if len(ring) == 0 || min(box.W(), box.H()) < 2*radius-near {
		return false
	}
	if _, r, ok := plainShape(ring); ok {
		return r >= radius-near
	}
	local := ring.Transform(geom.Shift(box.Center().Mul(-1)))
	s := &search{tree: index.PathTree(local), path: local}
	for _, c := range []geom.Point{{}, local.Centroid()} {
		if s.signed(c) >= radius-near {
			return true
		}
	}
	if s.halfWidth() < radius-near {
		return false
	}
	_, r := LargestCircle(ring, 1e-3*radius)
	return r >= radius-near
}

// refine moves the centre uphill: the pieces that come within reach are taken as
// straight walls across their nearest points, and steps that even out two
// opposite or three distances are taken while they help.
func (s *search) refine(c geom.Point, r, precision float64) (geom.Point, float64) {
	reach := max(precision, 0.005*r)
	for range 40 {
		sites := s.sites(c, r+4*reach)
		was := r
		try := func(e geom.Point) {
			if d := s.signed(e); d > r {
				c, r = e, d
			}
		}
		for i := range sites {
			for j := i + 1; j < len(sites); j++ {
				try(sites[i].Mid(sites[j]))
				for k := j + 1; k < len(sites); k++ {
					if e, ok := even(c, sites[i], sites[j], sites[k]); ok && e.Dist(c) < 100*reach {
						try(e)
					}
				}
			}
		}
		if r-was <= 1e-15*r {
			break
		}
		reach = max(reach/2, precision*1e-3)
	}
	return c, r
}

// sites returns the nearest points of up to 8 pieces that come within d of c.
func (s *search) sites(c geom.Point, d float64) []geom.Point {
	var out []geom.Point
	s.tree.In(geom.BoxOf(c).Inflate(d), func(i int32) bool {
		q, _ := s.path[i].Nearest(c)
		if q.Dist(c) > d {
			return true
		}
		for _, o := range out {
			if o.Dist(q) < 1e-9 {
				return true
			}
		}
		out = append(out, q)
		return len(out) < 8
	})
	return out
}

// even returns the point about c at which the distances to three sites, taken
// as straight walls across their nearest points, are equal.
func even(c, p, q, r geom.Point) (geom.Point, bool) {
	up, uq, ur := c.Sub(p), c.Sub(q), c.Sub(r)
	dp, dq, dr := up.Norm(), uq.Norm(), ur.Norm()
	if dp == 0 || dq == 0 || dr == 0 {
		return c, false
	}
	// dp + x.up/dp = dq + x.uq/dq = dr + x.ur/dr
	a := up.Mul(1 / dp).Sub(uq.Mul(1 / dq))
	b := up.Mul(1 / dp).Sub(ur.Mul(1 / dr))
	det := a.Cross(b)
	if math.Abs(det) < 1e-9 {
		return c, false
	}
	f, g := dq-dp, dr-dp
	return c.Add(geom.Pt((f*b.Y-g*a.Y)/det, (a.X*g-b.X*f)/det)), true
}
