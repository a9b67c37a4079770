package assembly_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint/assembly"
	"sluice/lint/kit"
)

func loop(pts ...geom.Point) (p geom.Path) {
	for i := range pts {
		p = append(p, geom.Line(pts[i], pts[(i+1)%len(pts)]))
	}
	return p
}

func oblong(x0, y0, x1, y1 float64) geom.Path {
	return loop(geom.Pt(x0, y0), geom.Pt(x1, y0), geom.Pt(x1, y1), geom.Pt(x0, y1))
}

// bolted is a plate that stands on another by two tabs, with a slot for a bolt and its nut
// between them; hole is where the other has one for it.
func bolted(hole float64) *geomtest.Kit {
	base := geomtest.KitPart{Name: "base", Outer: oblong(0, 0, 120, 60), Holes: []geom.Path{
		oblong(20, 28.4, 40, 31.6).Reverse(), oblong(80, 28.4, 100, 31.6).Reverse(), {geom.Circle(geom.Pt(hole, 30), 1.7).Reverse()},
	}}
	y := 103.2
	wall := loop(geom.Pt(0, 160), geom.Pt(0, y), geom.Pt(20, y), geom.Pt(20, 100), geom.Pt(40, 100), geom.Pt(40, y),
		geom.Pt(58.4, y), geom.Pt(58.4, y+6), geom.Pt(57.2, y+6), geom.Pt(57.2, y+8.5), geom.Pt(58.4, y+8.5), geom.Pt(58.4, y+12), geom.Pt(61.6, y+12),
		geom.Pt(61.6, y+8.5), geom.Pt(62.8, y+8.5), geom.Pt(62.8, y+6), geom.Pt(61.6, y+6), geom.Pt(61.6, y),
		geom.Pt(80, y), geom.Pt(80, 100), geom.Pt(100, 100), geom.Pt(100, y), geom.Pt(120, y), geom.Pt(120, 160))
	return &geomtest.Kit{Parts: []geomtest.KitPart{base, {Name: "wall", Outer: wall}}}
}

// TestBolts finds the hole before a slot for a bolt, and tells where there is none.
func TestBolts(t *testing.T) {
	for _, c := range []struct{ at, hole float64 }{{60, 3.4}, {60.3, 3.4}, {50, 0}} {
		a := assembly.Of(kit.Find(sheetOf(t, bolted(c.at)), kit.DefaultOptions()))
		if len(a.Groups) != 1 || len(a.Groups[0].Bolts) != 1 {
			t.Errorf("hole at %g: %v", c.at, summary(a))
			continue
		}
		g := &a.Groups[0]
		if b := &g.Bolts[0]; math.Abs(b.Hole-c.hole) > 1e-6 || math.Abs(b.Width-3.2) > 1e-6 || b.Into == b.Through {
			t.Errorf("hole at %g: %+v", c.at, *b)
		}
	}
}

// TestStacks guesses that plates with the same holes lie on each other, however they are
// turned, and lays the holes on each other; other holes, or one, say nothing.
func TestStacks(t *testing.T) {
	plate := func(w, h float64, holes ...geom.Point) geomtest.KitPart {
		p := geomtest.KitPart{Outer: oblong(0, 0, w, h)}
		for _, c := range holes {
			p.Holes = append(p.Holes, geom.Path{geom.Circle(c, 2).Reverse()})
		}
		return p
	}
	moved := func(p geomtest.KitPart, x, turn float64, mirror bool) geomtest.KitPart {
		tr := geom.Turn(geom.Point{}, turn)
		if mirror {
			tr = geom.MirrorX(0).Then(tr)
		}
		tr = tr.Then(geom.Shift(geom.Pt(x, 0)))
		turned := func(q geom.Path) geom.Path {
			if tr.Mirrors() {
				return q.Transform(tr).Reverse()
			}
			return q.Transform(tr)
		}
		out := geomtest.KitPart{Outer: turned(p.Outer)}
		for _, h := range p.Holes {
			out.Holes = append(out.Holes, turned(h))
		}
		return out
	}
	three := []geom.Point{{X: 10, Y: 10}, {X: 70, Y: 12}, {X: 30, Y: 40}}
	rng := rand.New(rand.NewPCG(3, 5))
	for range 20 {
		k := &geomtest.Kit{Parts: []geomtest.KitPart{
			plate(80, 50, three...),
			moved(plate(80, 46, three...), 300, 6*rng.Float64(), rng.IntN(2) == 0),
			moved(plate(80, 50, geom.Pt(10, 10), geom.Pt(70, 12), geom.Pt(34, 40)), 600, 1, false),
			moved(plate(50, 50, geom.Pt(10, 10)), 900, 0, false),
			moved(plate(60, 50, geom.Pt(10, 10)), 1200, 0, false),
		}}
		s := sheetOf(t, k)
		a := assembly.Of(kit.Find(s, kit.DefaultOptions()))
		if len(a.Stacks) != 1 || len(a.Stacks[0].Parts) != 2 || len(a.Unplaced) != 5 {
			t.Fatalf("%d stacks, %d parts alone", len(a.Stacks), len(a.Unplaced))
		}
		st := &a.Stacks[0]
		lower, upper := st.Parts[0], st.Parts[1]
		for _, h := range s.Parts[upper.Part].Holes {
			c := s.Outlines[h].Pieces[0].C
			at := upper.Pose.Apply([3]float64{c.X, c.Y, 0})
			on := false
			for _, h := range s.Parts[lower.Part].Holes {
				on = on || s.Outlines[h].Pieces[0].C.Dist(geom.Pt(at[0], at[1])) < 1e-6
			}
			if !on {
				t.Fatalf("a hole comes to lie at %v", at)
			}
		}
	}
}
