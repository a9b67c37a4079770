package cutting

import (
	"math"
	"testing"

	"sluice/lint/job"
)

// Forces are shear strength times width times thickness; those of 5052 and 6061 are
// worked out by hand. Widths follow from 400 N, half the thickness, 0.3 and 0.8 mm.
func TestTabWidth(t *testing.T) {
	for _, c := range []struct {
		material  string
		thickness float64
		width     float64 // "auto"
		force     float64 // of 0.8 mm; 0: not known
	}{
		{"", 0, 0.8, 0},
		{"", 3, 0.8, 0},
		{"", 1, 0.5, 0},
		{"", 0.5, 0.3, 0},
		{"5052-H32", 3, 0.8, 331.2},
		{"5052-H32", 4.76, 0.6, 525.504},
		{"5052-H32", 25, 0.3, 2760},
		{"5052-H32", 1, 0.5, 110.4},
		{"6061", 3, 0.6, 496.8},
		{"mild steel", 3, 0.4, 720},
		{"birch plywood", 12, 0.8, 0},
	} {
		j := job.Default()
		j.Sheet.Material, j.Sheet.Thickness = c.material, c.thickness
		if w := TabWidth(j); w != 0.8 {
			t.Errorf("%s %g mm: %g mm wide by default, want 0.8", c.material, c.thickness, w)
		}
		if f, ok := TabForce(j, 0.8); math.Abs(f-c.force) > 1e-9 || ok != (c.force > 0) {
			t.Errorf("%s %g mm: %g N, want %g", c.material, c.thickness, f, c.force)
		}
		j.Tabs.Width = job.Auto
		if w := TabWidth(j); math.Abs(w-c.width) > 1e-9 {
			t.Errorf("%s %g mm: %g mm wide, want %g", c.material, c.thickness, w, c.width)
		}
		if g := DrawnGap(j); math.Abs(g-c.width-j.Jet.Kerf) > 1e-9 {
			t.Errorf("%s %g mm: gap of %g mm", c.material, c.thickness, g)
		}
	}
	j := job.Default()
	j.Sheet.Material, j.Sheet.Thickness, j.Tabs.Width = "own", 4, job.Auto
	j.Material = []job.Material{{Name: "own", Density: 1, Shear: 250}}
	if w := TabWidth(j); math.Abs(w-0.4) > 1e-9 {
		t.Errorf("own material: %g mm wide, want 0.4", w)
	}
}

// 345 MPa through 0.35 mm: 2 x 0.70 x area x pressure = 46.5 N.
func TestPush(t *testing.T) {
	j := Jet{345, 0.35, 1.02, 450}
	within(t, "push", j.Push(), 2*0.70*math.Pi/4*0.35*0.35*345, 1e-9)
	within(t, "push in figures", j.Push(), 46.5, 0.001)
}
