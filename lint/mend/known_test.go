package mend_test

import (
	"bytes"
	"math"
	"path/filepath"
	"testing"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// TestNumberForLife follows the parts of the demo kit through everything that moves
// or sizes them, and through drawings without etched numbers: what was part 7 when
// the drawing was first read is part 7 on every sheet.
func TestNumberForLife(t *testing.T) {
	if testing.Short() {
		t.Skip("lays the demo kit out nine times")
	}
	source := filepath.Join(fixtures, "harbour-crane-clean.dxf")
	data := readFile(t, source)
	base := loadJob(t, filepath.Join(fixtures, "crane.toml"))
	first := check(t, source, base)
	type known struct {
		area  float64
		shape int
	}
	parts := map[string]known{}
	for k, name := range first.Names {
		parts[name] = known{first.Sheet.Parts[k].Area, first.Sheet.Parts[k].Number}
	}
	same := func(t *testing.T, drawings [][]byte, count int, within float64) {
		t.Helper()
		n := 0
		for _, d := range drawings {
			r := judged(t, d)
			for k, name := range r.Names {
				n++
				if area := r.Sheet.Parts[k].Area; math.Abs(area-parts[name].area) > within*area {
					t.Errorf("part %s has %.1f mm2, and had %.1f when it was first read", name, area, parts[name].area)
				}
			}
		}
		if n != count {
			t.Errorf("%d parts, want %d", n, count)
		}
	}
	drawings := func(sheets []mend.SheetOut, err error) [][]byte {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		var out [][]byte
		for i := range sheets {
			out = append(out, sheets[i].Drawing)
		}
		return out
	}
	all := len(first.Sheet.Parts)
	_, fixed := repair(t, source, data, base)
	_, bare := repair(t, source, data, with(t, func(j *job.Job) { j.Labels.Parts = "none" }))
	small := func(j *job.Job) { j.Sheet.Size, j.Layout.Sheets = []float64{400, 300}, 9 }
	unnumbered := func(j *job.Job) { small(j); j.Labels.Parts = "none" }

	same(t, [][]byte{fixed}, all, 1e-3)
	same(t, [][]byte{bare}, all, 1e-3)
	for name, d := range map[string][]byte{"as drawn": data, "numbered": fixed, "without numbers": bare} {
		sheets := drawings(layOut(t, d, with(t, small)))
		if len(sheets) < 2 {
			t.Fatalf("%s: %d sheets: nothing is shown", name, len(sheets))
		}
		same(t, sheets, all, 1e-3)
		without := drawings(layOut(t, d, with(t, unnumbered)))
		same(t, without, all, 1e-3)
		// The last sheet laid out again, and numbered at last.
		last := without[len(without)-1]
		same(t, drawings(layOut(t, last, with(t, small))), len(judged(t, last).Sheet.Parts), 1e-3)
	}
}

// TestNumberKeptInPlace does what sizes and moves parts on their sheet.
func TestNumberKeptInPlace(t *testing.T) {
	source := filepath.Join(fixtures, "harbour-crane.dxf")
	data := readFile(t, source)
	first := check(t, source, loadJob(t, filepath.Join(fixtures, "crane.toml")))
	for _, tt := range []struct {
		name   string
		job    func(*job.Job)
		option mend.Options
		factor bool
	}{
		{"repaired", func(*job.Job) {}, mend.Options{}, false},
		{"slots redrawn", func(j *job.Job) { j.Fit.Refit = "slots" }, mend.Options{}, false},
		{"scaled", func(*job.Job) {}, mend.Options{Scale: true}, true},
		{"no numbers", func(j *job.Job) { j.Labels.Parts = "none" }, mend.Options{}, false},
	} {
		tt.option.Options = lint.Options{Rules: rules.All()}
		rep, out, err := mend.Fix(t.Context(), source, bytes.NewReader(data), with(t, tt.job), tt.option)
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		factor := 1.0
		if tt.factor {
			factor = rep.After.Sheet.Parts[0].Box.W() / first.Sheet.Parts[0].Box.W()
		}
		again := judged(t, out)
		if len(again.Sheet.Parts) != len(first.Sheet.Parts) {
			t.Errorf("%s: %d parts of %d", tt.name, len(again.Sheet.Parts), len(first.Sheet.Parts))
		}
		for k, name := range again.Names {
			was, best := "", math.Inf(1)
			for i := range first.Sheet.Parts {
				if d := geom.Pt(0, 0).Dist(again.Sheet.Parts[k].Centroid.Sub(first.Sheet.Parts[i].Centroid.Mul(factor))); d < best {
					was, best = first.Names[i], d
				}
			}
			if name != was {
				t.Errorf("%s: part %s was part %s, %.2f mm away", tt.name, name, was, best)
			}
		}
	}
}

// with returns the job of the demo kit with a change.
func with(t *testing.T, change func(*job.Job)) *job.Job {
	t.Helper()
	j := loadJob(t, filepath.Join(fixtures, "crane.toml"))
	change(j)
	return j
}
