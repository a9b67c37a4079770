package mend_test

import (
	"bytes"
	"math"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// slotted is a plate with a slot whose upper corners have circles for relief
// through them, as they are put by hand: each runs through the corner and crosses
// the long side, and a circle's drawn start lies on the corner of one unless the
// drawing is turned.
func slotted(turn float64) []byte {
	lay := geom.Turn(geom.Pt(10, 20), turn)
	var d geomtest.Drafter
	for _, r := range [][4]float64{{0, 0, 120, 60}, {12, 20, 24, 24}} {
		c := []geom.Point{geom.Pt(r[0], r[1]), geom.Pt(r[2], r[1]), geom.Pt(r[2], r[3]), geom.Pt(r[0], r[3])}
		for i := range c {
			d.Piece(geom.Line(lay.Apply(c[i]), lay.Apply(c[(i+1)%4])), 0)
		}
	}
	d.Piece(geom.Circle(lay.Apply(geom.Pt(23.25, 24)), 0.75), 0)
	d.Piece(geom.Circle(lay.Apply(geom.Pt(12.75, 24)), 0.75), 0)
	return d.Bytes()
}

// TestReliefCircles spreads a plate whose slot has circles through its corners:
// they are one tangled hole however it lies, none of it moves, and nothing is
// written that was not drawn.
func TestReliefCircles(t *testing.T) {
	for _, turn := range []float64{0, 0.5, math.Pi / 2, math.Pi} {
		data := slotted(turn)
		o := mend.Options{Options: lint.Options{Rules: rules.All()}, Spread: true}
		rep, out, err := mend.Fix(t.Context(), "slotted", bytes.NewReader(data), job.Default(), o)
		if err != nil {
			t.Fatalf("turned by %.2f: %v", turn, err)
		}
		if p, c := len(rep.After.Sheet.Parts), count(rep.Left, "crossing-outlines"); p != 1 || c < 2 {
			// Whether a circle crosses at the corner, where it touches the short side, is open.
			t.Errorf("turned by %.2f: %d parts and %d crossings, want 1 and 2 or more", turn, p, c)
		}
		if l, i := uncovered(t, data, out); l > allowance(rep) || i > allowance(rep) {
			t.Errorf("turned by %.2f: %.3g mm lost, %.3g invented", turn, l, i)
		}
	}
}

// TestSpreadLeavesTangles spreads two rectangles, one of them crossed by a circle
// through one of its corners: which outline is meant must be settled first, so
// that one stays and is no copy.
func TestSpreadLeavesTangles(t *testing.T) {
	var d geomtest.Drafter
	rectangle(&d, 0, 0, 60, 40)
	rectangle(&d, 61, 0, 120, 40)
	d.Piece(geom.Circle(geom.Pt(52, 40), 8), 0)
	data := d.Bytes()
	o := mend.Options{Options: lint.Options{Rules: rules.All()}, Spread: true}
	rep, out, err := mend.Fix(t.Context(), "crossed", bytes.NewReader(data), job.Default(), o)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(rep.After.Sheet.Parts); n != 2 {
		t.Errorf("%d parts, want 2", n)
	}
	length := func(data []byte) (sum float64) {
		for layer, ps := range pieces(t, data) {
			for i := range ps {
				if layer != lint.LayerEtch {
					sum += ps[i].Length()
				}
			}
		}
		return sum
	}
	if was, is := length(data), length(out); math.Abs(was-is) > 0.1 {
		t.Errorf("%.2f mm written of %.2f drawn", is, was)
	}
}
