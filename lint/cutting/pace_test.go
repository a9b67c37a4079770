package cutting

import (
	"math"
	"testing"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/lint/job"
)

func jobFor(material string, thickness float64, speeds ...string) *job.Job {
	j := job.Default()
	j.Sheet.Material, j.Sheet.Thickness = material, thickness
	j.Jet.SpeedAt = speeds
	return j
}

func paceFor(t *testing.T, material string, thickness float64, speeds ...string) Pace {
	t.Helper()
	m, ok := FindMaterial(material, nil)
	if !ok {
		t.Fatalf("%s is not known", material)
	}
	return PaceOf(jobFor(material, thickness, speeds...), m, thickness)
}

func TestPace(t *testing.T) {
	p := paceFor(t, "6061", 10)
	within(t, "speed", p.Cut, 416.92, 0.001)
	within(t, "finest speed", p.Fine, 231.70, 0.001)
	within(t, "finest over clean", p.Fine/p.Cut, 0.5557, 1e-3)
	// A separation cut of 10 mm takes 0.4068 s for its thickness, eight of which
	// are a few seconds, as practice has it (common practice, no source).
	within(t, "pierce", p.Pierce, 8*0.4068, 0.001)
	if p.Basis != "model" || p.Capped || !(p.Low < 1 && p.High > 1) {
		t.Errorf("%+v", p)
	}
	// Pierces grow with the thickness and with what resists the jet.
	if !(paceFor(t, "6061", 12).Pierce > p.Pierce && paceFor(t, "mild steel", 10).Pierce > p.Pierce) {
		t.Error("pierce times do not grow")
	}
	if thin := paceFor(t, "acrylic", 1); !thin.Capped || thin.Cut != 5000 {
		t.Errorf("thin acrylic at %g", thin.Cut)
	}
	if unknown := paceFor(t, "brass", 3); unknown.Cut != 0 || unknown.Pierce != 0 {
		t.Errorf("brass at %g", unknown.Cut)
	}
}

func TestPaceMeasured(t *testing.T) {
	model := paceFor(t, "6061", 10)
	at := func(h float64, speeds ...string) Pace { return paceFor(t, "6061", h, speeds...) }
	if p := at(10, "10mm q3 500mm/min"); p.Cut != 500 || p.Basis != "measured" || p.High > 1.2 {
		t.Errorf("measured: %+v", p)
	}
	// Elsewhere the model is scaled.
	p := at(10, "5mm q3 1110mm/min 6061")
	want := model.Cut * 1110 / at(5).Cut
	within(t, "scaled", p.Cut, want, 1e-9)
	within(t, "scaled pierce", p.Pierce, model.Pierce*model.Cut/want, 1e-9)
	// Between two measurements the scale lies between theirs.
	mid := at(10, "5mm q3 1110mm/min", "20mm q3 150mm/min")
	r1, r2 := 1110/at(5).Cut, 150/at(20).Cut
	within(t, "between", mid.Cut/model.Cut, math.Sqrt(r1*r2), 1e-9)
	if q := at(10, "10mm q3 500mm/min mild steel"); q.Cut != model.Cut {
		t.Errorf("a speed of another material counts: %g", q.Cut)
	}
	// Without a machinability number a measured speed is all there is.
	b := paceFor(t, "brass", 6, "3mm q3 700mm/min")
	within(t, "brass", b.Cut, 700*math.Pow(0.5, 1.15), 1e-9)
}

// A range goes by how far away a speed was measured, and by what the table can do.
func TestPaceRange(t *testing.T) {
	at := func(h float64, speeds ...string) Pace { return paceFor(t, "6061", h, speeds...) }
	near, far, farther := at(10, "9mm q3 500mm/min"), at(10, "6mm q3 800mm/min"), at(10, "1mm q3 4000mm/min")
	model := at(10)
	if !(near.Low > far.Low && far.Low > farther.Low && near.High < far.High && far.High < farther.High) {
		t.Errorf("ranges %g-%g, %g-%g, %g-%g", near.Low, near.High, far.Low, far.High, farther.Low, farther.High)
	}
	if farther.Low < modelLow || farther.High > modelHigh || model.Low > farther.Low {
		t.Errorf("a speed measured far away says less than the model: %g-%g", farther.Low, farther.High)
	}
	if quality := at(10, "10mm q5 200mm/min"); quality.Low != modelLow {
		t.Errorf("a speed of another quality: from %g", quality.Low)
	}
	// A table that follows no faster than 5000 mm/min is no faster at best either.
	thin := at(1)
	if !thin.Capped || thin.Low != 1 {
		t.Errorf("capped: %+v", thin)
	}
	if almost := at(2.2); !almost.Capped && almost.Cut/almost.Low > 5000*1.0001 {
		t.Errorf("at best %g mm/min", almost.Cut/almost.Low)
	}
}

// Corners are cut two steps of quality finer, the finest at most; brittle sheet takes
// longer to pierce.
func TestPaceCorners(t *testing.T) {
	for q, finer := range map[string]float64{"1": 3, "2": 4, "3": 5, "4": 5, "5": 5} {
		j := jobFor("6061", 10)
		if err := j.Set("jet.edge", q); err != nil {
			t.Fatal(err)
		}
		m, _ := FindMaterial("6061", nil)
		p := PaceOf(j, m, 10)
		within(t, "quality "+q, p.Fine/p.Cut, math.Pow(j.Jet.Quality/finer, speedPower), 1e-9)
	}
	glass, _ := FindMaterial("glass", nil)
	j := jobFor("glass", 6)
	slow := PaceOf(j, glass, 6)
	glass.Brittle = false
	within(t, "pierce of glass", slow.Pierce, brittlePierce*PaceOf(j, glass, 6).Pierce, 1e-9)
}

// The slow-down is the share of the lag by which the exit strays: 1 at a right
// angle, 0.7071 at 45 degrees; on an arc sqrt(R^2+L^2)-R, 0.04988 mm for L 1 and
// R 10, 0.02494 for 0.5 and 5 (computed).
func TestSlow(t *testing.T) {
	within(t, "90 degrees", Slow(math.Pi/2, 0, 1), 1, 1e-12)
	within(t, "135 degrees", Slow(-0.75*math.Pi, 0, 1), 1, 1e-12)
	within(t, "45 degrees", Slow(math.Pi/4, 0, 1), 0.7071, 1e-4)
	within(t, "R 10", Slow(0, 10, 1)*1, 0.04988, 1e-3)
	within(t, "R 5", Slow(0, 5, 0.5)*0.5, 0.02494, 1e-3)
	if Slow(0, 0, 1) != 0 || Slow(1, 1, 0) != 0 {
		t.Error("a straight cut, or one without lag, is slowed")
	}
}

func TestRunTime(t *testing.T) {
	p := Pace{Cut: 600, Fine: 300, Lag: 2}
	// A line takes its length over the speed.
	total, slow := p.RunTime(geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(100, 0))}, false)
	within(t, "line", total, 10, 1e-12)
	if slow != 0 {
		t.Errorf("a line is slowed by %g s", slow)
	}
	// A square of 50: eight stretches of 2 mm at half the speed cost 8 x 0.2 s more.
	total, slow = p.RunTime(sheettest.Rect(0, 0, 50, 50), true)
	within(t, "square", total, 20+8*0.2, 1e-12)
	within(t, "square's slow-down", slow, 1.6, 1e-9)
	// Open, two of the corners' sides are no corners: the first and the last end.
	total, _ = p.RunTime(sheettest.Rect(0, 0, 50, 50), false)
	within(t, "open square", total, 20+6*0.2, 1e-12)
	// Big circles run free, small ones slowly, never slower than the finest.
	big, _ := p.RunTime(sheettest.Disc(0, 0, 1000), true)
	within(t, "big circle", big, 2*math.Pi*1000/10, 2e-3)
	small, _ := p.RunTime(sheettest.Disc(0, 0, 0.1), true)
	if least, most := 2*math.Pi*0.1/10, 2*math.Pi*0.1/5; !(small > 1.9*least && small <= most) {
		t.Errorf("small circle takes %g, limits %g and %g", small, least, most)
	}
	// The same from wherever it starts, and run backwards.
	r := sheettest.Rect(0, 0, 50, 3)
	for k := range r {
		a, _ := p.RunTime(sheettest.Turned(r, k), true)
		b, _ := p.RunTime(r.Reverse(), true)
		within(t, "turned and reversed", a, b, 1e-12)
	}
}
