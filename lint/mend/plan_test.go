package mend_test

import (
	"bytes"
	"context"
	"fmt"
	"testing"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// plate draws a plate of 60 by 40 with a small gap in its lower edge.
func plate() []byte {
	var d geomtest.Drafter
	pts := []geom.Point{{X: 0, Y: 0}, {X: 59.7, Y: 0}, {X: 60, Y: 0}, {X: 60, Y: 40}, {X: 0, Y: 40}, {X: 0, Y: 0}}
	for i := range len(pts) - 1 {
		if i != 1 {
			d.Piece(geom.Line(pts[i], pts[i+1]), 0)
		}
	}
	return d.Bytes()
}

// TestHarmfulRepairTakenBack adds a rule whose repair draws a line across the
// plate: it must be taken back and told, and all else repaired.
func TestHarmfulRepairTakenBack(t *testing.T) {
	harm := &lint.Rule{ID: "harm", Severity: lint.Warning, Repair: lint.Auto}
	harm.Check = func(p *lint.Pass) {
		if len(p.Drawing.Strokes) == 0 {
			return
		}
		st := p.Drawing.Strokes[0]
		st.Piece, st.Made = geom.Line(geom.Pt(-5, 20), geom.Pt(65, 25)), drawing.Edited
		p.Report(lint.Finding{
			At: geom.Pt(30, 20), Message: "harm",
			Fixes: lint.OneFix(fix.Auto, fix.Edit{Kind: "harm", Rule: "harm", At: geom.Pt(30, 20), Note: "a line across",
				Ops: []fix.Op{{Kind: fix.Add, With: []drawing.Stroke{st}}}}),
		})
	}
	rep, out, err := mend.Fix(context.Background(), "plate", bytes.NewReader(plate()), job.Default(),
		mend.Options{Options: lint.Options{Rules: append(rules.All(), harm)}})
	if err != nil {
		t.Fatal(err)
	}
	if len(rep.Undone) == 0 || rep.Undone[0].Kind != "harm" {
		t.Errorf("taken back: %+v", rep.Undone)
	}
	want, plain := repair(t, "plate", plate(), job.Default())
	if !bytes.Equal(out, plain) {
		t.Errorf("the drawing differs: %s", firstDifference(plain, out))
	}
	if len(rep.Edits) != len(want.Edits) {
		t.Errorf("%d edits, want %d", len(rep.Edits), len(want.Edits))
	}
}

// TestOnly makes only the edits of the kinds asked for.
func TestOnly(t *testing.T) {
	f := flawedKit(3)
	for _, kinds := range [][]string{{"close-gap"}, {"tab"}, {"label"}, {"drop-duplicate", "drop-stray"}} {
		rep, out := repairWith(t, "kit", f.DXF, job.Default(), mend.Options{Only: kinds})
		if len(rep.Edits) == 0 {
			t.Errorf("%v: no edits", kinds)
		}
		for _, e := range rep.Edits {
			ok := false
			for _, k := range kinds {
				ok = ok || k == e.Kind
			}
			if !ok {
				t.Errorf("%v: %s", kinds, e.Kind)
			}
		}
		again, out2 := repairWith(t, "kit", out, job.Default(), mend.Options{Only: kinds})
		if !bytes.Equal(out, out2) || len(again.Edits) > 0 {
			t.Errorf("%v: a second run changes it", kinds)
		}
	}
}

// TestChoices asks for every choice on the demo and kits: the drawing must come to
// rest, and no slot narrower than the kerf may be left where slots are etched or
// widened.
func TestChoices(t *testing.T) {
	inputs := [][]byte{readFile(t, fixtures+"/harbour-crane.dxf"), flawedKit(1).DXF, flawedKit(2).DXF}
	for _, how := range []string{"widen", "etch"} {
		j := job.Default()
		j.Repair = job.Repair{LooseMarks: "etch", NarrowSlot: how, SmallHole: "etch", LiveText: "etch", DenseCurve: "refit"}
		for i, data := range inputs {
			rep, out := repair(t, how, data, j)
			before := 0
			for _, f := range rep.Before.Findings {
				if f.Rule == "narrow-slot" {
					before++
				}
			}
			for _, f := range rep.Left {
				// A widened slot is still too narrow to pierce with ease: that is
				// told, but a slot is not drilled.
				slot := max(f.Box.W(), f.Box.H()) > 2*min(f.Box.W(), f.Box.H())
				if f.Rule == "narrow-slot" || f.Rule == "small-hole" && !slot {
					t.Errorf("%s, input %d: left %s at %v: %s", how, i, f.Rule, f.At, f.Message)
				}
			}
			n := 0
			for _, e := range rep.Edits {
				if e.Kind == how+"-slot" {
					n++
				}
			}
			if n != before || i == 0 && n == 0 {
				t.Errorf("%s, input %d: %d slots told, %d edits", how, i, before, n)
			}
			again, out2 := repair(t, how, out, j)
			if !bytes.Equal(out, out2) || len(again.Edits) > 0 {
				t.Errorf("%s, input %d: a second run changes it: %s", how, i, firstDifference(out, out2))
			}
		}
	}
}

// TestCorners opens the corners of joints of the clean demo and of kits: no new
// finding may come of it, and a second run must change nothing.
func TestCorners(t *testing.T) {
	for _, shape := range []string{"dogbone", "tee"} {
		j := job.Default()
		j.Fit.Corner = shape
		total := 0
		for i, data := range [][]byte{readFile(t, fixtures+"/harbour-crane-clean.dxf"), flawedKit(4).Clean, flawedKit(8).Clean, flawedKit(9).Clean} {
			plain, _ := repair(t, shape, data, job.Default())
			rep, out := repair(t, shape, data, j)
			for _, e := range rep.Edits {
				if e.Kind == "relieve-corner" {
					total++
				}
			}
			for _, u := range rep.Undone {
				t.Errorf("%s, input %d: taken back %+v", shape, i, u)
			}
			told := map[string]int{}
			for _, f := range plain.Left {
				told[f.Rule]++
			}
			for _, f := range rep.Left {
				if told[f.Rule]--; told[f.Rule] < 0 {
					t.Errorf("%s, input %d: new %s at %v: %s", shape, i, f.Rule, f.At, f.Message)
				}
			}
			if a, b := len(plain.After.Sheet.Outlines), len(rep.After.Sheet.Outlines); a != b {
				t.Errorf("%s, input %d: %d outlines, want %d", shape, i, b, a)
			}
			again, out2 := repair(t, shape, out, j)
			if !bytes.Equal(out, out2) || len(again.Edits) > 0 {
				t.Errorf("%s, input %d: a second run changes it: %d edits; %s", shape, i, len(again.Edits), firstDifference(out, out2))
			}
		}
		t.Logf("%s: %d corners opened", shape, total)
		if total < 50 {
			t.Errorf("%s: only %d corners opened", shape, total)
		}
	}
}

// TestLabelTemplate etches more than the number, on the back: parts keep their
// names, and a second run changes nothing.
func TestLabelTemplate(t *testing.T) {
	j := job.Default()
	j.Labels.Text, j.Labels.Face = "{number}/{count} {name}", "back"
	data := flawedKit(5).DXF
	plain, _ := repair(t, "kit", data, job.Default())
	rep, out := repair(t, "kit", data, j)
	if len(rep.Labels) != len(plain.Labels) {
		t.Fatalf("%d numbers, want %d", len(rep.Labels), len(plain.Labels))
	}
	count := map[string]int{}
	for _, l := range rep.Labels {
		count[l.Part]++
	}
	for _, l := range rep.Labels {
		if want := fmt.Sprintf("%s/%d PARTS", l.Part, count[l.Part]); l.Text != want {
			t.Errorf("part %s reads %q, want %q", l.Part, l.Text, want)
		}
	}
	again, out2 := repair(t, "kit", out, j)
	if !bytes.Equal(out, out2) || len(again.Edits) > 0 {
		t.Errorf("a second run changes it: %s", firstDifference(out, out2))
	}
}

// TestAwkward repairs drawings on which simple methods choke: a second run must
// change nothing.
func TestAwkward(t *testing.T) {
	for _, a := range geomtest.Awkwards(24) {
		var d geomtest.Drafter
		for _, p := range a.Pieces {
			d.Piece(p, 0)
		}
		j := job.Default()
		j.Repair = job.Repair{LooseMarks: "etch", NarrowSlot: "widen", SmallHole: "etch", LiveText: "etch", DenseCurve: "refit"}
		_, out := repair(t, a.Name, d.Bytes(), j)
		again, out2 := repair(t, a.Name, out, j)
		if !bytes.Equal(out, out2) || len(again.Edits) > 0 {
			t.Errorf("%s: a second run changes it: %d edits, %s", a.Name, len(again.Edits), firstDifference(out, out2))
		}
	}
}
