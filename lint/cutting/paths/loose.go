package paths

import (
	"sluice/geom"
	"sluice/geom/outline"
)

// Freed is a piece that comes loose: the slug within a closed run along a hole or
// a chamber, or a part without tabs behind its perimeter.
type Freed struct {
	By      int32     // the cut, index in Plan.Cuts, at whose end it is loose
	Outline int32     // index in Sheet.Outlines
	Slug    bool      // waste, no part
	Shape   geom.Path // its edge
}

// Freed returns what the plan cuts loose, in its order.
func (pl *Plan) Freed(s *outline.Sheet) []Freed {
	held := make([]bool, len(s.Outlines))
	for i := range pl.Cuts {
		if c := &pl.Cuts[i]; c.Outline >= 0 && c.Kind == Outside && !c.Closed {
			held[c.Outline] = true
		}
	}
	var out []Freed
	for i := range pl.Cuts {
		c := &pl.Cuts[i]
		switch f := (Freed{By: int32(i), Outline: c.Outline}); {
		case !c.Closed:
		case c.Kind == Inside || c.Chamber:
			f.Slug, f.Shape = true, c.Run
			out = append(out, f)
		case !held[c.Outline]:
			f.Shape = s.Outlines[c.Outline].Pieces
			out = append(out, f)
		}
	}
	return out
}
