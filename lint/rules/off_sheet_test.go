package rules

import (
	"math"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
)

// A part is told once, with the zone: where its material lies below the clamp,
// where only the cut beside it would, and where a hole is cut there; not beside it
// by a kerf, nor where the zone lies in a wide hole. With the origin at the drawing
// the zones go by the drawing.
func TestOffSheetClamps(t *testing.T) {
	at := func(x, y, w, h float64) job.Clamp { return job.Clamp{At: []float64{x, y}, Size: []float64{w, h}} }
	far := func(d *drawing.Drawing) *drawing.Drawing {
		for i := range d.Strokes {
			d.Strokes[i].Piece = d.Strokes[i].Piece.Transform(geom.Shift(geom.Pt(1000, 500)))
		}
		return d
	}
	for _, tt := range []struct {
		name  string
		d     *drawing.Drawing
		clamp []job.Clamp
		from  string // origin of the sheet
		into  float64
		says  string
	}{
		{"over a corner", far(sheetOf(60)), []job.Clamp{at(1020, 520, 50, 50)}, "zero", 11, "clamp zone 1, at 1020, 520"},
		{"within its material", far(sheetOf(60)), []job.Clamp{at(0, 0, 5, 5), at(995, 495, 10, 10)}, "zero", 36, "clamp zone 2"},
		{"the part within it", far(sheetOf(60)), []job.Clamp{at(900, 400, 200, 200)}, "zero", 131, "clamp zone 1"},
		{"nearer than a kerf", far(sheetOf(60)), []job.Clamp{at(1030.6, 480, 50, 50)}, "zero", 0.4, "clamp zone 1"},
		{"a kerf beside it", far(sheetOf(60)), []job.Clamp{at(1031, 480, 50, 50)}, "zero", 0, ""},
		{"in a wide hole", far(sheetOf(60, 20)), []job.Clamp{at(990, 490, 20, 20)}, "zero", 0, ""},
		{"over the edge of a hole", far(sheetOf(60, 10)), []job.Clamp{at(995, 495, 20, 20)}, "zero", 36, "clamp zone 1"},
		{"from the drawing's corner", far(sheetOf(60)), []job.Clamp{at(0, 0, 20, 20)}, "drawing", 11, "clamp zone 1, at 0, 0"},
		{"not from its own", far(sheetOf(60)), []job.Clamp{at(0, 0, 20, 20)}, "zero", 0, ""},
	} {
		j := job.Default()
		j.Clamp, j.Sheet.Origin = tt.clamp, tt.from
		res, err := lint.Judge(t.Context(), "x", tt.d, j, lint.Options{Rules: []*lint.Rule{offSheet}})
		if err != nil {
			t.Fatal(err)
		}
		if tt.says == "" {
			if len(res.Findings) > 0 {
				t.Errorf("%s: %+v", tt.name, res.Findings)
			}
			continue
		}
		if len(res.Findings) != 1 || !strings.Contains(res.Findings[0].Message, tt.says) || math.Abs(res.Findings[0].Measure.Value-tt.into) > 1e-6 {
			t.Errorf("%s: %+v, want %g mm", tt.name, res.Findings, tt.into)
		}
	}

	// A part both off the sheet and below a clamp is told once, with both.
	j := job.Default()
	j.Clamp, j.Sheet.Size = []job.Clamp{at(0, 0, 20, 20)}, []float64{70, 70}
	res, err := lint.Judge(t.Context(), "x", sheetOf(60), j, lint.Options{Rules: []*lint.Rule{offSheet}})
	if err != nil || len(res.Findings) != 1 || !strings.Contains(res.Findings[0].Message, "larger than the usable sheet, 50 x 50 mm, and lies in clamp zone 1") {
		t.Errorf("%v, %+v", err, res.Findings)
	}
}
