package geomtest

import (
	"math/rand/v2"
	"slices"
	"testing"

	"sluice/geom/plate"
)

// TestRandomStand proves the truth of kits in space: no plate is inside another, and every
// place of a joint is where its mate's is, within the sheet.
func TestRandomStand(t *testing.T) {
	for _, family := range append(Families(), AskewFamilies()...) {
		for seed := range uint64(12) {
			made := RandomStand
			if slices.Contains(AskewFamilies(), family) {
				made = AskewStand
			}
			k := made(rand.New(rand.NewPCG(seed, 11)), family, 5+int(seed)*3)
			var ps []*plate.Plate
			for i := range k.Parts {
				ps = append(ps, plate.New(k.Paths(i), k.Thick[i], 0.01))
			}
			for i := range ps {
				for n := range i {
					if k.Groups[i] < 0 || k.Groups[i] != k.Groups[n] {
						continue
					}
					if v := plate.Overlap(ps[i], k.Poses[i], ps[n], k.Poses[n]); v > 0.01 {
						t.Errorf("%s %d: %s and %s are in each other by %.2f mm3", family, seed, k.Parts[i].Name, k.Parts[n].Name, v)
					}
				}
			}
			for _, j := range k.Joints {
				a := k.Poses[j.A].Apply(plate.Flat(j.AtA, k.Thickness/2))
				b := k.Poses[j.B].Apply(plate.Flat(j.AtB, k.Thickness/2))
				if d := a.Sub(b).Norm(); j.Kind != "lap" && d > 1.5*k.Thickness {
					t.Errorf("%s %d: a %s is %.2f mm out", family, seed, j.Kind, d)
				}
			}
			if len(k.Joints) == 0 {
				t.Errorf("%s %d has no joints", family, seed)
			}
		}
	}
}
