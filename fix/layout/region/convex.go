package region

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// Convex returns convex rings, counter-clockwise, that together cover the
// region: ears cut off (after bridging the holes to the outer ring, as
// described by Held 2001 and Eberly; from memory), then joined again across the
// cuts wherever the union stays convex (Hertel and Mehlhorn 1983). exact is
// false where the ring was not simple enough to be cut up; the one piece
// returned is then its convex hull.
func (g *Region) Convex() (pieces []Ring, exact bool) {
	if len(g.Holes) == 0 && g.Outer.Convex() {
		return []Ring{g.Outer}, true
	}
	pts, loop := g.bridge()
	tris, ok := ears(pts, loop)
	if ok {
		var sum float64
		for _, t := range tris {
			sum += Ring{pts[t[0]], pts[t[1]], pts[t[2]]}.Area()
		}
		ok = math.Abs(sum-g.Area()) <= 1e-9*math.Abs(g.Outer.Area())
	}
	if !ok {
		return []Ring{geom.Hull(g.Outer)}, false
	}
	for _, idx := range merge(pts, tris) {
		r := make(Ring, len(idx))
		for i, v := range idx {
			r[i] = pts[v]
		}
		if r = clean(r); len(r) >= 3 && !r.Convex() {
			// A sliver that rounding has turned over, or a corner that it has
			// bent: the sliver covers nothing, the corner goes with its hull.
			if math.Abs(r.Area()) <= 1e-12*math.Abs(g.Outer.Area()) {
				continue
			}
			r = geom.Hull(r)
		}
		if len(r) >= 3 {
			pieces = append(pieces, r)
		}
	}
	return pieces, true
}

// bridge joins the holes to the outer ring, rightmost hole first, each by the
// line from its rightmost corner to a corner that it sees. It returns the
// distinct points and the one loop as indices.
func (g *Region) bridge() ([]geom.Point, []int) {
	var pts []geom.Point
	take := func(r Ring) []int {
		idx := make([]int, len(r))
		for i, p := range r {
			idx[i] = len(pts)
			pts = append(pts, p)
		}
		return idx
	}
	loop := take(g.Outer)
	type hole struct {
		idx []int
		at  int
	}
	var holes []hole
	for _, h := range g.Holes {
		idx := take(h)
		at := 0
		for i := range h {
			if h[i].X > h[at].X {
				at = i
			}
		}
		holes = append(holes, hole{idx, at})
	}
	slices.SortStableFunc(holes, func(a, b hole) int {
		return cmp.Compare(pts[b.idx[b.at]].X, pts[a.idx[a.at]].X)
	})
	for n, h := range holes {
		m := pts[h.idx[h.at]]
		order := make([]int, len(loop))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int {
			return cmp.Compare(pts[loop[a]].Dist2(m), pts[loop[b]].Dist2(m))
		})
		at := -1
		for _, i := range order {
			if sees(pts, loop, holes[n:], func(h hole) []int { return h.idx }, loop[i], h.idx[h.at]) && opens(pts, loop, i, m) {
				at = i
				break
			}
		}
		if at < 0 {
			continue // the area will not agree and the hull is used
		}
		joined := make([]int, 0, len(loop)+len(h.idx)+2)
		joined = append(joined, loop[:at+1]...)
		joined = append(joined, h.idx[h.at:]...)
		joined = append(joined, h.idx[:h.at+1]...)
		joined = append(joined, loop[at:]...)
		loop = joined
	}
	return pts, loop
}

// opens reports whether q lies in the material angle at corner i of the loop.
func opens(pts []geom.Point, loop []int, i int, q geom.Point) bool {
	n := len(loop)
	a, v, b := pts[loop[(i+n-1)%n]], pts[loop[i]], pts[loop[(i+1)%n]]
	if turn(a, v, b) >= 0 {
		return turn(a, v, q) >= 0 && turn(v, b, q) >= 0
	}
	return turn(a, v, q) >= 0 || turn(v, b, q) >= 0
}

// sees reports whether no side of the loop or of the holes crosses the line
// between points a and b.
func sees[H any](pts []geom.Point, loop []int, holes []H, of func(H) []int, a, b int) bool {
	p, q := pts[a], pts[b]
	clear := func(idx []int) bool {
		for i := range idx {
			c, d := idx[i], idx[(i+1)%len(idx)]
			if pts[c] == p || pts[d] == p || pts[c] == q || pts[d] == q {
				continue
			}
			e, f := pts[c], pts[d]
			if turn(p, q, e)*turn(p, q, f) <= 0 && turn(e, f, p)*turn(e, f, q) <= 0 {
				return false
			}
		}
		return true
	}
	if !clear(loop) {
		return false
	}
	for _, h := range holes {
		if !clear(of(h)) {
			return false
		}
	}
	return true
}

// ears cuts a loop into triangles, the ear with the widest smallest angle
// first among those found in a round.
func ears(pts []geom.Point, loop []int) ([][3]int, bool) {
	rest := slices.Clone(loop)
	var out [][3]int
	for len(rest) > 3 {
		n := len(rest)
		best, shape := -1, -1.0
		for i := range rest {
			a, v, b := rest[(i+n-1)%n], rest[i], rest[(i+1)%n]
			t := turn(pts[a], pts[v], pts[b])
			if t < 0 || a == b {
				continue
			}
			l := max(pts[a].Dist2(pts[v]), pts[v].Dist2(pts[b]), pts[a].Dist2(pts[b]))
			if l > 0 && t/l > shape && ear(pts, rest, a, v, b) {
				best, shape = i, t/l
			}
		}
		if best < 0 {
			return nil, false
		}
		a, v, b := rest[(best+n-1)%n], rest[best], rest[(best+1)%n]
		if shape > 0 {
			out = append(out, [3]int{a, v, b})
		}
		rest = append(rest[:best], rest[best+1:]...)
	}
	if len(rest) == 3 && turn(pts[rest[0]], pts[rest[1]], pts[rest[2]]) > 0 {
		out = append(out, [3]int{rest[0], rest[1], rest[2]})
	}
	return out, true
}

// ear reports whether no other point of the loop lies in the triangle.
func ear(pts []geom.Point, rest []int, a, v, b int) bool {
	p, q, r := pts[a], pts[v], pts[b]
	box := geom.BoxOf(p, q, r)
	for _, k := range rest {
		x := pts[k]
		if k == a || k == v || k == b || x == p || x == q || x == r || !box.Contains(x) {
			continue
		}
		if turn(p, q, x) >= 0 && turn(q, r, x) >= 0 && turn(r, p, x) >= 0 {
			return false
		}
	}
	return true
}

// merge joins triangles across their common sides, longest first, where the
// union is convex.
func merge(pts []geom.Point, tris [][3]int) [][]int {
	polys := make([][]int, len(tris))
	side := map[[2]int]int{}
	var cuts [][2]int
	for k, t := range tris {
		polys[k] = t[:]
		for i := range 3 {
			a, b := t[i], t[(i+1)%3]
			if _, ok := side[[2]int{b, a}]; ok {
				cuts = append(cuts, [2]int{b, a})
			}
			side[[2]int{a, b}] = k
		}
	}
	slices.SortStableFunc(cuts, func(x, y [2]int) int {
		return cmp.Compare(pts[y[0]].Dist2(pts[y[1]]), pts[x[0]].Dist2(pts[x[1]]))
	})
	for _, c := range cuts {
		i, j := side[c], side[[2]int{c[1], c[0]}]
		if i == j {
			continue
		}
		p, q := after(polys[i], c[1]), after(polys[j], c[0])
		// p runs from c[1] round to c[0]; q from c[0] round to c[1].
		u := append(slices.Clone(p), q[1:len(q)-1]...)
		if !convexAt(pts, u, 0) || !convexAt(pts, u, len(p)-1) {
			continue
		}
		polys[i], polys[j] = u, nil
		for n := range u {
			side[[2]int{u[n], u[(n+1)%len(u)]}] = i
		}
	}
	return slices.DeleteFunc(polys, func(p []int) bool { return p == nil })
}

// after returns the polygon started at point v.
func after(p []int, v int) []int {
	i := slices.Index(p, v)
	return append(slices.Clone(p[i:]), p[:i]...)
}

func convexAt(pts []geom.Point, p []int, i int) bool {
	n := len(p)
	return turn(pts[p[(i+n-1)%n]], pts[p[i]], pts[p[(i+1)%n]]) >= 0
}
