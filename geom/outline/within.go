package outline

import (
	"cmp"
	"slices"
	"sync"

	"sluice/geom"
	"sluice/geom/index"
)

// doubtWithin marks the outermost outlines that lie within an open path which is
// no mark: they may be parts of their own or holes of a part that does not close.
// It returns how many lie in each, by its number, for the gaps at its ends to tell.
func (t *telling) doubtWithin() map[int32]int {
	within := map[int32]int{}
	tree := sync.OnceValue(func() *index.Tree {
		boxes := make([]geom.Box, len(t.outlines))
		for i := range t.outlines {
			if boxes[i] = geom.NoBox(); t.outlines[i].Depth == 0 {
				boxes[i] = t.outlines[i].Box
			}
		}
		return index.NewTree(boxes)
	})
	for k := range t.Open {
		o := &t.Open[k]
		if o.Loose || o.Part >= 0 || t.flat[int32(k)] {
			continue
		}
		var hull []geom.Point
		tree().In(o.Box, func(i int32) bool {
			out := &t.outlines[i]
			if out.Doubt || !o.Box.ContainsBox(out.Box) {
				return true
			}
			if hull == nil {
				var round float64
				if hull, round = hullOf(o.Pieces); roundShare*round > o.Length || len(hull) < 3 {
					return false
				}
			}
			if inHull(hull, out.Box.Center()) {
				out.Doubt = true
				within[int32(k)]++
			}
			return true
		})
	}
	return within
}

// hullOf returns the convex hull of a path, counter-clockwise, and the length of
// the way round it. Arcs are taken by points 15 degrees apart: the hull is good
// to a hundredth of their radius.
func hullOf(p geom.Path) (hull []geom.Point, round float64) {
	const step = 0.26
	var pts []geom.Point
	for i := range p {
		n := 1
		if p[i].R > 0 {
			n += int(max(p[i].Sweep, -p[i].Sweep) / step)
		}
		for k := range n {
			pts = append(pts, p[i].At(float64(k)/float64(n)))
		}
		pts = append(pts, p[i].B)
	}
	slices.SortFunc(pts, func(a, b geom.Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	for range 2 { // the lower side, then the upper
		from := max(len(hull)-1, 0)
		hull = hull[:from]
		for _, q := range pts {
			for n := len(hull); n >= from+2 && hull[n-1].Sub(hull[n-2]).Cross(q.Sub(hull[n-1])) <= 0; n = len(hull) {
				hull = hull[:n-1]
			}
			hull = append(hull, q)
		}
		slices.Reverse(pts)
	}
	hull = hull[:max(len(hull)-1, 0)]
	for i := range hull {
		round += hull[i].Dist(hull[(i+1)%len(hull)])
	}
	return hull, round
}

func inHull(hull []geom.Point, p geom.Point) bool {
	for i := range hull {
		if q := hull[i]; hull[(i+1)%len(hull)].Sub(q).Cross(p.Sub(q)) < 0 {
			return false
		}
	}
	return true
}
