package mend_test

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// pinned lays out a plate and two strips under answers.
func pinned(t *testing.T, answers string, change func(*job.Job)) ([]mend.SheetOut, error) {
	t.Helper()
	data := ways(slices.Concat(box(0, 0, 100, 60), box(40, 20, 60, 30), box(0, 80, 150, 100), box(0, 120, 140, 130)))["as drawn"]
	j := job.Default()
	j.Sheet.Size, j.Sheet.Margin, j.Layout.Sheets = []float64{400, 300}, 5, 2
	a, err := job.ParseAnswers([]byte(answers), "kit.answers.toml")
	if err != nil {
		t.Fatal(err)
	}
	j.Answers = a
	if change != nil {
		change(j)
	}
	return layOut(t, data, j)
}

// TestPinned: a pinned part lies where it was put, to the bit, and nothing on it.
func TestPinned(t *testing.T) {
	const plate = 100*60 - 20*10
	for _, tt := range []struct {
		name, answers string
		sheets        int
		want          geom.Box
	}{
		{"as drawn", "at = \"120.5mm,77.25mm\"", 1, geom.BoxOf(geom.Pt(120.5, 77.25), geom.Pt(220.5, 137.25))},
		{"turned", "at = \"250mm,150mm\"\nturn = 90", 1, geom.BoxOf(geom.Pt(250, 150), geom.Pt(310, 250))},
		{"on another sheet", "at = \"40mm,30mm\"\nsheet = 2", 1, geom.BoxOf(geom.Pt(40, 30), geom.Pt(140, 90))},
	} {
		sheets, err := pinned(t, "[[part]]\npart = \"3\"\n"+tt.answers+"\n", nil)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if len(sheets) != tt.sheets {
			t.Errorf("%s: %d sheets, want %d", tt.name, len(sheets), tt.sheets)
		}
		found := 0
		for i := range sheets {
			s := sheets[i].Repaired.After.Sheet
			for k := range s.Parts {
				p := &s.Parts[k]
				if math.Abs(p.Area-plate) > 60 { // tabs and numbers apart
					continue
				}
				found++
				if p.Box.Min.Dist(tt.want.Min) > 1e-6 || p.Box.Max.Dist(tt.want.Max) > 1e-6 {
					t.Errorf("%s: lies at %v, want %v", tt.name, p.Box, tt.want)
				}
				for n := range s.Parts {
					if n != k && s.Parts[n].Box.Overlaps(p.Box.Inflate(sheets[i].Repaired.Layout.Gap-1e-6)) &&
						!geom.BoxOf(p.Box.Min, p.Box.Max).Contains(s.Parts[n].Box.Min) {
						t.Errorf("%s: part %d lies at %v, too near to %v", tt.name, n, s.Parts[n].Box, p.Box)
					}
				}
			}
		}
		if found != 1 {
			t.Errorf("%s: the plate lies on %d sheets", tt.name, found)
		}
	}
}

// TestPinnedBadly: what cannot stay where it was put is not moved in silence.
func TestPinnedBadly(t *testing.T) {
	clamp := func(j *job.Job) { j.Clamp = []job.Clamp{{At: []float64{100, 100}, Size: []float64{50, 50}}} }
	for name, tt := range map[string]struct {
		answers, want string
		change        func(*job.Job)
	}{
		"margin":   {"[[part]]\npart = \"3\"\nat = \"2mm,50mm\"\n", "kit.answers.toml:1: part 3 cannot lie at 2, 50 mm on sheet 1: it lies beyond the margin", nil},
		"clamp":    {"[[part]]\npart = \"3\"\nat = \"90mm,90mm\"\n", "in a clamp zone", clamp},
		"no sheet": {"[[part]]\npart = \"3\"\nat = \"50mm,50mm\"\nsheet = 3\n", "there is no sheet 3", nil},
		"on another": {
			"[[part]]\npart = \"3\"\nat = \"50mm,50mm\"\n[[part]]\npart = \"2\"\nat = \"60mm,100mm\"\n",
			"it lies on part", nil,
		},
		"too near": {
			"[[part]]\npart = \"3\"\nat = \"50mm,50mm\"\n[[part]]\npart = \"2\"\nat = \"50mm,110.2mm\"\n",
			"nearer than parts may", nil,
		},
		"turned": {
			"[[part]]\npart = \"3\"\nat = \"50mm,50mm\"\nturn = 30\n",
			"may not be turned so", nil,
		},
	} {
		sheets, err := pinned(t, tt.answers, tt.change)
		if err == nil || !strings.Contains(err.Error(), tt.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v, want %s", name, err, tt.want)
		}
		if sheets != nil {
			t.Errorf("%s: sheets are written all the same", name)
		}
	}
}

// TestPinsOfOtherSheets: a part made once more does not go where the kit's is pinned.
func TestPinsOfOtherSheets(t *testing.T) {
	data := ways(slices.Concat(box(0, 0, 100, 60), box(0, 80, 150, 100)))["as drawn"]
	j := job.Default()
	j.Sheet.Size = []float64{400, 300}
	var err error
	if j.Answers, err = job.ParseAnswers([]byte("[[part]]\npart = \"1\"\nat = \"250mm,200mm\"\n"), "kit.answers.toml"); err != nil {
		t.Fatal(err)
	}
	sheets, err := mend.LayOut(t.Context(), "kit", bytes.NewReader(data), j, mend.Options{Options: lint.Options{Rules: rules.All()}},
		mend.LayoutOptions{Seconds: 0.01, Seed: 1, Parts: []mend.PartCount{{Part: "1", Count: 1}}})
	if err != nil || len(sheets) != 1 {
		t.Fatalf("%d sheets, %v", len(sheets), err)
	}
	parts := sheets[0].Repaired.After
	if n := len(parts.Sheet.Parts); n != 1 || parts.Sheet.Parts[0].Box.Min.X > 100 {
		t.Errorf("%d parts, the first at %v", n, parts.Sheet.Parts[0].Box)
	}
}
