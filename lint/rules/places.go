package rules

import (
	"math"

	"sluice/geom"
	"sluice/geom/outline"
)

// middle returns the point half way along an open path.
func middle(o *outline.Open) geom.Point {
	at, _ := o.Pieces.Along(o.Length / 2)
	return at
}

// rectangle returns length and width of the smallest rectangle around a path
// among those along its longer straight pieces and along the axes.
func rectangle(path geom.Path) (length, width float64) {
	best := math.Inf(1)
	try := func(dir geom.Point) {
		b := path.Transform(geom.Turn(geom.Point{}, -dir.Angle())).Box()
		if a := b.W() * b.H(); a < best {
			best, length, width = a, max(b.W(), b.H()), min(b.W(), b.H())
		}
	}
	try(geom.Pt(1, 0))
	least := path.Length() / 50
	for i, n := 0, 0; i < len(path) && n < 64; i++ {
		if d := path[i].B.Sub(path[i].A); path[i].R == 0 && d.Norm() > least {
			try(d)
			n++
		}
	}
	return length, width
}
