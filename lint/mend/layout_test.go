package mend_test

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// layOut lays the parts of a drawing out under a job.
func layOut(t *testing.T, data []byte, j *job.Job) ([]mend.SheetOut, error) {
	t.Helper()
	return mend.LayOut(t.Context(), "plates", bytes.NewReader(data), j, mend.Options{Options: lint.Options{Rules: rules.All()}}, mend.LayoutOptions{Seconds: 0.01, Seed: 1})
}

// TestLayOut lays out a plate with a hole and a strip: each as often as kits are made,
// on as many sheets as it takes, the way the grain says, and off the clamps; each
// sheet is a corrected drawing of what lies on it.
func TestLayOut(t *testing.T) {
	data := ways(slices.Concat(box(0, 0, 100, 60), box(40, 20, 60, 30), box(0, 80, 150, 100)))["as drawn"]
	const area = 100*60 - 20*10 + 150*20
	for _, tt := range []struct {
		name   string
		change func(*job.Job)
		kits   int
		sheets int
		along  float64 // direction of the long sides, degrees; NaN: any
	}{
		{"one of each", func(*job.Job) {}, 1, 1, math.NaN()},
		{"three kits", func(j *job.Job) { j.Cost.Kits = 3 }, 3, 1, math.NaN()},
		{"more than a sheet holds", func(j *job.Job) { j.Cost.Kits, j.Sheet.Size, j.Layout.Sheets = 2, []float64{200, 120}, 2 }, 2, 2, math.NaN()},
		{"grain along a long sheet", func(j *job.Job) { j.Layout.Grain, j.Sheet.Size = "x", []float64{600, 200} }, 1, 1, 0},
		{"grain along x of a high sheet", func(j *job.Job) { j.Layout.Grain, j.Sheet.Size = "x", []float64{200, 600} }, 1, 1, 0},
		{"grain across a long sheet", func(j *job.Job) { j.Layout.Grain, j.Sheet.Size = "y", []float64{600, 200} }, 1, 1, 90},
		{"grain along y of a high sheet", func(j *job.Job) { j.Layout.Grain, j.Sheet.Size = "y", []float64{200, 600} }, 1, 1, 90},
		{"clamps", func(j *job.Job) {
			j.Clamp = []job.Clamp{{At: []float64{0, 0}, Size: []float64{400, 50}}, {At: []float64{0, 50}, Size: []float64{50, 350}}}
		}, 1, 1, math.NaN()},
	} {
		j := job.Default()
		j.Sheet.Size, j.Sheet.Margin = []float64{400, 400}, 5
		tt.change(j)
		sheets, err := layOut(t, data, j)
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		if len(sheets) != tt.sheets {
			t.Errorf("%s: %d sheets, want %d", tt.name, len(sheets), tt.sheets)
		}
		room := geom.Box{Max: geom.Pt(j.Sheet.Size[0], j.Sheet.Size[1])}.Inflate(-j.Sheet.Margin + 1e-6)
		clamps := j.Clamps(geom.Point{})
		parts, holes, sum := 0, 0, 0.0
		for i := range sheets {
			l := sheets[i].Repaired.Layout
			st := &l.Sheets[i].Stock
			if l.Sheets[i].Result != sheets[i].Repaired.After || l.Gap != j.MovedSpacing() || len(st.Clamps) != len(clamps) ||
				st.Width != j.Sheet.Size[0] || st.Height != j.Sheet.Size[1] || st.Margin != j.Sheet.Margin {
				t.Errorf("%s: sheet %d is told as %+v on %+v, %g mm apart", tt.name, i+1, l.Sheets[i], *st, l.Gap)
			}
			s, again := sheets[i].Repaired.After.Sheet, judged(t, sheets[i].Drawing)
			if len(s.Parts) != len(again.Sheet.Parts) || len(sheets[i].Repaired.Labels) != len(s.Parts) {
				t.Errorf("%s: %d parts told, %d numbers, %d parts drawn", tt.name, len(s.Parts), len(sheets[i].Repaired.Labels), len(again.Sheet.Parts))
			}
			for _, c := range cutting.Paths(s, sheets[i].Repaired.After.Job, sheets[i].Repaired.After.Extents).Cuts {
				for _, z := range clamps {
					if b := c.Path().Box().Inflate(j.Jet.Kerf / 2); b.Overlaps(z.Inflate(-1e-6)) {
						t.Errorf("%s: the stream of part %d within %v, below the clamp in %v", tt.name, c.Part, b, z)
					}
				}
			}
			for k := range again.Sheet.Parts {
				p := &again.Sheet.Parts[k]
				parts, holes, sum = parts+1, holes+len(p.Holes), sum+p.Area
				if !room.ContainsBox(p.Box) {
					t.Errorf("%s: a part off the sheet, in %v", tt.name, p.Box)
				}
				if upright := p.Box.H() > p.Box.W(); !math.IsNaN(tt.along) && upright != (tt.along == 90) {
					t.Errorf("%s: a part in %v", tt.name, p.Box)
				}
			}
		}
		if parts != 2*tt.kits || holes != tt.kits || math.Abs(sum-float64(tt.kits)*area) > 1e-3 {
			t.Errorf("%s: %d parts, %d holes, %.4f mm2; want %d, %d, %d", tt.name, parts, holes, sum, 2*tt.kits, tt.kits, tt.kits*area)
		}
	}
}

// judged judges a sheet as written.
func judged(t *testing.T, data []byte) *lint.Result {
	t.Helper()
	r := lint.Check(t.Context(), "sheet", bytes.NewReader(data), job.Default(), lint.Options{Rules: rules.All()})
	if r.Err != nil {
		t.Fatal(r.Err)
	}
	return r
}

// TestLayOutRefuses: what cannot be laid out gives an error that says why, and no
// sheet.
func TestLayOutRefuses(t *testing.T) {
	plate := ways(box(0, 0, 100, 60))["as drawn"]
	// Two plates that cross and have a corner in common.
	crossed := ways(slices.Concat(box(0, 0, 100, 60), geom.Path{
		geom.Line(geom.Pt(0, 0), geom.Pt(120, 30)), geom.Line(geom.Pt(120, 30), geom.Pt(50, 80)), geom.Line(geom.Pt(50, 80), geom.Pt(0, 0))}))["as drawn"]
	var open geomtest.Drafter
	open.Piece(geom.Line(geom.Pt(0, 0), geom.Pt(100, 0)), 0)
	for _, tt := range []struct {
		name   string
		data   []byte
		change func(*job.Job)
		want   string
	}{
		{"no sheet", plate, func(j *job.Job) { j.Sheet.Size = nil }, "size of the sheet"},
		{"crossing outlines", crossed, func(*job.Job) {}, "cross"},
		{"no part", open.Bytes(), func(*job.Job) {}, "--layout"},
		{"no drawing", []byte("nothing"), func(*job.Job) {}, ""},
	} {
		j := job.Default()
		j.Sheet.Size = []float64{400, 400}
		tt.change(j)
		if sheets, err := layOut(t, tt.data, j); err == nil || len(sheets) > 0 || !strings.Contains(err.Error(), tt.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %d sheets, error %v", tt.name, len(sheets), err)
		}
	}
}
