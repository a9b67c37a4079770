package label

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/near"
)

// stops is how many places along the outline are tried.
const stops = 48

// way is a place on an outline with the direction out of the material.
type way struct {
	at, out geom.Point
	cost    float64
}

// end returns where a pointer to the way ends: a hair more than clear off.
func (w way) end(clear float64) geom.Point { return w.at.Add(w.out.Mul(clear*1.01 + 1e-6)) }

// open returns the ways at which a pointer can end: most of a crowded sheet is
// settled by this.
func (pl *Placer) open(ways []way, clear float64) []way {
	return slices.DeleteFunc(ways, func(w way) bool {
		end := w.end(clear)
		return !pl.free(near.Span(end, end), clear)
	})
}

// nearest returns the n ways nearest to a rectangle, nearest first.
func nearest(ways []way, rect near.Rect, n int) []way {
	far := make([]float64, len(ways))
	for i := range ways {
		far[i] = rect.ToPoint(ways[i].at)
	}
	var few []way
	for range min(n, len(ways)) {
		k := 0
		for i := range far {
			if far[i] < far[k] {
				k = i
			}
		}
		few = append(few, ways[k])
		far[k] = math.Inf(1)
	}
	return few
}

// ways returns places spread along the part's outer outline, best first: text
// stands best to the right of its part, then to the left, below and above.
func (pl *Placer) ways(part int) []way {
	o := &pl.sheet.Outlines[pl.sheet.Parts[part].Outer]
	sign := -1.0
	if o.Pieces.Area() < 0 {
		sign = 1
	}
	mid := o.Box.Center()
	// Counting starts at a place that does not depend on the first piece.
	from := arcLengthAt(o.Pieces, geom.Pt(o.Box.Max.X+o.Box.W(), mid.Y))
	length := o.Pieces.Length()
	ways := make([]way, 0, stops)
	for k := range stops {
		s := math.Mod(from+length*float64(k)/stops, length)
		at, dir := o.Pieces.Along(s)
		w := way{at: at, out: dir.Left().Mul(sign)}
		if w.out == (geom.Point{}) {
			continue
		}
		side := 0.0
		switch x, y := w.out.X, w.out.Y; {
		case x > 0.9:
		case x < -0.9:
			side = 1
		case y < -0.9:
			side = 2
		case y > 0.9:
			side = 3
		default:
			side = 4
		}
		off := at.Sub(mid)
		w.cost = side + 0.9*math.Abs(off.Cross(w.out))/max(o.Box.Diagonal(), 1e-9)
		ways = append(ways, w)
	}
	sortWays(ways)
	return ways
}

// arcLengthAt returns the arc length of the place on a path nearest to q.
func arcLengthAt(p geom.Path, q geom.Point) float64 {
	_, i := p.Dist(q)
	var s float64
	for k := range i {
		s += p[k].Length()
	}
	_, share := p[i].Nearest(q)
	return s + share*p[i].Length()
}

func sortWays(ws []way) {
	slices.SortFunc(ws, func(a, b way) int {
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.at.X, b.at.X), cmp.Compare(a.at.Y, b.at.Y))
	})
}
