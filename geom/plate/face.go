package plate

import (
	"math"
	"slices"

	"sluice/geom"
)

// Face returns the upper face of a plate as triangles, counter-clockwise, whose corners
// are points of its rings: indices in the rings taken one after the other. Rings that
// cross each other or themselves are cut into strips, which adds corners at the end.
func (p *Plate) Face() (corners []geom.Point, triangles [][3]int) {
	var rings [][]int
	want := 0.0
	for k, ring := range p.Rings {
		at := make([]int, len(ring))
		for i := range ring {
			at[i] = len(corners) + i
		}
		a := signedArea(ring)
		if a < 0 == (k == 0) {
			slices.Reverse(at) // the outside runs counter-clockwise, holes the other way
		}
		if want += math.Abs(a); k > 0 {
			want -= 2 * math.Abs(a)
		}
		corners = append(corners, ring...)
		if len(at) > 2 {
			rings = append(rings, at)
		}
	}
	if len(rings) == 0 {
		return corners, nil
	}
	f := &face{at: corners}
	triangles = f.ears(f.joined(rings))
	got := 0.0
	for _, t := range triangles {
		got += f.turn(t[0], t[1], t[2]) / 2
	}
	if !f.forced && math.Abs(got-want) <= 1e-6*want {
		return corners, triangles
	}
	return p.strips(corners)
}

// strips returns the upper face cut along upright lines.
func (p *Plate) strips(corners []geom.Point) ([]geom.Point, [][3]int) {
	var triangles [][3]int
	for _, t := range p.faces() {
		if t[0][2] < p.Thickness {
			continue
		}
		n := len(corners)
		for _, v := range t {
			corners = append(corners, geom.Pt(v[0], v[1]))
		}
		triangles = append(triangles, [3]int{n, n + 1, n + 2})
	}
	return corners, triangles
}

// face cuts a polygon into triangles.
type face struct {
	at     []geom.Point
	forced bool // some triangle is none of a plain polygon
}

// turn is twice the area of a triangle, positive where it runs counter-clockwise.
func (f *face) turn(a, b, c int) float64 {
	return f.at[b].Sub(f.at[a]).Cross(f.at[c].Sub(f.at[a]))
}

// joined returns the outside and the holes as one polygon: from the rightmost corner of
// each hole a seam runs to a corner that it sees.
func (f *face) joined(rings [][]int) []int {
	poly := rings[0]
	holes := rings[1:]
	right := func(ring []int) int {
		best := 0
		for i := range ring {
			if f.at[ring[i]].X > f.at[ring[best]].X {
				best = i
			}
		}
		return best
	}
	slices.SortStableFunc(holes, func(a, b []int) int {
		xa, xb := f.at[a[right(a)]].X, f.at[b[right(b)]].X
		if xa > xb {
			return -1
		} else if xa < xb {
			return 1
		}
		return 0
	})
	for _, h := range holes {
		m := right(h)
		k := f.seen(poly, h[m])
		if k < 0 {
			f.forced = true
			return poly
		}
		seam := append(slices.Clone(h[m:]), h[:m+1]...)
		seam = append(seam, poly[k])
		poly = slices.Insert(slices.Clone(poly), k+1, seam...)
	}
	return poly
}

// seen returns which corner of a polygon is seen from a point of a hole inside it, to its
// right; -1 for none.
func (f *face) seen(poly []int, from int) int {
	m := f.at[from]
	best, x := -1, math.Inf(1)
	for i := range poly {
		k := (i + 1) % len(poly)
		a, b := f.at[poly[i]], f.at[poly[k]]
		if a.Y > m.Y || b.Y < m.Y || a.Y == b.Y {
			continue // what bounds the inside on the right runs upwards
		}
		at := a.X + (m.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X)
		if at < m.X || at >= x {
			continue
		}
		x, best = at, i
		if b.X > a.X {
			best = k
		}
	}
	if best < 0 {
		return -1
	}
	// Corners in the triangle that the ray and the seam bound would be in the way: then
	// the one closest to the ray is seen.
	p, hit := f.at[poly[best]], geom.Pt(x, m.Y)
	slope, near := math.Inf(1), math.Inf(1)
	out := -1
	for i := range poly {
		q := f.at[poly[i]]
		if q.X < m.X || q != p && !within3(q, m, hit, p) || !f.opens(poly, i, m) {
			continue
		}
		s, d := math.Abs(q.Y-m.Y)/max(q.X-m.X, 1e-12), q.Dist(m)
		if s < slope || s == slope && d < near {
			slope, near, out = s, d, i
		}
	}
	return out
}

// opens reports whether a polygon at its corner i opens towards a place.
func (f *face) opens(poly []int, i int, to geom.Point) bool {
	n := len(poly)
	a, b, c := f.at[poly[(i+n-1)%n]], f.at[poly[i]], f.at[poly[(i+1)%n]]
	left := b.Sub(a).Cross(to.Sub(a)) >= 0
	right := c.Sub(b).Cross(to.Sub(b)) >= 0
	if b.Sub(a).Cross(c.Sub(a)) > 0 {
		return left && right
	}
	return left || right
}

// within3 reports whether a place is in a triangle, or on its edge.
func within3(q, a, b, c geom.Point) bool {
	x, y, z := b.Sub(a).Cross(q.Sub(a)), c.Sub(b).Cross(q.Sub(b)), a.Sub(c).Cross(q.Sub(c))
	return x >= 0 && y >= 0 && z >= 0 || x <= 0 && y <= 0 && z <= 0
}

// ears cuts corners off a polygon that runs counter-clockwise until nothing is left.
func (f *face) ears(poly []int) (all [][3]int) {
	n := len(poly)
	next, prev := make([]int, n), make([]int, n)
	for i := range n {
		next[i], prev[i] = (i+1)%n, (i+n-1)%n
	}
	i, idle := 0, 0
	for n > 3 {
		a, b, c := poly[prev[i]], poly[i], poly[next[i]]
		flat := f.turn(a, b, c) == 0
		switch {
		case !flat && f.ear(poly, next, prev[i], i):
			all = append(all, [3]int{a, b, c})
		case flat && idle > n: // a corner that is none, or a seam run back
		case idle > 2*n:
			f.forced = true
			return all
		default:
			i, idle = next[i], idle+1
			continue
		}
		next[prev[i]], prev[next[i]] = next[i], prev[i]
		// The next but one, so that triangles do not all meet at one corner.
		i, idle, n = next[next[i]], 0, n-1
	}
	if a, b, c := poly[prev[i]], poly[i], poly[next[i]]; f.turn(a, b, c) > 0 {
		all = append(all, [3]int{a, b, c})
	}
	return all
}

// ear reports whether corner i, after corner p, can be cut off: no other corner is in the
// way.
func (f *face) ear(poly, next []int, p, i int) bool {
	n := next[i]
	a, b, c := f.at[poly[p]], f.at[poly[i]], f.at[poly[n]]
	if b.Sub(a).Cross(c.Sub(a)) <= 0 {
		return false
	}
	x0, x1 := min(a.X, b.X, c.X), max(a.X, b.X, c.X)
	y0, y1 := min(a.Y, b.Y, c.Y), max(a.Y, b.Y, c.Y)
	for k := next[n]; k != p; k = next[k] {
		q := f.at[poly[k]]
		if q.X < x0 || q.X > x1 || q.Y < y0 || q.Y > y1 || q == a || q == b || q == c {
			continue
		}
		if within3(q, a, b, c) {
			return false
		}
	}
	return true
}
