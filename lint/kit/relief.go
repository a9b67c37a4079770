package kit

import (
	"fmt"
	"slices"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/fix/fit/side"
	"sluice/geom/drawing"
)

// Seat is an inside corner in which a mate must seat and a round jet leaves
// material: of a slot, at the bottom of a notch or gap, at the foot of a tab.
type Seat struct {
	Joint  int // index in Joints
	Corner fit.Corner
}

// Seats returns the corners of the kit's joints that a jet of the given kerf
// leaves rounder than drawn, by joint.
func (k *Kit) Seats(kerf float64, o Options) []Seat {
	var out []Seat
	corners := map[int32]map[int]fit.Corner{} // by outline and wall before
	for i := range k.Joints {
		j := &k.Joints[i]
		at := corners[j.Outline]
		if at == nil {
			at = map[int]fit.Corner{}
			path := k.Sheet.Outlines[j.Outline].Pieces
			for _, c := range fit.Corners(path, side.Of(path, o.Corner), kerf) {
				at[c.Side] = c
			}
			corners[j.Outline] = at
		}
		walls := []int{0, 1, 2, 3} // a slot is a hole of four sides
		switch j.Kind {
		case Notch, Gap:
			walls = []int{j.walls[0], j.bottom}
		case Tab:
			walls = []int{j.feet[0], j.walls[1]}
		}
		for _, w := range walls {
			if c, ok := at[w]; ok {
				out = append(out, Seat{i, c})
			}
		}
	}
	return out
}

// Relieve returns the repair that opens the seats with round reliefs of radius r
// (mm, at least half the kerf), an edit for each part, each landing by itself.
// Outlines that cannot be redrawn are returned with the reason.
func (k *Kit) Relieve(seats []Seat, r float64, d *drawing.Drawing, names []string, o Options) (fixes []fix.Fix, skipped []Skipped) {
	by := map[int32][]fit.Corner{}
	for _, s := range seats {
		out := k.Joints[s.Joint].Outline
		if !slices.ContainsFunc(by[out], func(c fit.Corner) bool { return c.Side == s.Corner.Side }) {
			by[out] = append(by[out], s.Corner)
		}
	}
	uses := fit.UsesOf(k.Sheet)
	for i := range k.Sheet.Outlines {
		cs := by[int32(i)]
		if len(cs) == 0 {
			continue
		}
		out := &k.Sheet.Outlines[i]
		path, src := fit.Relieve(out.Pieces, side.Of(out.Pieces, o.Corner), cs, r)
		ops, err := fit.Redraw(d, out, path, src, uses)
		if err != nil {
			skipped = append(skipped, Skipped{int32(i), err})
			continue
		}
		e := fix.Edit{Kind: "open-corner", At: cs[0].At, Ops: ops, Note: fmt.Sprintf("%s opened with a radius of %.3g mm", counted(len(cs), "inside corner"), r)}
		for _, c := range cs {
			e.Moved = max(e.Moved, c.Left)
		}
		if int(out.Part) < len(names) {
			e.Part = names[out.Part]
		}
		fixes = append(fixes, fix.Fix{Safety: fix.Choice, Edits: []fix.Edit{e}})
	}
	return fixes, skipped
}
