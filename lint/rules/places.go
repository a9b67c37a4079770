package rules

import (
	"sluice/geom"
	"sluice/geom/outline"
)

// middle returns the point half way along an open path.
func middle(o *outline.Open) geom.Point { return along(o.Pieces, o.Length/2) }

// along returns the point at length s along a path.
func along(p geom.Path, s float64) geom.Point {
	for i := range p {
		l := p[i].Length()
		if s <= l && l > 0 {
			return p[i].At(s / l)
		}
		s -= l
	}
	return p[len(p)-1].B
}
