package mend

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

func TestJoinPieces(t *testing.T) {
	pt := geom.Pt
	arc := func(start, sweep float64) geom.Piece { return geom.Arc(pt(0, 0), 10, start, sweep) }
	for _, tt := range []struct {
		name string
		p, q geom.Piece
		want float64 // length of the one piece, 0: they stay two
	}{
		{"lines that go on", geom.Line(pt(0, 0), pt(10, 0)), geom.Line(pt(10, 0), pt(15, 0)), 15},
		{"a corner", geom.Line(pt(0, 0), pt(10, 0)), geom.Line(pt(10, 0), pt(10, 5)), 0},
		{"a bend of a hair", geom.Line(pt(0, 0), pt(10, 0)), geom.Line(pt(10, 0), pt(20, 0.001)), 0},
		{"back on itself, short", geom.Line(pt(0, 0), pt(10, 0)), geom.Line(pt(10, 0), pt(6, 0)), 0},
		{"back on itself, past the start", geom.Line(pt(0, 0), pt(10, 0)), geom.Line(pt(10, 0), pt(-6, 0)), 0},
		{"arcs that go on", arc(0, 1), arc(1, 0.5), 15},
		{"arcs the other way", arc(0, -1), arc(-1, -0.5), 15},
		{"back on its circle", arc(0, 1), arc(1, -0.5), 0},
		{"of another circle", arc(0, 1), geom.Arc(pt(0, 0.01), 10, 1, 0.5), 0},
		{"once round", arc(0, math.Pi), arc(math.Pi, math.Pi), 20 * math.Pi},
		{"line and arc", geom.Line(pt(10, -5), pt(10, 0)), arc(0, 1), 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, ok := joinPieces(tt.p, tt.q)
			if ok != (tt.want > 0) {
				t.Fatalf("joined: %v", ok)
			}
			if ok && (math.Abs(got.Length()-tt.want) > 1e-9 || got.A.Dist(tt.p.A) > 1e-9 || got.B.Dist(tt.q.B) > 1e-9) {
				t.Errorf("joined to %+v, want a length of %g", got, tt.want)
			}
		})
	}
}

// TestSettled: however a path was walked, it is written one way.
func TestSettled(t *testing.T) {
	pt := geom.Pt
	for name, p := range map[string]geom.Path{
		"line":        {geom.Line(pt(0, 0), pt(3, 4))},
		"level line":  {geom.Line(pt(0, 0), pt(3, 0))},
		"arc":         {geom.Arc(pt(0, 0), 5, 1, 2)},
		"open":        {geom.Line(pt(0, 0), pt(3, 4)), geom.Line(pt(3, 4), pt(9, 9)), geom.Line(pt(9, 9), pt(9, 0))},
		"open, level": {geom.Line(pt(0, 0), pt(3, 4)), geom.Line(pt(3, 4), pt(9, 0))},
		"ring":        {geom.Line(pt(0, 0), pt(3, 4)), geom.Line(pt(3, 4), pt(9, 0)), geom.Line(pt(9, 0), pt(0, 0))},
	} {
		want := settled(p)
		if diff := cmp.Diff(want, settled(want)); diff != "" {
			t.Errorf("%s: settled twice it differs:\n%s", name, diff)
		}
		if diff := cmp.Diff(want, settled(p.Reverse())); diff != "" {
			t.Errorf("%s: backwards it differs:\n%s", name, diff)
		}
		if first := want[0].A; name == "ring" {
			if first != pt(3, 4) {
				t.Errorf("a ring starts at %v", first)
			}
			for k := range p {
				if diff := cmp.Diff(want, settled(append(append(geom.Path{}, p[k:]...), p[:k]...))); diff != "" {
					t.Errorf("from piece %d on it differs:\n%s", k, diff)
				}
			}
		}
	}
	if len(settled(nil)) != 0 {
		t.Error("nothing becomes something")
	}
}
