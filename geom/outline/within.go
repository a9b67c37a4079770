package outline

import (
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
		var hull geom.Path
		tree().In(o.Box, func(i int32) bool {
			out := &t.outlines[i]
			if out.Doubt || !o.Box.ContainsBox(out.Box) {
				return true
			}
			if hull == nil {
				if hull = hullOf(o.Pieces); roundShare*hull.Length() > o.Length || len(hull) < 3 {
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
