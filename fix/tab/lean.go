package tab

import (
	"math"

	"sluice/geom"
)

// lean is how far, mm, the centre of mass lies outside the convex hull of the ends
// of the tabs' gaps: tabs hold a part by both their ends, and what lies over the
// edge of that hull bends them.
func (c *score) lean(set []spot) float64 {
	pts := make([]geom.Point, 0, 2*len(set))
	for i := range set {
		pts = append(pts, c.t.pointAt(set[i].s-c.gap/2), c.t.pointAt(set[i].s+c.gap/2))
	}
	return outsideHull(pts, c.mass)
}

// spoils returns the wishes given up by a set that no further tab is worth.
func spoils(set []spot) wish {
	var w wish
	for i := range set {
		w |= set[i].given
	}
	return w & (offJoint | besideScrap | backed)
}

// outsideHull returns the distance of q from the convex hull of the points, 0
// inside it, infinite without points. A point lies in the hull if it lies in one
// of the triangles that the points span; else the nearest stretch between two of
// them tells the distance. For few points only: it looks at all triangles.
func outsideHull(pts []geom.Point, q geom.Point) float64 {
	best := math.Inf(1)
	for i := range pts {
		for j := range i + 1 {
			s := geom.Line(pts[j], pts[i])
			best = min(best, s.Dist(q))
			for k := range j {
				if inTriangle(pts[i], pts[j], pts[k], q) {
					return 0
				}
			}
		}
	}
	return best
}

func inTriangle(a, b, c, q geom.Point) bool {
	u, v, w := geom.Orient(a, b, q), geom.Orient(b, c, q), geom.Orient(c, a, q)
	return geom.Orient(a, b, c) != 0 && (u >= 0 && v >= 0 && w >= 0 || u <= 0 && v <= 0 && w <= 0)
}
