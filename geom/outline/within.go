package outline

import (
	"cmp"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// roundShare is the share of the way round its hull from which an open path
// counts as going round what lies in the hull. Two sides of a rectangle take at
// most 0.59 of it, half a circle 0.61, three sides of a square 0.75.
const roundShare = 0.6

// doubtWithin marks the outermost outlines that lie within an open path which is
// no mark: they may be parts of their own or holes of a part that does not close.
// The gaps at the path's ends are to tell of them.
func (b *builder) doubtWithin() {
	s := b.sheet
	boxes := make([]geom.Box, len(s.Outlines))
	for i := range s.Outlines {
		if boxes[i] = geom.NoBox(); s.Outlines[i].Depth == 0 {
			boxes[i] = s.Outlines[i].Box
		}
	}
	tree := index.NewTree(boxes)
	within := map[int32]int{} // open path -> outlines in it
	for k := range s.Open {
		o := &s.Open[k]
		if o.Loose || o.Part >= 0 || slices.Contains(b.flat, int32(k)) {
			continue
		}
		var hull []geom.Point
		tree.In(o.Box, func(i int32) bool {
			out := &s.Outlines[i]
			if out.Doubt || !o.Box.Contains(out.Box.Min) || !o.Box.Contains(out.Box.Max) {
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
	for k := range s.Gaps {
		g := &s.Gaps[k]
		for _, seg := range b.gapSegs[k] {
			if o, ok := b.openOf[seg]; ok && within[o] > 0 {
				g.Within += within[o]
				delete(within, o) // told once
			}
		}
	}
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
