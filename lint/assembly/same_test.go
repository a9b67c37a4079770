package assembly_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint/assembly"
	"sluice/lint/kit"
)

// tellsOf returns what is told of the joints of a kit, drawn moved, as it would lie unmoved.
func tellsOf(t *testing.T, k *geomtest.Kit, tr, back geom.Transform, rng *rand.Rand) (all []string) {
	t.Helper()
	moved := &geomtest.Kit{}
	for _, p := range k.Parts {
		q := geomtest.KitPart{Outer: p.Outer.Transform(tr)}
		for _, h := range p.Holes {
			q.Holes = append(q.Holes, h.Transform(tr))
		}
		moved.Parts = append(moved.Parts, q)
	}
	if rng != nil {
		rng.Shuffle(len(moved.Parts), func(i, j int) { moved.Parts[i], moved.Parts[j] = moved.Parts[j], moved.Parts[i] })
	}
	f := kit.Find(sheetOf(t, moved), kit.DefaultOptions())
	assembly.Match(f)
	for _, u := range f.Unmatched {
		at := back.Apply(u.At)
		all = append(all, fmt.Sprintf("%.1f mm at %.0f, %.0f, edge %v", u.Length+0.013, at.X+0.137, at.Y+0.137, u.Joint < 0))
	}
	slices.Sort(all)
	return all
}

// TestTellsSame takes a part out of kits of all families: the same joints are told, in the
// same places, however the drawing is moved, turned, mirrored and shuffled.
func TestTellsSame(t *testing.T) {
	seeds := uint64(6)
	if testing.Short() {
		seeds = 2
	}
	kits, same := 0, 0
	for _, family := range geomtest.Families() {
		for seed := range seeds {
			rng := rand.New(rand.NewPCG(seed, 31))
			whole := geomtest.RandomStand(rng, family, 6+int(seed))
			k := &geomtest.Kit{Parts: whole.Without(rng.IntN(len(whole.Parts))).Parts}
			want := tellsOf(t, k, geom.Identity(), geom.Identity(), nil)
			kits++
			ok := true
			for pass := range 4 {
				a := 6 * rng.Float64()
				tr, back := geom.Turn(geom.Pt(10, 20), a), geom.Turn(geom.Pt(10, 20), -a)
				if pass%2 == 1 {
					tr, back = geom.MirrorX(5).Then(tr), back.Then(geom.MirrorX(5))
				}
				if got := tellsOf(t, k, tr, back, rng); !slices.Equal(got, want) {
					t.Logf("%s %d, pass %d:\n%q\nwant\n%q", family, seed, pass, got, want)
					ok = false
				}
			}
			if ok {
				same++
			}
		}
	}
	t.Logf("%d of %d kits the same", same, kits)
	// Left over are egg crates: which of equal notches lengths leave over hangs on the order of parts.
	if same*10 < kits*9 {
		t.Errorf("%d of %d kits the same", same, kits)
	}
}
