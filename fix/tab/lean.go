package tab

import "sluice/geom"

// lean is how far, mm, the centre of mass lies outside the convex hull of the ends
// of the tabs' gaps: tabs hold a part by both their ends, and what lies over the
// edge of that hull bends them.
func (c *score) lean(set []spot) float64 {
	pts := make([]geom.Point, 0, 2*len(set))
	for i := range set {
		pts = append(pts, c.t.pointAt(set[i].s-c.gap/2), c.t.pointAt(set[i].s+c.gap/2))
	}
	return geom.HullDist(geom.Hull(pts), c.mass)
}

// spoils returns the wishes given up by a set that no further tab is worth.
func spoils(set []spot) wish {
	var w wish
	for i := range set {
		w |= set[i].given
	}
	return w & (offJoint | besideScrap | backed)
}
