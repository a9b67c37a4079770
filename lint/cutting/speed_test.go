package cutting

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"sluice/lint/job"
)

func within(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if math.Abs(got-want) > share*math.Abs(want) {
		t.Errorf("%s: %.6g, want %.6g within %.2g %%", what, got, want, share*100)
	}
}

// Worked examples, computed from the formula with C = 788 (see Speed for its
// source).
func TestSpeedMetric(t *testing.T) {
	for _, tt := range []struct {
		name              string
		nm, p, do, ma     float64
		quality, h, dm, v float64
	}{
		{"M1", 213, 345, 0.35, 450, 1, 10, 1.02, 1474.81},
		{"M2", 213, 345, 0.35, 450, 3, 10, 1.02, 416.92},
		{"M3", 213, 345, 0.35, 450, 5, 10, 1.02, 231.70},
		{"M4", 87, 345, 0.35, 450, 3, 6, 1.02, 267.91},
		{"M5", 82, 380, 0.30, 340, 3, 3, 0.76, 573.52},
		{"M6", 213, 300, 0.25, 250, 3, 3, 0.76, 740.15},
		{"M7", 115, 380, 0.35, 450, 4, 25, 1.02, 61.352},
		{"M8", 596, 345, 0.35, 450, 3, 6, 1.02, 2449.46},
	} {
		within(t, tt.name, Jet{tt.p, tt.do, tt.dm, tt.ma}.Speed(tt.nm, tt.h, tt.quality), tt.v, 0.001)
	}
}

// The form in inches, C = 163: V in/min, P in 1000 psi, bores and thickness in,
// abrasive lb/min. The two constants are rounded on their own, so the forms
// agree to 0.3 %.
func TestSpeedInch(t *testing.T) {
	inch := func(nm, p, do, ma, q, h, dm float64) float64 {
		return math.Pow(nm*math.Pow(p, 1.594)*math.Pow(do, 1.374)*math.Pow(ma, 0.343)/(163*q*h*math.Pow(dm, 0.618)), 1.15)
	}
	for _, tt := range []struct {
		name                    string
		nm, p, do, ma, q, h, dm float64
		v                       float64
	}{
		{"I1", 213, 50, 0.014, 1.0, 1, 0.5, 0.040, 45.541},
		{"I2", 213, 50, 0.014, 1.0, 3, 0.5, 0.040, 12.874},
		{"I3", 87, 50, 0.014, 0.75, 3, 0.25, 0.040, 9.108},
		{"I4", 82, 50, 0.014, 0.75, 3, 0.125, 0.040, 18.882},
		{"I5", 213, 45, 0.011, 0.6, 3, 0.125, 0.030, 35.809},
	} {
		within(t, tt.name+" in inches", inch(tt.nm, tt.p, tt.do, tt.ma, tt.q, tt.h, tt.dm), tt.v, 0.001)
		j := Jet{tt.p * 6.894757293168, tt.do * 25.4, tt.dm * 25.4, tt.ma * 453.59237}
		within(t, tt.name+" in mm", j.Speed(tt.nm, tt.h*25.4, tt.q)/25.4, tt.v, 0.003)
	}
}

// Ratios that hang on no constant.
func TestSpeedRatios(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := Jet{
			rapid.Float64Range(100, 600).Draw(t, "pressure"), rapid.Float64Range(0.1, 0.7).Draw(t, "orifice"),
			rapid.Float64Range(0.5, 2).Draw(t, "tube"), rapid.Float64Range(50, 1000).Draw(t, "abrasive"),
		}
		h, nm := rapid.Float64Range(1, 100).Draw(t, "h"), rapid.Float64Range(10, 2000).Draw(t, "nm")
		v := j.Speed(nm, h, 1)
		for _, c := range []struct {
			name        string
			got, factor float64
		}{
			{"twice the thickness", j.Speed(nm, 2*h, 1), 0.45063},
			{"quality 3", j.Speed(nm, h, 3), 0.28269},
			{"quality 5", j.Speed(nm, h, 5), 0.15710},
			{"a tenth more pressure", Jet{1.1 * j.Pressure, j.Orifice, j.MixingTube, j.Abrasive}.Speed(nm, h, 1), 1.19090},
			{"twice the machinability", j.Speed(2*nm, h, 1), math.Pow(2, 1.15)},
		} {
			if math.Abs(c.got/v-c.factor) > 1e-4*c.factor {
				t.Fatalf("%s: factor %.6f, want %.5f", c.name, c.got/v, c.factor)
			}
		}
	})
	j := Jet{345, 0.35, 1.02, 450}
	within(t, "aluminium over mild steel", j.Speed(213, 10, 3)/j.Speed(87, 10, 3), 2.8002, 1e-4)
	within(t, "stainless over mild steel", j.Speed(82, 10, 3)/j.Speed(87, 10, 3), 0.93420, 1e-4)
	if v := j.Speed(0, 10, 3); v != 0 {
		t.Errorf("no machinability gives a speed of %g", v)
	}
}

// Jet figures: Bernoulli exactly; 345 MPa through 0.35 mm with a discharge of
// 0.70 gives 3.357 l/min and 19.30 kW; 380 MPa through 0.30 mm 2.588 l/min
// (computed). 50,000 psi through 0.014 in, 0.918 gal/min at 0.70 (conference
// paper, its constants rounded: 0.3 %).
func TestWater(t *testing.T) {
	within(t, "water at 400 MPa", WaterSpeed(400), 894.43, 1e-5)
	within(t, "water at 100 MPa", WaterSpeed(100), 447.21, 2e-5)
	j := Jet{345, 0.35, 1.02, 450}
	within(t, "flow", j.Water(), 3.357, 3e-4)
	within(t, "power", j.Power(), 19.30, 5e-4)
	within(t, "flow at 380", Jet{380, 0.30, 1, 1}.Water(), 2.588, 3e-4)
	within(t, "flow in gal/min", Jet{50 * 6.894757, 0.014 * 25.4, 1, 1}.Water()/3.785411784, 0.918, 0.004)
}

// Masses: 100 x 100 x 3 mm is 81.0 g in 6061, 80.4 g in 5052 and 235.5 g in A36;
// 48 x 96 x 0.125 in of 5052 is 55.87 lb at 0.097 lb/in3 (computed).
func TestMass(t *testing.T) {
	for _, tt := range []struct {
		name          string
		area, h, want float64
	}{
		{"6061-T6", 1e4, 3, 0.0810}, {"Aluminum 5052-H32", 1e4, 3, 0.0804}, {"A36", 1e4, 3, 0.2355},
		{"5052", 48 * 96 * 25.4 * 25.4, 0.125 * 25.4, 55.872 * 0.45359237},
	} {
		m, ok := FindMaterial(tt.name, nil)
		if !ok {
			t.Fatalf("%s is not known", tt.name)
		}
		within(t, tt.name, m.Mass(tt.area, tt.h), tt.want, 0.003)
	}
}

func TestFindMaterial(t *testing.T) {
	own := []job.Material{{Name: "Brass 360", Density: 8500, Machinability: 110}}
	for name, want := range map[string]string{
		"Aluminium 5052-H32": "aluminium 5052", "aluminum": "aluminium", "6061": "aluminium 6061", "stainless 304": "stainless steel 304",
		"304L?": "", "316L": "stainless steel 316", "S235": "mild steel", "mild steel": "mild steel", "tool steel": "tool steel, hardened",
		"brass 360": "Brass 360", "brass": "brass", "cheese": "", "": "", "Birch ply": "birch plywood", "PMMA": "acrylic", "Inox": "stainless steel 304",
	} {
		m, ok := FindMaterial(name, own)
		if m.Name != want || ok != (want != "") {
			t.Errorf("%q means %q, want %q", name, m.Name, want)
		}
	}
	for _, m := range materials {
		if got, _ := FindMaterial(m.Name, nil); got.Name != m.Name {
			t.Errorf("%q means %q", m.Name, got.Name)
		}
		if m.Source == "" || !(m.Density > 0) || m.Machinability < 0 {
			t.Errorf("%s: incomplete", m.Name)
		}
	}
}
