package repair

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// TestDrillMarkDropsOnce: a hole whose path begins in the middle of a line, where
// another touches it, loses each of its lines once.
func TestDrillMarkDropsOnce(t *testing.T) {
	c := [4]geom.Point{geom.Pt(0, 0), geom.Pt(1, 0), geom.Pt(1, 1), geom.Pt(0, 1)}
	d := &drawing.Drawing{Layers: []drawing.Layer{{Name: EtchLayer}}}
	var hole outline.Path
	for i := range c {
		d.Strokes = append(d.Strokes, drawing.Stroke{Piece: geom.Line(c[i], c[(i+1)%4])})
	}
	first := d.Strokes[0].Piece
	hole.Pieces = geom.Path{first.Sub(0.5, 1), d.Strokes[1].Piece, d.Strokes[2].Piece, d.Strokes[3].Piece, first.Sub(0, 0.5)}
	hole.Src = []int32{0, 1, 2, 3, 0}
	e := DrillMark(d, &hole, geom.Pt(0.5, 0.5), 3)
	out, _, skipped := fix.Apply(d, []fix.Fix{{Edits: []fix.Edit{e}}})
	if len(skipped) > 0 {
		t.Fatalf("skipped, since %s", skipped[0].Why)
	}
	var got []geom.Piece
	for i := range out.Strokes {
		got = append(got, out.Strokes[i].Piece)
	}
	want := []geom.Piece{geom.Line(geom.Pt(-1, 0.5), geom.Pt(2, 0.5)), geom.Line(geom.Pt(0.5, -1), geom.Pt(0.5, 2))}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
