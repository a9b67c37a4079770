package mend_test

import (
	"bytes"
	"testing"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
)

// TestTakenBackIsTriedAgain: a repair that was taken back, since a finding came of it
// while something else was still amiss, is made once that is mended.
func TestTakenBackIsTriedAgain(t *testing.T) {
	for _, tt := range []struct {
		name   string
		speck  bool // there is one, which the first repair must not meet
		always bool // the finding comes of the repair in any case
		raised int  // how often it is made
		undone int
	}{
		{"at once", false, false, 1, 0},
		{"once the speck is gone", true, false, 1, 0},
		{"never", true, true, 0, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var d geomtest.Drafter
			line := func(x0, y0, x1, y1 float64) { d.Piece(geom.Line(geom.Pt(x0, y0), geom.Pt(x1, y1)), 0) }
			line(0, 0, 100, 0)
			line(100, 0, 100, 80)
			line(100, 80, 0, 80)
			line(0, 80, 0, 0)
			if tt.speck {
				line(150, 0, 150.3, 0)
			}
			speck := func(p *lint.Pass) int32 {
				for i := range p.Drawing.Strokes {
					if p.Drawing.Strokes[i].Length() < 1 {
						return int32(i)
					}
				}
				return -1
			}
			top := func(p *lint.Pass) (low int32, at geom.Point) { // the corner at 100, 80 while it is not raised
				for i := range p.Drawing.Strokes {
					if s := &p.Drawing.Strokes[i]; s.Length() > 1 && (s.A == geom.Pt(100, 80) || s.B == geom.Pt(100, 80)) {
						return int32(i), geom.Pt(100, 80)
					}
				}
				return -1, geom.Point{}
			}
			edit := func(kind string, at geom.Point, ops ...fix.Op) []fix.Fix {
				return lint.OneFix(fix.Auto, fix.Edit{Kind: kind, Rule: kind, At: at, Note: kind, Ops: ops})
			}
			rules := []*lint.Rule{
				// Both ends at the corner move up a little: no more than a job allows.
				{ID: "raise", Severity: lint.Note, Repair: lint.Auto, Check: func(p *lint.Pass) {
					if k, at := top(p); k >= 0 {
						var ops []fix.Op
						for i := range p.Drawing.Strokes {
							switch s := &p.Drawing.Strokes[i]; at {
							case s.A:
								ops = append(ops, fix.Op{Kind: fix.MoveA, Stroke: int32(i), To: at.Add(geom.Pt(0, 0.01))})
							case s.B:
								ops = append(ops, fix.Op{Kind: fix.MoveB, Stroke: int32(i), To: at.Add(geom.Pt(0, 0.01))})
							}
						}
						p.Report(lint.Finding{At: at, Message: "low", Fixes: edit("close-gap", at, ops...)})
					}
				}},
				// A speck waits for what moves the corner.
				{ID: "speck", Severity: lint.Note, Repair: lint.Auto, Check: func(p *lint.Pass) {
					if s := speck(p); s >= 0 {
						op := fix.Op{Kind: fix.Drop, Stroke: s}
						if k, _ := top(p); k >= 0 {
							op.On = fix.Ends(k)
						}
						at := p.Drawing.Strokes[s].Mid()
						p.Report(lint.Finding{At: at, Message: "speck", Fixes: edit("drop-stray", at, op)})
					}
				}},
				{ID: "watch", Severity: lint.Warning, Check: func(p *lint.Pass) {
					if k, _ := top(p); k < 0 && (tt.always || speck(p) >= 0) {
						p.Report(lint.Finding{At: geom.Pt(100, 80), Message: "raised beside a speck"})
					}
				}},
			}
			j := job.Default()
			j.Labels.Parts, j.Tabs.Parts = "none", "none"
			rep, _, err := mend.Fix(t.Context(), "kit", bytes.NewReader(d.Bytes()), j, mend.Options{Options: lint.Options{Rules: rules}})
			if err != nil {
				t.Fatal(err)
			}
			raised := 0
			for _, e := range rep.Edits {
				if e.Kind == "close-gap" {
					raised++
				}
			}
			if raised != tt.raised || len(rep.Undone) != tt.undone {
				t.Errorf("raised %d times, taken back %d times; want %d and %d\n%+v", raised, len(rep.Undone), tt.raised, tt.undone, rep.Edits)
			}
		})
	}
}
