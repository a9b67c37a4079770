package assembly_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom/geomtest"
	"sluice/geom/outline"
	"sluice/lint/assembly"
	"sluice/lint/kit"
)

// TestAskewStands rebuilds kits whose plates meet at other angles than square.
func TestAskewStands(t *testing.T) {
	seeds := uint64(40)
	if testing.Short() {
		seeds = 4
	}
	for _, family := range geomtest.AskewFamilies() {
		kits, whole, same, joints, right, trapped := 0, 0, 0, 0, 0, 0
		for seed := range seeds {
			k := geomtest.AskewStand(rand.New(rand.NewPCG(seed, 71)), family, 6+int(seed%5))
			s := sheetOf(t, &geomtest.Kit{Parts: k.Parts})
			a := assembly.Of(assembly.Find(s, kit.DefaultOptions()))
			name := fmt.Sprintf("%s %d", family, seed)
			for i := range a.Groups {
				trapped += len(a.Groups[i].Trapped)
				if w := stepsHold(a, s, &a.Groups[i]); w != "" {
					t.Errorf("%s:%s", name, w)
				}
			}
			sc := judgeBy(k, s, a, overTurned(s))
			kits, joints, right = kits+1, joints+sc.joints, right+sc.right
			if sc.whole && sc.right == sc.joints {
				whole++
			} else {
				t.Logf("%s: %d of %d joints, %v", name, sc.right, sc.joints, summary(a))
			}
			if sc.same {
				same++
			}
		}
		t.Logf("%s: %d of %d kits whole, %d just as they were made, %d of %d joints, %d trapped", family, whole, kits, same, right, joints, trapped)
	}
}

// overTurned numbers the parts so that one turned over is alike: by their areas and sides.
func overTurned(s *outline.Sheet) func(p int) int {
	return func(p int) int {
		for i := range s.Parts[:p] {
			a, b := &s.Parts[i], &s.Parts[p]
			if math.Abs(a.Area-b.Area) < 0.01 && len(a.Holes) == len(b.Holes) &&
				math.Abs(s.Outlines[a.Outer].Pieces.Length()-s.Outlines[b.Outer].Pieces.Length()) < 0.01 {
				return i
			}
		}
		return p
	}
}
