package mend

import (
	"bytes"
	"io"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/rules"
)

// TestRemnant: of the parts of a remnant's drawing the largest is the stock, with
// its holes, and its lower left corner becomes 0,0.
func TestRemnant(t *testing.T) {
	rect := func(d *geomtest.Drafter, x, y, w, h float64) {
		c := [4]geom.Point{geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h)}
		for i := range c {
			d.Piece(geom.Line(c[i], c[(i+1)%4]), 0)
		}
	}
	var d, none geomtest.Drafter
	rect(&d, 0, 0, 400, 20) // longer, and much slimmer
	rect(&d, 50, 100, 300, 200)
	rect(&d, 120, 150, 60, 40)
	rect(&d, 500, 0, 20, 400)
	none.Piece(geom.Line(geom.Pt(0, 0), geom.Pt(100, 0)), 0)
	j := job.Default()
	o := Options{Options: lint.Options{Rules: rules.All()}}
	open := func(data []byte) func(string) (io.ReadCloser, error) {
		return func(string) (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil }
	}
	j.Layout.Remnant = "rest.dxf"
	rack, err := rackOf(t.Context(), j, 0, o, open(d.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	s := &rack[0]
	if s.Width != 300 || s.Height != 200 || s.Count != 1 || len(s.Holes) != 1 {
		t.Fatalf("stock of %g x %g mm, %d of it, %d holes", s.Width, s.Height, s.Count, len(s.Holes))
	}
	if b := s.Outline.Box(); b.Min.Dist(geom.Point{}) > 1e-9 || b.Max.Dist(geom.Pt(300, 200)) > 1e-9 {
		t.Errorf("it lies at %v", b)
	}
	if b := s.Holes[0].Box(); b.Min.Dist(geom.Pt(70, 50)) > 1e-9 || b.Max.Dist(geom.Pt(130, 90)) > 1e-9 {
		t.Errorf("its hole lies at %v", b)
	}
	if _, err := rackOf(t.Context(), j, 0, o, open(none.Bytes())); err == nil {
		t.Error("a remnant without an outline is taken")
	}
}
