package outline

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// inAxes returns a point in axes of which the first is the unit vector u.
func inAxes(p, u geom.Point) geom.Point { return geom.Pt(p.Dot(u), u.Cross(p)) }

// spanOf returns the box of points in axes of which the first is u.
func spanOf(pts []geom.Point, u geom.Point) geom.Box {
	b := geom.NoBox()
	for _, p := range pts {
		b = b.Add(inAxes(p, u))
	}
	return b
}

// spanAlong returns the box of a path in axes of which the first is u.
func spanAlong(path geom.Path, u geom.Point) geom.Box {
	b := geom.NoBox()
	for i := range path {
		p := &path[i]
		b = b.Add(inAxes(p.A, u)).Add(inAxes(p.B, u))
		if p.R == 0 {
			continue
		}
		for _, d := range [4]geom.Point{u, u.Mul(-1), u.Left(), u.Left().Mul(-1)} {
			if p.SweepsOver(d) {
				b = b.Add(inAxes(p.C.Add(d.Mul(p.R)), u))
			}
		}
	}
	return b
}

// flat returns points along a path, the last end left out, arcs in steps of 15
// degrees at most.
func flat(p geom.Path) []geom.Point {
	const step = math.Pi / 12
	pts := make([]geom.Point, 0, 2*len(p)+1)
	for i := range p {
		n := 1
		if p[i].R > 0 {
			n = max(1, int(math.Ceil(math.Abs(p[i].Sweep)/step-1e-9)))
		}
		for k := range n {
			pts = append(pts, p[i].At(float64(k)/float64(n)))
		}
	}
	return pts
}

// hullOf returns the convex hull of a path, counter-clockwise, as a closed path
// (A. M. Andrew's monotone chain). Arcs are taken by points, so that it is good to
// a hundredth of their radius.
func hullOf(p geom.Path) (hull geom.Path) {
	s := flat(p)
	if len(p) > 0 {
		s = append(s, p[len(p)-1].B)
	}
	slices.SortFunc(s, func(a, b geom.Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	pts := make([]geom.Point, 0, 2*len(s))
	for range 2 { // the lower side, then the upper
		from := max(len(pts)-1, 0)
		pts = pts[:from]
		for _, q := range s {
			for n := len(pts); n >= from+2 && pts[n-1].Sub(pts[n-2]).Cross(q.Sub(pts[n-1])) <= 0; n = len(pts) {
				pts = pts[:n-1]
			}
			pts = append(pts, q)
		}
		slices.Reverse(s)
	}
	hull = make(geom.Path, 0, len(pts))
	for k := range max(len(pts)-1, 0) {
		hull = append(hull, geom.Line(pts[k], pts[k+1]))
	}
	return hull
}

// inHull reports whether a point lies in a convex hull or on its border.
func inHull(hull geom.Path, p geom.Point) bool {
	return !slices.ContainsFunc(hull, func(e geom.Piece) bool { return e.B.Sub(e.A).Cross(p.Sub(e.A)) < 0 })
}
