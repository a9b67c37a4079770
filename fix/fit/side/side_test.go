package side_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/fix/fit/side"
	"sluice/geom"
	"sluice/geom/geomtest"
)

// tab is a plate with one tab 20 long and 4 high on its top edge, its corners
// made by the function: given the corner, the way in and the way out.
func tab(make func(p, u, v geom.Point) geom.Path) geom.Path {
	ps := []geom.Point{{X: 0, Y: 0}, {X: 80, Y: 0}, {X: 80, Y: 40}, {X: 50, Y: 40}, {X: 50, Y: 44}, {X: 30, Y: 44}, {X: 30, Y: 40}, {X: 0, Y: 40}}
	n := len(ps)
	corners := make2(n, func(i int) geom.Path {
		u, v := ps[i].Sub(ps[(i+n-1)%n]).Unit(), ps[(i+1)%n].Sub(ps[i]).Unit()
		return make(ps[i], u, v)
	})
	var path geom.Path
	for i, c := range corners {
		from := ps[i]
		if len(c) > 0 {
			path = append(path, c...)
			from = c[len(c)-1].B
		}
		next := corners[(i+1)%n]
		to := ps[(i+1)%n]
		if len(next) > 0 {
			to = next[0].A
		}
		path = append(path, geom.Line(from, to))
	}
	return path
}

func make2(n int, f func(int) geom.Path) []geom.Path {
	out := make([]geom.Path, n)
	for i := range out {
		out[i] = f(i)
	}
	return out
}

var corners = map[string]func(p, u, v geom.Point) geom.Path{
	"sharp": func(p, u, v geom.Point) geom.Path { return nil },
	"round": func(p, u, v geom.Point) geom.Path {
		return geom.Path{geom.Bulge(p.Sub(u), p.Add(v), math.Tan(geom.TurnTo(u, v)/4))}
	},
	"chamfer": func(p, u, v geom.Point) geom.Path { return geom.Path{geom.Line(p.Sub(u), p.Add(v))} },
	"exploded": func(p, u, v geom.Point) geom.Path {
		arc := geom.Bulge(p.Sub(u), p.Add(v), math.Tan(geom.TurnTo(u, v)/4))
		var path geom.Path
		for i := range 6 {
			path = append(path, geom.Line(arc.At(float64(i)/6), arc.At(float64(i+1)/6)))
		}
		return path
	},
	"notch in the wall before": func(p, u, v geom.Point) geom.Path {
		return inside(u, v, p.Sub(u), p.Sub(u).Sub(v), p.Sub(v))
	},
	"notch in the wall after": func(p, u, v geom.Point) geom.Path {
		return inside(u, v, p.Add(u), p.Add(u).Add(v), p.Add(v))
	},
	"square hole": func(p, u, v geom.Point) geom.Path {
		return inside(u, v, p.Sub(u), p.Sub(u).Sub(v), p.Add(u).Sub(v), p.Add(u).Add(v), p.Add(v))
	},
	"slit": func(p, u, v geom.Point) geom.Path {
		d := u.Sub(v).Unit()
		return inside(u, v, p.Sub(u), p.Sub(u).Add(d), p.Add(v).Add(d), p.Add(v))
	},
	"round slit": func(p, u, v geom.Point) geom.Path {
		d := u.Sub(v).Unit()
		path := inside(u, v, p.Sub(u), p.Sub(u).Add(d), p.Add(v).Add(d), p.Add(v))
		if len(path) == 3 {
			path[1] = geom.Bulge(path[1].A, path[1].B, -1)
		}
		return path
	},
	"relief": func(p, u, v geom.Point) geom.Path {
		turn := geom.TurnTo(u, v)
		if turn > 0 { // only inside corners are relieved
			return nil
		}
		a := geom.Arc(p, 0.6, u.Mul(-1).Angle(), -(math.Pi - turn))
		a.A, a.B = p.Sub(u.Mul(0.6)), p.Add(v.Mul(0.6))
		return geom.Path{a}
	},
}

// inside draws a relief by its corners, where the corner is an inside one.
func inside(u, v geom.Point, ps ...geom.Point) geom.Path {
	if geom.TurnTo(u, v) > 0 {
		return nil
	}
	var path geom.Path
	for i := 1; i < len(ps); i++ {
		path = append(path, geom.Line(ps[i-1], ps[i]))
	}
	return path
}

// Steps of equal teeth and gaps are sides, however small, and no reliefs; so is a
// step of a staircase.
func TestNoReliefs(t *testing.T) {
	teeth := []geom.Point{{X: 0, Y: 0}, {X: 40, Y: 0}, {X: 40, Y: 20}}
	for x := 39.0; x > 1; x -= 2 {
		teeth = append(teeth, geom.Pt(x, 20), geom.Pt(x, 18.5), geom.Pt(x-1, 18.5), geom.Pt(x-1, 20))
	}
	teeth = append(teeth, geom.Pt(0, 20))
	stairs := []geom.Point{{X: 0, Y: 0}, {X: 40, Y: 0}, {X: 40, Y: 20}, {X: 30, Y: 20}, {X: 30, Y: 22}, {X: 28, Y: 22}, {X: 28, Y: 40}, {X: 0, Y: 40}}
	for _, ps := range [][]geom.Point{teeth, stairs} {
		sides := side.Of(inside(geom.Pt(1, 0), geom.Pt(0, -1), append(ps, ps[0])...), side.DefaultLimits())
		if len(sides) != len(ps) {
			t.Errorf("%d sides, want %d", len(sides), len(ps))
		}
		for _, s := range sides {
			if s.Relief {
				t.Errorf("a relief: %+v", s)
			}
		}
	}
}

// Whatever its corners are like, however it is split and wherever it starts, a
// tab has the same eight sides that meet at the same eight corners.
func TestCorners(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for name, make := range corners {
		for range 20 {
			path := tab(make)
			var split geom.Path
			for _, p := range path {
				if p.IsLine() && p.Length() > 3 && rng.IntN(2) == 0 {
					m := p.At(0.3 + 0.4*rng.Float64())
					split = append(split, geom.Line(p.A, m), geom.Line(m, p.B))
					continue
				}
				split = append(split, p)
			}
			k := rng.IntN(len(split))
			split = append(append(geom.Path{}, split[k:]...), split[:k]...)
			tr := geom.Turn(geom.Point{}, 6*rng.Float64()).Then(geom.Shift(geom.Pt(100*rng.Float64(), 50)))
			sides := side.Of(split.Transform(tr), side.DefaultLimits())
			if len(sides) != 8 {
				t.Fatalf("%s: %d sides", name, len(sides))
			}
			want := []geom.Point{{X: 0, Y: 0}, {X: 80, Y: 0}, {X: 80, Y: 40}, {X: 50, Y: 40}, {X: 50, Y: 44}, {X: 30, Y: 44}, {X: 30, Y: 40}, {X: 0, Y: 40}}
			for _, s := range sides {
				if !s.Linked || math.Abs(math.Abs(s.Turn)-math.Pi/2) > 1e-9 {
					t.Fatalf("%s: %+v", name, s)
				}
				hit := false
				for _, w := range want {
					hit = hit || tr.Apply(w).Dist(s.B) < 1e-9
				}
				if !hit {
					t.Errorf("%s: corner at %v", name, s.B)
				}
			}
		}
	}
}

// Sides and what follows them are all pieces of the path, each once.
func TestPiecesAccounted(t *testing.T) {
	for seed := range uint64(200) {
		outer, holes := geomtest.RandomPart(rand.New(rand.NewPCG(seed, 5)))
		for _, path := range append(holes, outer) {
			sides := side.Of(path, side.DefaultLimits())
			n := 0
			for _, s := range sides {
				n += s.Count + s.Gap
			}
			if len(sides) > 0 && n != len(path) {
				t.Errorf("seed %d: %d pieces of %d", seed, n, len(path))
			}
		}
	}
}

func TestBadPaths(t *testing.T) {
	p := geom.Pt(1, 1)
	for _, path := range []geom.Path{
		nil, {geom.Circle(p, 2)}, {geom.Line(p, p)}, {geom.Line(p, p), geom.Line(p, p)},
		{geom.Line(p, geom.Pt(2, 1)), geom.Line(geom.Pt(2, 1), p)},
		{geom.Line(p, geom.Pt(math.NaN(), 1)), geom.Line(geom.Pt(2, math.Inf(1)), p)},
		{geom.Bulge(p, geom.Pt(3, 1), 1), geom.Bulge(geom.Pt(3, 1), p, 1)},
	} {
		side.Of(path, side.DefaultLimits())
	}
}
