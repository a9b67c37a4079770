package mend

import (
	"math"
	"slices"

	"sluice/fix"
	"sluice/geom"
)

// skip notes fixes that were not made in a round, with why. Most are made in the
// next.
func (m *mender) skip(list []fix.Skipped) {
	for i := range list {
		for _, e := range list[i].Fix.Edits {
			e.Note = "skipped, since " + list[i].Why + ": " + e.Note
			m.skipped = append(m.skipped, e)
		}
	}
}

// unmade returns the skipped edits that were not made later, each once, with why
// it was skipped last. An edit of the same kind that was made, or told as taken
// back, within reach of one is taken for it: what others have changed meanwhile
// shifts it.
func (m *mender) unmade() []fix.Edit {
	type cell struct {
		kind string
		x, y float64
	}
	at := func(e *fix.Edit, dx, dy float64) cell {
		return cell{e.Kind, math.Floor(e.At.X/reach) + dx, math.Floor(e.At.Y/reach) + dy}
	}
	told := map[cell][]geom.Point{}
	tell := func(e *fix.Edit) { c := at(e, 0, 0); told[c] = append(told[c], e.At) }
	for _, list := range [2][]fix.Edit{m.edits, m.undone} {
		for i := range list {
			tell(&list[i])
		}
	}
	var out []fix.Edit
	for i := range slices.Backward(m.skipped) {
		r, known := &m.skipped[i], false
		for k := range 9 {
			known = known || slices.ContainsFunc(told[at(r, float64(k%3-1), float64(k/3-1))], func(p geom.Point) bool { return p.Dist(r.At) <= reach })
		}
		if !known {
			tell(r)
			out = append(out, *r)
		}
	}
	slices.Reverse(out)
	return out
}
