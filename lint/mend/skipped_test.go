package mend_test

import (
	"bytes"
	"strings"
	"testing"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
)

// TestSkippedIsTold: a repair that stands in the way of another waits; where it is
// not made later either, the report says so and why.
func TestSkippedIsTold(t *testing.T) {
	var d geomtest.Drafter
	line := func(x0, y0, x1, y1 float64) { d.Piece(geom.Line(geom.Pt(x0, y0), geom.Pt(x1, y1)), 0) }
	line(0, 0, 100, 0)
	line(100, 0, 100, 80)
	line(100, 80, 0, 80)
	line(0, 80, 0, 0)
	for _, x := range []float64{120, 140, 160} {
		line(x, 0, x+0.3, 0)
	}
	drop := func(specks ...int32) []fix.Op {
		var ops []fix.Op
		for _, s := range specks {
			ops = append(ops, fix.Op{Kind: fix.Drop, Stroke: s})
		}
		return ops
	}
	for _, tt := range []struct {
		name string
		// ops of the fix of the n-th of the specks that are left
		ops     func(specks []int32, n int) []fix.Op
		edits   int
		skipped string // in the note of each skipped edit, "" where there are none
		at      []geom.Point
	}{
		{"each its own", func(specks []int32, n int) []fix.Op { return drop(specks[n]) }, 3, "", nil},
		{"made in a later round", func(specks []int32, n int) []fix.Op { return drop(specks[:n+1]...) }, 3, "", nil},
		{"not made", func(specks []int32, n int) []fix.Op { return drop(specks...) }, 1,
			"skipped, since another repair has taken out or redrawn the same line: speck", []geom.Point{geom.Pt(140.15, 0), geom.Pt(160.15, 0)}},
		{"never possible", func(specks []int32, n int) []fix.Op { return drop(99) }, 0,
			"skipped, since it names a line that is not in the drawing: speck", []geom.Point{geom.Pt(120.15, 0), geom.Pt(140.15, 0), geom.Pt(160.15, 0)}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			rule := &lint.Rule{ID: "speck", Severity: lint.Warning, Repair: lint.Auto, Check: func(p *lint.Pass) {
				var specks []int32
				for i := range p.Drawing.Strokes {
					if p.Drawing.Strokes[i].Length() < 1 {
						specks = append(specks, int32(i))
					}
				}
				for n, s := range specks {
					at := p.Drawing.Strokes[s].Mid()
					p.Report(lint.Finding{At: at, Message: "a speck", Repair: lint.Auto, Fixes: lint.OneFix(fix.Auto, fix.Edit{
						Kind: "drop-stray", Rule: "speck", At: at, Note: "speck", Ops: tt.ops(specks, n),
					})})
				}
			}}
			o := mend.Options{Options: lint.Options{Rules: []*lint.Rule{rule}}}
			rep, _, err := mend.Fix(t.Context(), "specks", bytes.NewReader(d.Bytes()), job.Default(), o)
			if err != nil {
				t.Fatal(err)
			}
			drops := 0
			for _, e := range rep.Edits {
				if e.Kind == "drop-stray" {
					drops++
				}
			}
			if drops != tt.edits {
				t.Errorf("%d specks dropped, want %d: %+v", drops, tt.edits, rep.Edits)
			}
			if len(rep.Skipped) != len(tt.at) {
				t.Fatalf("skipped %+v, want those at %v", rep.Skipped, tt.at)
			}
			for i, e := range rep.Skipped {
				if e.At.Dist(tt.at[i]) > 1e-9 || !strings.Contains(e.Note, tt.skipped) {
					t.Errorf("skipped %+v, want %v: %s", e, tt.at[i], tt.skipped)
				}
			}
		})
	}
}
