package outline

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

func TestNumber(t *testing.T) {
	bracket := func(tr geom.Transform) []geom.Piece {
		p := geom.Path{
			geom.Line(geom.Pt(0, 0), geom.Pt(20, 0)), geom.Line(geom.Pt(20, 0), geom.Pt(20, 5)),
			geom.Bulge(geom.Pt(20, 5), geom.Pt(5, 12), 0.3), geom.Line(geom.Pt(5, 12), geom.Pt(0, 12)), geom.Line(geom.Pt(0, 12), geom.Pt(0, 0)),
		}
		return p.Transform(tr)
	}
	s := new(sketch)
	s.add(bracket(geom.Identity())...)
	s.add(bracket(geom.Turn(geom.Pt(0, 0), 1.1).Then(geom.Shift(geom.Pt(60, 0))))...)
	s.add(bracket(geom.MirrorX(0).Then(geom.Shift(geom.Pt(120, 0))))...)
	// The same bracket with a piece split in two and an arc split in two.
	split := bracket(geom.Shift(geom.Pt(160, 0)))
	s.add(split[0].Sub(0, 0.3), split[0].Sub(0.3, 1), split[1], split[2].Sub(0, 0.5), split[2].Sub(0.5, 1), split[3], split[4])
	// Discs: alike but for the place of a hole.
	s.circle(200, 10, 8).circle(205, 10, 1)
	s.circle(230, 10, 8).circle(230, 15, 1)
	s.circle(260, 10, 8).circle(260, 14, 1)
	sheet := build(t, s.strokes)
	sheet.Number(0.02)
	byX := map[int]int{}
	for _, p := range sheet.Parts {
		byX[int(math.Round(p.Box.Center().X/10))] = p.Number
	}
	var got []bool
	for _, p := range [][2]float64{{10, 60}, {10, 110}, {10, 170}, {200, 230}, {230, 260}} {
		same := false
		for x := range byX {
			for y := range byX {
				if math.Abs(float64(x)*10-p[0]) <= 10 && math.Abs(float64(y)*10-p[1]) <= 10 && x != y && byX[x] == byX[y] {
					same = true
				}
			}
		}
		got = append(got, same)
	}
	if d := cmp.Diff([]bool{true, false, true, true, false}, got); d != "" {
		t.Errorf("which are the same (-want +got):\n%s\n%v", d, byX)
	}
}
