package mend_test

import (
	"math"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint/job"
)

// TestSymmetryAndCorners repairs outlines that are symmetric about x = 0: a leaf of
// two splines with a corner at each tip, a closed spline, an ellipse and a fan of
// dense arcs. They must stay symmetric to a hundredth of the curve tolerance, and
// the corners must stay where they are.
func TestSymmetryAndCorners(t *testing.T) {
	mirror := func(p geom.Point) geom.Point { return geom.Pt(-p.X, p.Y) }
	var d geomtest.Drafter
	right := []geom.Point{{X: 0, Y: 0}, {X: 25, Y: 8}, {X: 31, Y: 30}, {X: 12, Y: 44}, {X: 18, Y: 70}, {X: 0, Y: 80}}
	left := make([]geom.Point, len(right))
	for i := range right {
		left[i] = mirror(right[i])
	}
	d.Spline(right...)
	d.Spline(left...)
	// One spline from the bottom round to the bottom again, flat there.
	d.Spline(geom.Pt(0, -60), geom.Pt(20, -60), geom.Pt(34, -50), geom.Pt(28, -22), geom.Pt(9, -14),
		geom.Pt(-9, -14), geom.Pt(-28, -22), geom.Pt(-34, -50), geom.Pt(-20, -60), geom.Pt(0, -60))
	d.Ellipse(geom.Pt(0, -100), geom.Pt(30, 0), 0.4)
	// A lens of two arcs in 40 lines each, with corners at its tips.
	up := geom.Bulge(geom.Pt(30, -150), geom.Pt(-30, -150), 0.3)
	down := geom.Bulge(geom.Pt(-30, -150), geom.Pt(30, -150), 0.2)
	for _, a := range []geom.Piece{up, down} {
		for k := range 40 {
			d.Piece(geom.Line(a.At(float64(k)/40), a.At(float64(k+1)/40)), 0)
		}
	}
	j := job.Default()
	j.Tabs.Parts, j.Labels.Parts = "none", "none"
	rep, _ := repair(t, "symmetric", d.Bytes(), j)
	s := rep.After.Sheet
	if len(s.Outlines) != 4 {
		t.Fatalf("%d outlines", len(s.Outlines))
	}
	for i := range s.Outlines {
		o := &s.Outlines[i]
		if len(o.Pieces) > 60 {
			t.Errorf("outline at %v has %d pieces", o.Centroid, len(o.Pieces))
		}
		all := field(o.Pieces)
		worst := 0.0
		for _, p := range o.Pieces {
			for k := range 20 {
				worst = max(worst, all.gap(mirror(p.At(float64(k)/20))))
			}
		}
		if worst > j.Limits.Curve/100 {
			t.Errorf("outline at %v: %.5f mm from its own mirror image", o.Centroid, worst)
		}
		t.Logf("outline at y = %.0f: %d pieces, %.2g mm from its mirror image", o.Centroid.Y, len(o.Pieces), worst)
	}
	for _, tip := range []geom.Point{{X: 0, Y: 0}, {X: 0, Y: 80}, {X: 30, Y: -150}, {X: -30, Y: -150}} {
		corner := false
		for i := range s.Outlines {
			ps := s.Outlines[i].Pieces
			for k := range ps {
				q := &ps[(k+1)%len(ps)]
				turn := math.Abs(geom.TurnTo(ps[k].TangentAt(1), q.TangentAt(0)))
				corner = corner || q.A.Dist(tip) < 1e-6 && turn > 0.3
			}
		}
		if !corner {
			t.Errorf("no corner at %v", tip)
		}
	}
	was, now, far := 0, 0, 0.0
	for _, e := range rep.Edits {
		was, now, far = was+e.Was, now+e.Now, max(far, e.Moved)
	}
	if was != 4+80 || now < 6 || far > j.Limits.Curve {
		t.Errorf("%d curves and lines put as %d, %.4f mm off", was, now, far)
	}
}
