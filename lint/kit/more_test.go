package kit_test

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/fix/fit/side"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
	"sluice/lint/kit"
)

// Two kits for different thicknesses on one sheet: both thicknesses are told.
func TestTwoThicknesses(t *testing.T) {
	n, noisy := 0, 0
	for seed := 0; n < 25; seed++ {
		a, b := random(seed), random(seed+1000)
		if a.Name == b.Name || math.Abs(a.Width-b.Width) < 0.5 || min(len(a.Joints), len(b.Joints))*4 < max(len(a.Joints), len(b.Joints)) {
			continue
		}
		n++
		both := &geomtest.Kit{Name: "both", Parts: a.Parts}
		tr := geom.Shift(geom.Pt(0, 5000))
		for _, p := range b.Parts {
			q := geomtest.KitPart{Outer: p.Outer.Transform(tr)}
			for _, h := range p.Holes {
				q.Holes = append(q.Holes, h.Transform(tr))
			}
			both.Parts = append(both.Parts, q)
		}
		k := kit.Find(sheetOf(t, both, rand.New(rand.NewPCG(uint64(seed), 6))), kit.DefaultOptions())
		var got [2]bool
		for _, w := range k.Thicknesses {
			got[0] = got[0] || math.Abs(w.Width-a.Width) < 0.02
			got[1] = got[1] || math.Abs(w.Width-b.Width) < 0.02
		}
		if !got[0] || !got[1] || len(k.Thicknesses) != 2 {
			t.Errorf("seeds %d (%s %g, %s %g): thicknesses %v", seed, a.Name, a.Width, b.Name, b.Width, k.Thicknesses)
		}
		if len(k.Unmatched) > 0 {
			noisy++
			t.Logf("seeds %d: %d unmatched", seed, len(k.Unmatched))
		}
	}
	// A wall of one kit may be as long as the other is thick, which no shape tells.
	if noisy > 1 {
		t.Errorf("something unmatched in %d of %d", noisy, n)
	}
}

// One slot drawn half a millimetre wider than the rest is odd, and no more.
func TestOddSlot(t *testing.T) {
	tried := 0
	for seed := range kits {
		k := random(seed)
		if k.Name != "carcass" && k.Name != "ladder" {
			continue
		}
		tried++
		rng := rand.New(rand.NewPCG(uint64(seed), 11))
		var slots []int
		for i, j := range k.Joints {
			if j.Kind == "slot" {
				slots = append(slots, i)
			}
		}
		j := k.Joints[slots[rng.IntN(len(slots))]]
		part := &k.Parts[j.Part]
		for h, hole := range part.Holes {
			if !hole.Reverse().Contains(j.At) {
				continue
			}
			sides := side.Of(hole, side.DefaultLimits())
			by := make([]float64, len(sides))
			for i := range sides {
				if math.Abs(sides[i].U.Cross(j.Dir)) < 0.1 {
					by[i] = -0.25
				}
			}
			wide, _, err := fit.Move(hole, sides, by)
			if err != nil {
				t.Fatal(err)
			}
			part.Holes[h] = wide
		}
		got := kit.Find(sheetOf(t, k, rng), kit.DefaultOptions())
		if len(got.Odd) != 1 || got.Joints[got.Odd[0]].At.Dist(j.At) > 1e-6 || len(got.Unmatched) > 0 {
			t.Errorf("kit %d (%s, %g): odd %v, unmatched %d, thickness %v", seed, k.Name, k.Width, got.Odd, len(got.Unmatched), got.Thicknesses)
		}
	}
	t.Logf("%d kits", tried)
}

// Corners in which mates seat are found and opened; then none is left, and the
// joints are found as before.
func TestSeats(t *testing.T) {
	opened := 0
	for seed := range 60 {
		k := random(seed)
		d, s := drawn(t, k)
		f := kit.Find(s, kit.DefaultOptions())
		seats := f.Seats(1, kit.DefaultOptions())
		for _, c := range seats {
			if math.Abs(c.Corner.Left-0.5*(math.Sqrt2-1)) > 0.05*f.Design() { // more only where drawn round
				t.Errorf("kit %d: %+v", seed, c)
			}
		}
		out, _, left := fix.Apply(d, opening(t, f, seats, d))
		if len(left) > 0 {
			t.Errorf("kit %d: %d repairs skipped", seed, len(left))
		}
		s2 := built(t, out)
		f2 := kit.Find(s2, kit.DefaultOptions())
		if n := len(f2.Seats(1, kit.DefaultOptions())); n > 0 {
			t.Errorf("kit %d (%s): %d corners left of %d", seed, k.Name, n, len(seats))
		}
		if told(f) != told(f2) {
			t.Errorf("kit %d (%s): joints changed:\n%s\nwant\n%s", seed, k.Name, told(f2), told(f))
		}
		opened += len(seats)
	}
	t.Logf("%d corners opened", opened)
}

// opening returns the fixes that open the seats with reliefs of 0.6 mm, one an
// outline.
func opening(t *testing.T, k *kit.Kit, seats []kit.Seat, d *drawing.Drawing) (fixes []fix.Fix) {
	t.Helper()
	by := map[int32][]fit.Corner{}
	for _, s := range seats {
		i := k.Joints[s.Joint].Outline
		if !slices.Contains(by[i], s.Corner) {
			by[i] = append(by[i], s.Corner)
		}
	}
	uses := fit.UsesOf(k.Sheet)
	for _, i := range slices.Sorted(maps.Keys(by)) {
		out := &k.Sheet.Outlines[i]
		path, src, _ := fit.Open(out.Pieces, side.Of(out.Pieces, kit.DefaultOptions().Corner), by[i], fit.DogBone, 0.6)
		ops, err := fit.Redraw(d, out, path, src, uses)
		if err != nil {
			t.Fatal(err)
		}
		fixes = append(fixes, fix.Fix{Safety: fix.Choice, Edits: []fix.Edit{{Kind: "relieve-corner", At: by[i][0].At, Ops: ops}}})
	}
	return fixes
}

// drawn returns the drawing of a kit and its parts.
func drawn(t *testing.T, k *geomtest.Kit) (*drawing.Drawing, *outline.Sheet) {
	t.Helper()
	d := &drawing.Drawing{}
	for _, p := range k.Parts {
		for _, path := range append([]geom.Path{p.Outer}, p.Holes...) {
			for _, q := range path {
				d.Strokes = append(d.Strokes, drawing.Stroke{Piece: q})
			}
		}
	}
	return d, built(t, d)
}
