package mend

import (
	"bytes"
	"io"
	"math"
	"testing"

	"sluice/fix/layout"
	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/rules"
)

func at(x, y, w, h float64) geom.Box { return geom.Box{Min: geom.Pt(x, y), Max: geom.Pt(x+w, y+h)} }

// What is left of a sheet is the largest rectangle free of parts, or an L where that is a
// good deal more; nothing where no side is wide enough for its margins.
func TestOffcut(t *testing.T) {
	for name, c := range map[string]struct {
		parts []geom.Box
		shape geom.Path // of the stock; nil: all of it
		want  geom.Box  // around what is kept
		area  float64
		bends int // corners
	}{
		"nothing cut":   {nil, nil, at(0, 0, 1000, 500), 500_000, 4},
		"a strip":       {[]geom.Box{at(10, 10, 385, 480)}, nil, at(400, 0, 600, 500), 300_000, 4},
		"above a row":   {[]geom.Box{at(10, 10, 980, 85)}, nil, at(0, 100, 1000, 400), 400_000, 4},
		"one corner":    {[]geom.Box{at(10, 10, 485, 285)}, nil, at(0, 0, 1000, 500), 500_000 - 500*300, 6},
		"other corner":  {[]geom.Box{at(505, 10, 485, 285)}, nil, at(0, 0, 1000, 500), 500_000 - 500*300, 6},
		"upper corner":  {[]geom.Box{at(10, 205, 485, 285)}, nil, at(0, 0, 1000, 500), 500_000 - 500*300, 6},
		"full":          {[]geom.Box{at(10, 10, 980, 480)}, nil, geom.NoBox(), 0, 0},
		"thin rest":     {[]geom.Box{at(10, 10, 930, 480)}, nil, geom.NoBox(), 0, 0},
		"in the middle": {[]geom.Box{at(305, 5, 190, 490)}, nil, at(500, 0, 500, 500), 250_000, 4},
		"stock that is an L": {[]geom.Box{at(10, 10, 285, 85)}, polygon(geom.Pt(0, 0), geom.Pt(1000, 0), geom.Pt(1000, 200), geom.Pt(600, 200), geom.Pt(600, 500), geom.Pt(0, 500)),
			at(0, 100, 600, 400), 240_000, 4},
	} {
		l := laidOn{Laid: &layout.Laid{}, boxes: c.parts}
		l.piece.Width, l.piece.Height, l.piece.Margin, l.piece.Outline = 1000, 500, 10, c.shape
		got := l.offcut(5)
		if got == nil {
			if c.bends > 0 {
				t.Errorf("%s: nothing is kept", name)
			}
			continue
		}
		b := got.Outline.Box()
		if b.Min.Dist(c.want.Min) > 1e-6 || b.Max.Dist(c.want.Max) > 1e-6 || math.Abs(got.Area-c.area) > 1e-6 || len(got.Outline) != c.bends ||
			math.Abs(got.Outline.Area()-c.area) > 1e-6 {
			t.Errorf("%s: %v of %g mm2 (%g), %d corners", name, b, got.Area, got.Outline.Area(), len(got.Outline))
		}
	}
}

// An offcut that was written is stock of its thickness and material again.
func TestOffcutIsStock(t *testing.T) {
	l := &lint.LaidSheet{Stock: lint.Stock{Material: "aluminium 5052", Thickness: 4.7625, Width: 1000, Height: 500}}
	l.Offcut = &lint.Offcut{Outline: polygon(geom.Pt(100, 200), geom.Pt(700, 200), geom.Pt(700, 500), geom.Pt(100, 500))}
	data, err := OffcutDrawing(l, "kit.dxf", "2026-01-02")
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"offcut: aluminium 5052, 4.7625 mm thick", "600 x 300 mm", "left of kit.dxf", "cut on 2026-01-02"} {
		if !bytes.Contains(data, []byte(want)) {
			t.Errorf("%q is missing", want)
		}
	}
	j := job.Default()
	j.Sheet.Thickness, j.Sheet.Material, j.Sheet.Size = 4.76, "5052", []float64{2000, 1000}
	j.Stock = []job.Stock{
		{Name: "dear", Size: []float64{900, 900}, Count: 2, Price: 900, Thickness: 4.76},
		{Name: "thin", Size: []float64{900, 900}, Count: 1, Thickness: 3},
		{Name: "steel", Size: []float64{900, 900}, Count: 1, Material: "mild steel"},
		{File: "rest.dxf", Count: 1, Price: 5, Margin: 3},
	}
	j.Cost.SheetPrice = 100
	rack, err := rackOf(t.Context(), j, 0, Options{Options: lint.Options{Rules: rules.All()}}, func(string) (io.ReadCloser, error) {
		return io.NopCloser(bytes.NewReader(data)), nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(rack) != 3 || rack[0].told.Name != "rest.dxf" || rack[1].Width != 2000 || rack[2].told.Name != "dear" || rack[2].Count != 2 {
		t.Fatalf("the rack is %+v", rack)
	}
	if r := rack[0]; r.Width != 600 || r.Height != 300 || r.Outline != nil || r.told.Thickness != 4.7625 || r.Margin != 3 {
		t.Errorf("the offcut is read as %+v", r)
	}
}
