package mend

import (
	"bytes"
	"io"
	"testing"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/rules"
)

// An offcut that was written is stock of its thickness and material again.
func TestOffcutIsStock(t *testing.T) {
	l := &lint.LaidSheet{Stock: lint.Stock{Material: "aluminium 5052", Thickness: 4.7625, Width: 1000, Height: 500}}
	l.Offcut = &lint.Offcut{Outline: geom.Path{
		geom.Line(geom.Pt(100, 200), geom.Pt(700, 200)), geom.Line(geom.Pt(700, 200), geom.Pt(700, 500)),
		geom.Line(geom.Pt(700, 500), geom.Pt(100, 500)), geom.Line(geom.Pt(100, 500), geom.Pt(100, 200)),
	}}
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
