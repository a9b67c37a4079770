package assembly_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"sluice/fix/fit"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
	"sluice/lint/assembly"
	"sluice/lint/kit"
)

// TestAskewStands rebuilds kits whose plates meet at other angles than square, or are turned
// to each other by any: every joint closes, at the angle at which it was made, and every step
// can be made.
func TestAskewStands(t *testing.T) {
	seeds := uint64(14)
	if testing.Short() {
		seeds = 3
	}
	kits, whole, joints, right := 0, 0, 0, 0
	for _, family := range geomtest.AskewFamilies() {
		for seed := range seeds {
			k := geomtest.AskewStand(rand.New(rand.NewPCG(seed, 71)), family, 6+int(seed%5))
			s := sheetOf(t, &geomtest.Kit{Parts: k.Parts})
			a := assembly.Of(assembly.Find(s, kit.DefaultOptions()))
			name := fmt.Sprintf("%s %d", family, seed)
			for i := range a.Groups {
				if n := len(a.Groups[i].Trapped); n > 0 {
					t.Errorf("%s: %d loops are trapped", name, n)
				}
				if w := stepsHold(a, s, &a.Groups[i]); w != "" {
					t.Errorf("%s:%s", name, w)
				}
			}
			sc := judgeBy(k, s, a, overTurned(s))
			kits, joints, right = kits+1, joints+sc.joints, right+sc.right
			if sc.whole && sc.right == sc.joints {
				whole++
				anglesHold(t, name, k, s, a)
			} else {
				t.Logf("%s: %d of %d joints, %v", name, sc.right, sc.joints, summary(a))
			}
		}
	}
	t.Logf("%d of %d kits whole, %d of %d joints", whole, kits, right, joints)
	if whole*100 < kits*95 || right*100 < joints*99 {
		t.Errorf("%d of %d kits whole, %d of %d joints", whole, kits, right, joints)
	}
}

// anglesHold compares the angles between parts that meet with those of the truth, to half a
// degree: as many of each.
func anglesHold(t *testing.T, name string, k *geomtest.Stand, s *outline.Sheet, a *assembly.Kit) {
	t.Helper()
	var want, got []float64
	for _, j := range k.Joints {
		d := math.Abs(k.Poses[j.A].R[2].Dot(k.Poses[j.B].R[2]))
		want = append(want, math.Acos(min(1, d))*180/math.Pi)
	}
	for i := range a.Groups {
		for _, j := range a.Groups[i].Joints {
			if j.Slant == 0 {
				j.Slant = 90
			}
			got = append(got, j.Slant)
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	for i := range want {
		if len(got) != len(want) || math.Abs(got[i]-want[i]) > 0.5 {
			t.Errorf("%s: angles of %.1f, made at %.1f", name, got, want)
			return
		}
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

// TestRefittedAskew redraws kits whose plates meet at other angles for other sheets: they
// stand as they did, with no part in another.
func TestRefittedAskew(t *testing.T) {
	seeds := uint64(8)
	if testing.Short() {
		seeds = 2
	}
	kits, same := 0, 0
	for _, family := range geomtest.AskewFamilies() {
		for seed := range seeds {
			k := geomtest.AskewStand(rand.New(rand.NewPCG(seed, 84)), family, 7)
			s := sheetOf(t, &geomtest.Kit{Parts: k.Parts})
			found := assembly.Find(s, kit.DefaultOptions())
			before := assembly.Of(found)
			for _, by := range []float64{0.8, 1.3} {
				name := fmt.Sprintf("%s %d by %g", family, seed, by)
				sheets := kit.OneSheet(fit.Target{Thickness: by * k.Thickness, Clearance: 0.15}, "")
				r := found.Refit(sheets, assembly.Butts(found, before), kit.DefaultOptions())
				if len(r.Skipped) > 0 {
					t.Errorf("%s: skipped, %v", name, r.Skipped[0].Err)
					continue
				}
				again := sheetOf(t, &geomtest.Kit{Parts: redrawn(s, r)})
				now := assembly.Find(again, kit.DefaultOptions())
				kits++
				a, b := stood(before), stood(assembly.Of(now))
				suit := now.SuitOf(sheets, 0)
				if a == b && len(suit.Tight)+len(suit.Loose) == 0 {
					same++
				} else {
					t.Logf("%s: %s, now %s, %d tight, %d loose", name, a, b, len(suit.Tight), len(suit.Loose))
				}
			}
		}
	}
	t.Logf("%d of %d kits stand as they did", same, kits)
	if same < kits*95/100 {
		t.Errorf("%d of %d kits stand as they did", same, kits)
	}
}

// TestAskewLacking takes each part out of kits whose plates meet at other angles: what is told
// is of joints that are there, and mostly those that the lost part met. A lost floor leaves
// tabs for which nothing is a slot, so that no kit is seen.
func TestAskewLacking(t *testing.T) {
	seeds := uint64(4)
	if testing.Short() {
		seeds = 1
	}
	hits, truth, told, exact, kits := 0, 0, 0, 0, 0
	for _, family := range geomtest.AskewFamilies() {
		for seed := range seeds {
			whole := geomtest.AskewStand(rand.New(rand.NewPCG(seed, 31)), family, 6+int(seed))
			for lost := range whole.Parts {
				met := map[int]int{}
				for _, j := range whole.Joints {
					if j.A == lost {
						met[j.B]++
					}
					if j.B == lost {
						met[j.A]++
					}
				}
				k := whole.Without(lost)
				s := sheetOf(t, &geomtest.Kit{Parts: k.Parts})
				f := assembly.Find(s, kit.DefaultOptions())
				sound(t, f)
				assembly.Match(f)
				sound(t, f)
				kits++
				at := map[string]int{}
				for q, n := range met {
					c := whole.Parts[q].Outer.Box().Center()
					at[fmt.Sprintf("%.3f %.3f", c.X, c.Y)] = n
					truth += n
				}
				got := map[string]int{}
				for _, u := range f.Unmatched {
					c := s.Parts[u.Part].Box.Center()
					got[fmt.Sprintf("%.3f %.3f", c.X, c.Y)]++
					told++
				}
				ok := len(at) == len(got)
				for p, n := range at {
					hits += min(n, got[p])
					ok = ok && got[p] == n
				}
				if ok {
					exact++
				} else {
					t.Logf("%s %d without %s, which met %v: %d told", family, seed, whole.Parts[lost].Name, met, len(f.Unmatched))
				}
			}
		}
	}
	t.Logf("%d of %d kits exact, %d of %d joints, %d told", exact, kits, hits, truth, told)
	if !testing.Short() && (exact*10 < kits*6 || hits*100 < truth*65 || hits*10 < told*8) {
		t.Errorf("%d of %d kits exact, %d of %d joints, %d told", exact, kits, hits, truth, told)
	}
}

// sound checks that what a kit says of its joints by number is there.
func sound(t *testing.T, k *kit.Kit) {
	t.Helper()
	for _, p := range k.Pairs {
		if p.JointA >= len(k.Joints) || p.JointB >= len(k.Joints) || p.EdgeA >= len(k.Edges) || p.EdgeB >= len(k.Edges) {
			t.Fatalf("pair %+v of %d joints, %d edges", p, len(k.Joints), len(k.Edges))
		}
	}
	for _, u := range k.Unmatched {
		if u.Joint >= len(k.Joints) || u.Edge >= len(k.Edges) || u.Piece >= len(k.Missing) || u.Nearest >= len(k.Joints) {
			t.Fatalf("unmatched %+v of %d joints, %d edges, %d pieces", u, len(k.Joints), len(k.Edges), len(k.Missing))
		}
	}
}
