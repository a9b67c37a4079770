package kit_test

import (
	"math/rand/v2"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint/kit"
)

// bolted is a plate with two slots and a bolt hole between them, and one with two tabs and a
// T-slot between them, for sheet of 3.2 mm: its bolt slot is as wide as that, and deep. beyond
// is by how much the bolt slot goes on beyond the nut.
func bolted(beyond float64) *geomtest.Kit {
	ring := func(pts ...geom.Point) (p geom.Path) {
		for i := range pts {
			p = append(p, geom.Line(pts[i], pts[(i+1)%len(pts)]))
		}
		return p
	}
	box := func(x0, y0, x1, y1 float64) geom.Path {
		return ring(geom.Pt(x0, y0), geom.Pt(x0, y1), geom.Pt(x1, y1), geom.Pt(x1, y0))
	}
	base := geomtest.KitPart{Name: "base", Outer: box(0, 0, 120, 60).Reverse(), Holes: []geom.Path{
		box(20, 28.4, 40, 31.6), box(80, 28.4, 100, 31.6), {geom.Circle(geom.Pt(60, 30), 1.7).Reverse()},
	}}
	// The wall stands on its lower edge, y = 103.2; tabs down to 100, the T-slot up from the edge.
	y := 103.2
	pts := []geom.Point{
		{X: 0, Y: 160}, {X: 0, Y: y}, {X: 20, Y: y}, {X: 20, Y: 100}, {X: 40, Y: 100}, {X: 40, Y: y},
		{X: 58.4, Y: y}, {X: 58.4, Y: y + 6}, {X: 57.2, Y: y + 6}, {X: 57.2, Y: y + 8.5},
	}
	if beyond > 0 {
		pts = append(pts, geom.Pt(58.4, y+8.5), geom.Pt(58.4, y+8.5+beyond), geom.Pt(61.6, y+8.5+beyond), geom.Pt(61.6, y+8.5))
	}
	pts = append(pts, geom.Pt(62.8, y+8.5), geom.Pt(62.8, y+6), geom.Pt(61.6, y+6), geom.Pt(61.6, y),
		geom.Pt(80, y), geom.Pt(80, 100), geom.Pt(100, 100), geom.Pt(100, y), geom.Pt(120, y), geom.Pt(120, 160))
	return &geomtest.Kit{Parts: []geomtest.KitPart{base, {Name: "wall", Outer: ring(pts...)}}}
}

// A slot for a bolt with a pocket for its nut is no notch, gap or tab, whatever stands
// beyond the nut; the tabs beside it are found as without it.
func TestTSlots(t *testing.T) {
	for _, beyond := range []float64{0, 1, 5} {
		k := kit.Find(sheetOf(t, bolted(beyond), rand.New(rand.NewPCG(1, 9))), kit.DefaultOptions())
		if len(k.TSlots) != 1 || len(k.Joints) != 4 || len(k.Pairs) != 2 || len(k.Unmatched) != 0 {
			t.Errorf("beyond %g: %d T-slots, %d joints, %d pairs, %d unmatched", beyond, len(k.TSlots), len(k.Joints), len(k.Pairs), len(k.Unmatched))
			continue
		}
		s := &k.TSlots[0]
		deep := 8.5 + beyond
		if s.Width < 3.19 || s.Width > 3.21 || s.Pocket < 5.59 || s.Pocket > 5.61 || s.Deep < 5.99 || s.Deep > 6.01 || s.Depth < deep-0.01 || s.Depth > deep+0.01 {
			t.Errorf("beyond %g: %+v", beyond, *s)
		}
	}
}
