package kit_test

import (
	"math"
	"testing"

	"sluice/fix/fit"
	"sluice/lint/kit"
)

// Slots are compared with the tabs that go into them in both directions, whichever
// of nearly equal ones were matched.
func TestPlays(t *testing.T) {
	sheet := fit.Target{Thickness: 4.76, Clearance: 0.15}
	for _, c := range []struct {
		name        string
		slots, tabs []float64 // lengths, matched in this order
		along       []float64
		off         []bool
	}{
		{"as drawn", []float64{20.1, 30.1}, []float64{20, 30}, []float64{0.1, 0.1}, []bool{false, false}},
		{"matched the other way round", []float64{20.1, 20.3}, []float64{20.2, 20}, []float64{0.1, 0.1}, []bool{false, false}},
		{"made square for a shorter tab", []float64{4.91, 20.1}, []float64{4, 20}, []float64{0.91, 0.1}, []bool{true, false}},
		{"too short", []float64{19.7, 30.1}, []float64{20, 30}, []float64{-0.3, 0.1}, []bool{true, false}},
		{"just in the band", []float64{20.39, 30.1}, []float64{20, 30}, []float64{0.39, 0.1}, []bool{false, false}},
	} {
		k := &kit.Kit{Whole: true, Thicknesses: []kit.Thickness{{Width: 4.91, Depth: 4.76, Play: 0.1}}}
		for i, l := range c.slots {
			k.Joints = append(k.Joints, kit.Joint{Kind: kit.Slot, Width: 4.91, Length: l}, kit.Joint{Kind: kit.Tab, Depth: 4.76, Length: c.tabs[i]})
			k.Pairs = append(k.Pairs, kit.Pair{JointA: 2*i + 1, JointB: 2 * i, EdgeA: -1, EdgeB: -1})
		}
		got := k.Plays(kit.OneSheet(sheet, ""))
		if len(got) != len(c.slots) {
			t.Errorf("%s: %d joints", c.name, len(got))
			continue
		}
		for i, p := range got {
			if p.Slot != 2*i || math.Abs(p.Across-0.15) > 1e-9 || math.Abs(p.Along-c.along[i]) > 1e-9 || p.Off != c.off[i] {
				t.Errorf("%s: %+v, want %g along, off %v", c.name, p, c.along[i], c.off[i])
			}
		}
	}
}
