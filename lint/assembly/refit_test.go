package assembly_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"sluice/fix/fit"
	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
	"sluice/lint/assembly"
	"sluice/lint/job"
	"sluice/lint/kit"
)

// redrawn returns the parts of a sheet with the outlines of a refit in place.
func redrawn(s *outline.Sheet, r *kit.Refitted) (parts []geomtest.KitPart) {
	now := map[int32]geom.Path{}
	for _, w := range r.Outlines {
		now[w.Outline] = w.Path
	}
	path := func(o int32) geom.Path {
		if p, ok := now[o]; ok {
			return p
		}
		return s.Outlines[o].Pieces
	}
	for i := range s.Parts {
		p := geomtest.KitPart{Outer: path(s.Parts[i].Outer)}
		for _, h := range s.Parts[i].Holes {
			p.Holes = append(p.Holes, path(h))
		}
		parts = append(parts, p)
	}
	return parts
}

// TestRefittedStands redraws kits for other sheets: what stood before stands again, with as
// many joints, and no part is in another.
func TestRefittedStands(t *testing.T) {
	kits, same := 0, 0
	for _, family := range geomtest.Families() {
		for seed := range uint64(5) {
			k := geomtest.RandomStand(rand.New(rand.NewPCG(seed, 81)), family, 9)
			if k.Trapped {
				continue
			}
			for _, by := range []float64{0.8, 1.3, 1.6} {
				name := fmt.Sprintf("%s %d by %g", family, seed, by)
				s := sheetOf(t, &geomtest.Kit{Parts: k.Parts})
				found := kit.Find(s, kit.DefaultOptions())
				before := assembly.Of(found)
				sheets := kit.OneSheet(fit.Target{Thickness: by * k.Thickness, Clearance: 0.15}, "")
				r := found.Refit(sheets, assembly.Butts(found, before), kit.DefaultOptions())
				if len(r.Skipped) > 0 {
					t.Logf("%s: skipped, %v", name, r.Skipped[0].Err)
					continue
				}
				after := assembly.Of(kit.Find(sheetOf(t, &geomtest.Kit{Parts: redrawn(s, r)}), kit.DefaultOptions()))
				kits++
				if a, b := stood(before), stood(after); a == b {
					same++
				} else {
					t.Logf("%s: %s, now %s", name, a, b)
				}
			}
		}
	}
	t.Logf("%d of %d kits stand as they did", same, kits)
	if same < kits*95/100 {
		t.Errorf("%d of %d kits stand as they did", same, kits)
	}
}

// TestRefittedMixed redraws kits of two thicknesses, each for a sheet of its own.
func TestRefittedMixed(t *testing.T) {
	kits, same := 0, 0
	for _, family := range geomtest.MixedFamilies() {
		for seed := range uint64(6) {
			rng := rand.New(rand.NewPCG(seed, 82))
			k := geomtest.MixedStand(rng, family, 8)
			name := fmt.Sprintf("%s %d", family, seed)
			s := sheetOf(t, &geomtest.Kit{Parts: k.Parts})
			found := kit.Find(s, mixedOptions())
			before := assembly.Of(found)
			thin, thick := 1.3*k.Thickness, 3.2*k.Thickness
			var names, heavy []string
			for i := range s.Parts {
				n := fmt.Sprint(i + 1)
				names = append(names, n)
				if found.PlateOf(int32(i)) > 1.2*k.Thickness {
					heavy = append(heavy, `"`+n+`"`)
				}
			}
			j, err := job.Parse([]byte(fmt.Sprintf("[[sheet]]\nthickness = %q\n[[sheet]]\nthickness = %q\nparts = [%s]\n",
				fmt.Sprintf("%gmm", thin), fmt.Sprintf("%gmm", thick), strings.Join(heavy, ", "))), "test.toml", nil)
			if err != nil {
				t.Fatal(err)
			}
			sheets, ok := kit.SheetsOf(found, j, names)
			if !ok || !sheets.Several() {
				t.Fatalf("%s: the sheets are not known", name)
			}
			r := found.Refit(sheets, assembly.Butts(found, before), kit.DefaultOptions())
			if len(r.Skipped) > 0 {
				t.Errorf("%s: skipped, %v", name, r.Skipped[0].Err)
				continue
			}
			after := assembly.Of(kit.Find(sheetOf(t, &geomtest.Kit{Parts: redrawn(s, r)}), mixedOptions()))
			kits++
			if a, b := stood(before), stood(after); a == b && len(after.Plates) == 2 && near(after.Plates, thin) && near(after.Plates, thick) {
				same++
			} else {
				t.Logf("%s: %s, now %s, plates of %v for %g and %g", name, a, b, after.Plates, thin, thick)
			}
		}
	}
	t.Logf("%d of %d kits stand as they did", same, kits)
	if same < kits*95/100 {
		t.Errorf("%d of %d kits stand as they did", same, kits)
	}
}

// near reports whether a thickness is listed; notches alone tell it with the play.
func near(list []float64, want float64) bool {
	for _, v := range list {
		if v > want-0.01 && v < want+0.16 {
			return true
		}
	}
	return false
}

// stood says what stands, and what does not.
func stood(k *assembly.Kit) string {
	parts, joints, clashes := 0, 0, 0
	for i := range k.Groups {
		g := &k.Groups[i]
		parts, joints, clashes = parts+len(g.Parts), joints+len(g.Joints), clashes+len(g.Clashes)
	}
	return fmt.Sprintf("%d parts in %d groups, %d joints, %d clashes", parts, len(k.Groups), joints, clashes)
}

// TestRounded rebuilds and refits kits whose slots have round ends and whose tabs have round
// heads: they stand as they do with square ones.
func TestRounded(t *testing.T) {
	kits, same := 0, 0
	for _, family := range []string{"case", "tower", "truss", "shelf"} {
		for seed := range uint64(8) {
			k := geomtest.RandomStand(rand.New(rand.NewPCG(seed, 83)), family, 9)
			square := stood(assembly.Of(kit.Find(sheetOf(t, &geomtest.Kit{Parts: k.Parts}), kit.DefaultOptions())))
			s := sheetOf(t, &geomtest.Kit{Parts: k.Rounded().Parts})
			found := kit.Find(s, kit.DefaultOptions())
			before := assembly.Of(found)
			r := found.Refit(kit.OneSheet(fit.Target{Thickness: 1.4 * k.Thickness, Clearance: 0.15}, ""), assembly.Butts(found, before), kit.DefaultOptions())
			name := fmt.Sprintf("%s %d", family, seed)
			if len(r.Skipped) > 0 {
				t.Errorf("%s: skipped, %v", name, r.Skipped[0].Err)
			}
			after := assembly.Of(kit.Find(sheetOf(t, &geomtest.Kit{Parts: redrawn(s, r)}), kit.DefaultOptions()))
			kits++
			if a, b := stood(before), stood(after); a == square && b == square {
				same++
			} else {
				t.Logf("%s: square %s, round %s, refitted %s", name, square, a, b)
			}
		}
	}
	t.Logf("%d of %d kits stand as with square tabs", same, kits)
	if same < kits*95/100 {
		t.Errorf("%d of %d kits stand as with square tabs", same, kits)
	}
}
