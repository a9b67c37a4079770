package kit

import (
	"sluice/fix/fit"
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
			for _, c := range fit.Corners(path, k.Sides(path, o.Corner), kerf) {
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
