package compare

import (
	"os"
	"testing"

	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
)

func judged(t *testing.T, path string, change func(*drawing.Drawing)) *lint.Result {
	t.Helper()
	f, err := os.Open("../../" + path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := lint.Check(t.Context(), path, f, job.Default(), lint.Options{})
	if r.Err != nil || change == nil {
		return r
	}
	change(r.Drawing)
	if r, err = lint.Judge(t.Context(), path, r.Drawing, r.Job, lint.Options{}); err != nil {
		t.Fatal(err)
	}
	return r
}

// A layer frozen on one side is left out on both and told; parts keep their names
// though the drawing is judged anew without it.
func TestHiddenLayerIsLeftOut(t *testing.T) {
	const path = "fixtures/harbour-crane-clean.dxf"
	whole := judged(t, path, nil)
	if d := Drawings(whole, whole, 0.02); !d.Same || d.Uncompared() || len(d.Before.Names) != len(whole.Sheet.Parts) {
		t.Fatalf("a drawing differs from itself: %+v", d.Count)
	}
	// Of half of the parts the layer is frozen: those are not compared.
	hide := func(d *drawing.Drawing) {
		d.Layers = append(d.Layers, drawing.Layer{Name: "HALF", Frozen: true})
		layer := int32(len(d.Layers) - 1)
		var kept []drawing.Stroke
		for _, s := range d.Strokes {
			if s.A.X < 300 {
				kept = append(kept, s)
				continue
			}
			if d.Entities[s.Entity].Kept {
				d.Entities[s.Entity].Kept = false
				d.Notices = append(d.Notices, drawing.Notice{Kind: drawing.Hidden, Entity: s.Entity, Layer: layer})
			}
		}
		d.Strokes = kept
	}
	show := func(d *drawing.Drawing) {
		d.Layers = append(d.Layers, drawing.Layer{Name: "half"}) // by name in any case
		for i := range d.Strokes {
			if d.Strokes[i].A.X >= 300 {
				d.Strokes[i].Layer = int32(len(d.Layers) - 1)
			}
		}
	}
	shown, hidden := judged(t, path, show), judged(t, path, hide)
	for _, d := range []struct{ before, after *lint.Result }{{shown, hidden}, {hidden, shown}} {
		got := Drawings(d.before, d.after, 0.02)
		if n := len(got.Before.Hidden) + len(got.After.Hidden); n != 1 || !got.Uncompared() || got.Count.Changed() != 0 {
			t.Errorf("%d layers hidden, %+v", n, got.Count)
		}
		for _, side := range [][]string{got.Before.Names, got.After.Names} {
			for _, n := range side {
				if n == "" {
					t.Error("a part has lost its name")
				}
			}
		}
	}
}
