package paths

import "sluice/geom/outline"

// Freed is a piece that is cut out and not held by tabs: a part within its
// perimeter, or the slug of a hole.
type Freed struct {
	Outline int32 // index in Sheet.Outlines
	By      int32 // the cut, index in Plan.Cuts, at whose end it is loose
}

// Freed returns the pieces that the plan cuts loose, in the order of their
// outlines.
func (pl *Plan) Freed(s *outline.Sheet) []Freed {
	last := make([]int32, len(s.Outlines)) // of each outline: its last cut and 1, -1 if it is held
	for i := range pl.Cuts {
		c := &pl.Cuts[i]
		if c.Outline < 0 {
			continue
		}
		if c.Closed && last[c.Outline] >= 0 {
			last[c.Outline] = int32(i) + 1
		} else {
			last[c.Outline] = -1
		}
	}
	var out []Freed
	for k, n := range last {
		if n > 0 {
			out = append(out, Freed{int32(k), n - 1})
		}
	}
	return out
}
