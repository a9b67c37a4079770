package mend

import (
	"slices"

	"sluice/fix"
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
	told := newSpots(reach)
	for _, list := range [2][]fix.Edit{m.edits, m.undone} {
		for i := range list {
			told.addEdit(&list[i])
		}
	}
	var out []fix.Edit
	for i := range slices.Backward(m.skipped) {
		if e := &m.skipped[i]; !told.hasEdit(e) {
			told.addEdit(e)
			out = append(out, *e)
		}
	}
	slices.Reverse(out)
	return out
}
