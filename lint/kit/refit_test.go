package kit_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/fix/fit"
	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
	"sluice/lint/kit"
)

// slack returns the distance from p along u to the nearest of the paths.
func slack(paths []geom.Path, p, u geom.Point) float64 {
	ray := geom.Line(p, p.Add(u.Mul(1e4)))
	best := math.Inf(1)
	for _, path := range paths {
		for i := range path {
			for _, c := range geom.Crossings(nil, &ray, &path[i], 0) {
				best = min(best, c.T*1e4)
			}
		}
	}
	return best
}

// across returns the width of what lies around p, along u.
func across(paths []geom.Path, p, u geom.Point) float64 {
	return slack(paths, p, u) + slack(paths, p, u.Mul(-1))
}

// partPaths returns the outlines of the part of s at index k.
func partPaths(s *outline.Sheet, now map[int32]geom.Path, k int) []geom.Path {
	part := &s.Parts[k]
	get := func(o int32) geom.Path {
		if p, ok := now[o]; ok {
			return p
		}
		return s.Outlines[o].Pieces
	}
	paths := []geom.Path{get(part.Outer)}
	for _, h := range part.Holes {
		paths = append(paths, get(h))
	}
	return paths
}

// measured is a joint as measured on a drawing.
type measured struct{ width, length, depth, top float64 }

// measure measures a joint of the truth on outlines, by rays alone.
func measure(paths []geom.Path, j *geomtest.KitJoint, t float64) measured {
	side := j.Dir.Left()
	switch j.Kind {
	case "slot":
		return measured{width: across(paths, j.At, side), length: across(paths, j.At, j.Dir)}
	case "notch":
		return measured{width: across(paths, j.At, side), depth: slack(paths, j.At, j.Out.Mul(-1))}
	}
	beside := j.At.Add(j.Dir.Mul(j.Length/2 + 0.4*t)).Add(j.Out.Mul(20))
	shoulder := 20 - slack(paths, beside, j.Out.Mul(-1))
	in := j.At.Sub(j.Out.Mul(t / 2))
	if j.Kind == "gap" {
		bottom := -slack(paths, j.At, j.Out.Mul(-1))
		return measured{length: across(paths, j.At, j.Dir), depth: shoulder - bottom}
	}
	top := slack(paths, in, j.Out) - t/2
	return measured{length: across(paths, in, j.Dir), depth: top - shoulder, top: top}
}

// After a refit every pair of the ground truth fits the new sheet with the asked
// clearance, every tab is as long as before and as deep as the sheet, and parts
// held between two others are as much shorter as those are thicker.
func TestRefitFits(t *testing.T) {
	pairs, edges, held := 0, 0, 0
	const near = 1e-6
	for seed := range kits {
		k := random(seed)
		rng := rand.New(rand.NewPCG(uint64(seed), 3))
		s := sheetOf(t, k, rng)
		found := kit.Find(s, kit.DefaultOptions())
		target := fit.Target{Thickness: k.Thickness * (0.8 + 0.8*rng.Float64()), Clearance: []float64{0.05, 0.15, 0.38}[rng.IntN(3)]}
		r := found.Refit(kit.OneSheet(target, ""), nil, kit.DefaultOptions())
		if len(r.Skipped) > 0 {
			t.Errorf("kit %d (%s): skipped %v", seed, k.Name, r.Skipped[0].Err)
			continue
		}
		now := map[int32]geom.Path{}
		for _, w := range r.Outlines {
			now[w.Outline] = w.Path
		}
		at := make([]int, len(k.Parts))
		for p := range k.Parts {
			at[p] = s.PartAt(insideOf(k.Parts[p]))
		}
		get := func(i int) (measured, *geomtest.KitJoint) {
			j := &k.Joints[i]
			return measure(partPaths(s, now, at[j.Part]), j, k.Thickness), j
		}
		bad := func(what string, got, want float64) {
			if math.Abs(got-want) > near {
				t.Errorf("kit %d (%s, %g -> %g): %s %.6f, want %.6f", seed, k.Name, k.Thickness, target.Thickness, what, got, want)
			}
		}
		grown := target.Thickness - k.Thickness
		for _, m := range k.Mates {
			a, ja := get(m.A)
			b, jb := get(m.B)
			pairs++
			bad("clearance of "+jb.Kind, b.width-target.Thickness, target.Clearance)
			if ja.Kind == "notch" {
				bad("clearance of notch", a.width-target.Thickness, target.Clearance)
				bad("depth of notch", a.depth, ja.Depth/2)
				continue
			}
			bad("tab length", a.length, ja.Length)
			bad("slot length", b.length, jb.Length)
			bad("tab depth", a.depth, target.Thickness)
			bad("tab end moved", a.top, grown/2)
			held++
		}
		for _, m := range k.EdgeMates {
			edges++
			for n := range m.JointsA {
				a, ja := get(m.JointsA[n])
				b, jb := get(m.JointsB[n])
				bad("finger depth", a.depth, target.Thickness)
				bad("finger depth", b.depth, target.Thickness)
				bad("finger length", a.length, ja.Length)
				bad("gap length", b.length, jb.Length)
			}
		}
		// What was fitted is found again, and is whole.
		again := *k
		again.Parts = nil
		for p := range k.Parts {
			paths := partPaths(s, now, at[p])
			again.Parts = append(again.Parts, geomtest.KitPart{Outer: paths[0], Holes: paths[1:]})
		}
		f2 := kit.Find(sheetOf(t, &again, rng), kit.DefaultOptions())
		if len(f2.Unmatched)+len(f2.Odd) > 0 || len(f2.Pairs) != len(found.Pairs) {
			t.Errorf("kit %d (%s): %d unmatched, %d odd, %d pairs of %d after the refit", seed, k.Name, len(f2.Unmatched), len(f2.Odd), len(f2.Pairs), len(found.Pairs))
		}
	}
	t.Logf("%d pairs (%d of tab and slot) and %d finger edges fit", pairs, held, edges)
}

// refitted returns a kit with the outlines that a refit redraws.
func refitted(s *outline.Sheet, r *kit.Refitted) *geomtest.Kit {
	now := map[int32]geom.Path{}
	for _, w := range r.Outlines {
		now[w.Outline] = w.Path
	}
	out := &geomtest.Kit{Name: "refitted"}
	for k := range s.Parts {
		paths := partPaths(s, now, k)
		out.Parts = append(out.Parts, geomtest.KitPart{Outer: paths[0], Holes: paths[1:]})
	}
	return out
}

// A refitted kit is known again: the same slots and tabs fit each other, none the
// other way round, and refitting it once more changes nothing. Slots become wider
// than they are long where the sheet is thicker than tabs are long.
func TestRefitAgain(t *testing.T) {
	for _, tt := range []struct {
		name                  string
		width, depth          float64
		slot, tab, target, by float64
	}{
		{"slots stay long", 3.15, 3, 18.15, 18, 4.76, 0.15},
		{"slots as long as wide", 2.03, 2.03, 4.91, 4.76, 4.76, 0.15},
		{"slots a little shorter than wide", 2.032, 2.032, 4.06, 4, 4.76, 0.15},
		{"slots much shorter than wide", 3, 3, 6.1, 6, 9.525, 0.2},
		{"slots a little longer than wide", 2.032, 2.032, 5.08, 5.0, 4.76, 0.15},
		{"thinner", 6, 6, 8.1, 8, 3, 0.15},
	} {
		c := basic()
		c.slots, c.tabs, c.pitch = 6, 6, 30
		c.width, c.depth, c.slot, c.tab = tt.width, tt.depth, tt.slot, tt.tab
		parts, _, _ := c.parts()
		s := sheetOf(t, parts, rand.New(rand.NewPCG(1, 1)))
		target := fit.Target{Thickness: tt.target, Clearance: tt.by}
		first := kit.Find(s, kit.DefaultOptions())
		r := first.Refit(kit.OneSheet(target, ""), nil, kit.DefaultOptions())
		if len(r.Skipped) > 0 || len(first.Pairs) != 6 {
			t.Errorf("%s: %d pairs, skipped %v", tt.name, len(first.Pairs), r.Skipped)
			continue
		}
		again := kit.Find(sheetOf(t, refitted(s, r), rand.New(rand.NewPCG(2, 2))), kit.DefaultOptions())
		if len(again.Pairs) != 6 {
			t.Errorf("%s: %d pairs after the refit, want 6", tt.name, len(again.Pairs))
		}
		for _, p := range again.Pairs {
			slot, tab := &again.Joints[p.JointA], &again.Joints[p.JointB]
			if slot.Kind != kit.Slot {
				slot, tab = tab, slot
			}
			if math.Abs(slot.Width-target.Width()) > 1e-6 || math.Abs(slot.Length-tt.slot) > 1e-6 || math.Abs(tab.Length-tt.tab) > 1e-6 || math.Abs(tab.Depth-tt.target) > 1e-6 {
				t.Errorf("%s: slot %.3f x %.3f, tab %.3f x %.3f", tt.name, slot.Width, slot.Length, tab.Depth, tab.Length)
			}
		}
		for _, w := range again.Refit(kit.OneSheet(target, ""), nil, kit.DefaultOptions()).Outlines {
			if w.Moved > 1e-6 {
				t.Errorf("%s: a second refit moves a wall by %.3f mm", tt.name, w.Moved)
			}
		}
	}
}
