package settle

import (
	"math"

	"sluice/geom"
	"sluice/geom/drawing"
)

// Changes are what the corrected drawing of a round shows otherwise than that of the
// round before.
type Changes struct {
	Gone, New geom.Path // lines and arcs
	Asked     []string  // ids of what is asked now and was not
	Settled   int       // how much is asked no longer
}

// mostCompared is how many strokes a drawing may have for the two to be compared
// piece by piece.
const mostCompared = 200_000

// changesOf compares two rounds; none if one of them has no drawing.
func changesOf(was, is *Round) (c Changes) {
	if was == nil || was.Done == nil || is.Done == nil {
		return c
	}
	before := map[string]bool{}
	for i := range was.Asked {
		before[was.Asked[i].ID] = true
	}
	for i := range is.Asked {
		if id := is.Asked[i].ID; before[id] {
			delete(before, id)
		} else {
			c.Asked = append(c.Asked, id)
		}
	}
	c.Settled = len(before)
	a, b := was.Done.After.Drawing.Strokes, is.Done.After.Drawing.Strokes
	if len(a)+len(b) <= mostCompared {
		c.Gone, c.New = missing(a, b), missing(b, a)
	}
	return c
}

// pieceKey tells pieces apart by a hundredth of a mm, whichever way they run.
type pieceKey struct{ x0, y0, x1, y1, xm, ym int64 }

func keyOf(p *geom.Piece) pieceKey {
	at := func(v float64) int64 { return int64(math.Round(v * 100)) }
	a, b, m := p.A, p.B, p.Mid()
	if b.X < a.X || b.X == a.X && b.Y < a.Y {
		a, b = b, a
	}
	return pieceKey{at(a.X), at(a.Y), at(b.X), at(b.Y), at(m.X), at(m.Y)}
}

// missing returns the pieces of one drawing that another does not have.
func missing(of, in []drawing.Stroke) (out geom.Path) {
	there := make(map[pieceKey]bool, len(in))
	for i := range in {
		there[keyOf(&in[i].Piece)] = true
	}
	for i := range of {
		if !there[keyOf(&of[i].Piece)] {
			out = append(out, of[i].Piece)
		}
	}
	return out
}
