package geom

import (
	"cmp"
	"math"
	"slices"
)

// Hull returns the corners of the convex hull of points, counter-clockwise from
// the leftmost, the lower one of two; points on its sides are no corners. Of fewer
// than three points, or of points on one line, it is what is left of those: a
// point or the two ends (A. M. Andrew, "Another efficient algorithm for convex
// hulls in two dimensions", 1979). It takes n log n time and leaves pts alone.
func Hull(pts []Point) []Point {
	p := slices.Clone(pts)
	slices.SortFunc(p, func(a, b Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	p = slices.Compact(p)
	if len(p) < 3 {
		return p
	}
	h := make([]Point, 0, len(p)+1)
	for _, q := range p {
		h = PushHull(h, 0, q)
	}
	upper := len(h) - 1
	for _, q := range slices.Backward(p[:len(p)-1]) {
		h = PushHull(h, upper, q)
	}
	return h[:len(h)-1]
}

// PushHull appends q to a chain that turns left from the corner with the number
// from on, and drops corners before q at which it would not. Points sorted along
// any direction, pushed one by one, make one side of their convex hull.
func PushHull(h []Point, from int, q Point) []Point {
	for n := len(h); n >= from+2 && h[n-1].Sub(h[n-2]).Cross(q.Sub(h[n-1])) <= 0; n-- {
		h = h[:n-1]
	}
	return append(h, q)
}

// InHull reports whether q lies inside a convex hull as returned by Hull or on its
// edge; nothing lies in one of fewer than three corners.
func InHull(hull []Point, q Point) bool {
	for i, a := range hull {
		if Orient(a, hull[(i+1)%len(hull)], q) < 0 {
			return false
		}
	}
	return len(hull) > 2
}

// HullDist returns the distance of q from a convex hull as returned by Hull, 0
// inside it and on its edge, infinite where the hull has no points.
func HullDist(hull []Point, q Point) float64 {
	if InHull(hull, q) {
		return 0
	}
	best := math.Inf(1)
	for i, a := range hull {
		best = min(best, Line(a, hull[(i+1)%len(hull)]).Dist(q))
	}
	return best
}
