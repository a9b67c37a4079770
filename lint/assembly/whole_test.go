package assembly_test

import (
	"math/rand/v2"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint/assembly"
	"sluice/lint/kit"
)

// lacks counts the joints that are told to have no mate.
func lacks(t *testing.T, k *geomtest.Kit) int {
	t.Helper()
	f := kit.Find(sheetOf(t, k), kit.DefaultOptions())
	assembly.Match(f)
	sound(t, f)
	return len(f.Unmatched)
}

// TestTellsNothing: nothing is told of kits that lack nothing, however large they are.
func TestTellsNothing(t *testing.T) {
	sizes := []int{8, 14, 30, 60, 90}
	if testing.Short() {
		sizes = sizes[:2]
	}
	kits, quiet := 0, 0
	for _, family := range geomtest.Families() {
		for seed, size := range sizes {
			k := geomtest.RandomStand(rand.New(rand.NewPCG(uint64(seed), 131)), family, size)
			kits++
			if n := lacks(t, &geomtest.Kit{Parts: k.Parts}); n == 0 {
				quiet++
			} else {
				t.Logf("%s of %d parts: %d joints are told", family, len(k.Parts), n)
			}
		}
	}
	t.Logf("nothing is told of %d of %d kits", quiet, kits)
	if quiet*100 < kits*95 {
		t.Errorf("nothing is told of %d of %d kits", quiet, kits)
	}
}

// notched is a plate of a height with notches for a thickness, from one long side or both, so
// deep that two plates that cross lie flush.
func notched(at geom.Point, notches int, both bool, pitch, high, thick float64) (p geom.Path) {
	deep, wide := high/2, pitch*float64(notches+1)
	if both {
		deep = high / 4
	}
	notch := func(x, edge, into float64) []geom.Point {
		return []geom.Point{geom.Pt(x-into*thick/2, edge), geom.Pt(x-into*thick/2, edge+into*deep), geom.Pt(x+into*thick/2, edge+into*deep), geom.Pt(x+into*thick/2, edge)}
	}
	pts := []geom.Point{geom.Pt(0, 0)}
	for i := 1; both && i <= notches; i++ {
		pts = append(pts, notch(pitch*float64(i), 0, 1)...)
	}
	pts = append(pts, geom.Pt(wide, 0), geom.Pt(wide, high))
	for i := notches; i > 0; i-- {
		pts = append(pts, notch(pitch*float64(i), high, -1)...)
	}
	pts = append(pts, geom.Pt(0, high))
	for i := range pts {
		p = append(p, geom.Line(at.Add(pts[i]), at.Add(pts[(i+1)%len(pts)])))
	}
	return p
}

// TestAlikePlates: of plates that are all alike, and as many as cross each other by all their
// notches or more, no notch is told to lack a mate, in whatever way they are put together.
func TestAlikePlates(t *testing.T) {
	for _, count := range []int{4, 8, 20, 40, 60, 100} {
		for notches := 2; notches <= min(5, count/2); notches++ {
			for _, both := range []bool{false, true} {
				k := &geomtest.Kit{}
				for i := range count {
					at := geom.Pt(float64(i%10)*200, float64(i/10)*60)
					k.Parts = append(k.Parts, geomtest.KitPart{Outer: notched(at, notches, both, 30, 40, 4)})
				}
				if n := lacks(t, k); n > 0 {
					t.Errorf("%d plates with %d notches, both sides %v: %d are told", count, notches, both, n)
				}
			}
		}
	}
}
