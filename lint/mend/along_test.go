package mend_test

import (
	"bytes"
	"math"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint/job"
)

// TestChordsBesideTheirArc repairs a plate with a round corner that is drawn as an
// arc and again as chords so fine that they lie on it but for rounding: they are
// not cut a second time untold.
func TestChordsBesideTheirArc(t *testing.T) {
	const n, r = 200, 8
	c := geom.Pt(72, 42)
	at := func(i int) geom.Point {
		p := geom.Polar(c, r, math.Pi/2*float64(i)/n)
		return geom.Pt(math.Round(p.X*1e3)/1e3, math.Round(p.Y*1e3)/1e3)
	}
	var d geomtest.Drafter
	for _, l := range [][4]float64{{0, 0, 80, 0}, {80, 0, 80, 42}, {72, 50, 0, 50}, {0, 50, 0, 0}} {
		d.Piece(geom.Line(geom.Pt(l[0], l[1]), geom.Pt(l[2], l[3])), 0)
	}
	d.Piece(geom.Arc(c, r, 0, math.Pi/2), 0)
	for i := range n {
		d.Piece(geom.Line(at(i), at(i+1)), 0)
	}
	rep, out := repair(t, "chords", d.Bytes(), job.Default())
	length := 0.0
	for layer, ps := range pieces(t, out) {
		for i := range ps {
			if layer == "OUTSIDE" || layer == "INSIDE" {
				length += ps[i].Length()
			}
		}
	}
	told := count(rep.Left, "loose-mark", "duplicate-segment") > 0 || len(rep.Edits) > n/2
	if want := 80 + 42 + 72 + 50 + math.Pi/2*r; length > want+1 && !told {
		t.Errorf("%.2f mm is cut of an outline of %.2f mm, untold", length, want)
	}
	if _, again := repair(t, "chords", out, job.Default()); !bytes.Equal(out, again) {
		t.Errorf("a second repair changes it: %s", firstDifference(out, again))
	}
}
