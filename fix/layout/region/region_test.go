package region

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
)

func ring(xy ...float64) Ring {
	var r Ring
	for i := 0; i < len(xy); i += 2 {
		r = append(r, geom.Pt(xy[i], xy[i+1]))
	}
	return r
}

// randomRegion is a random part made a polygon outwards.
func randomRegion(rng *rand.Rand, tol float64) (*Region, geom.Path, []geom.Path) {
	outer, holes := geomtest.RandomPart(rng)
	g := &Region{Outer: Outward(outer, tol)}
	for _, h := range holes {
		g.Holes = append(g.Holes, Outward(h, tol))
	}
	return g, outer, holes
}

// holds reports whether q lies in the region or within slack of its lines.
func holds(g *Region, q geom.Point, slack float64) bool {
	rings := append([]Ring{g.Outer}, g.Holes...)
	in := false
	for _, r := range rings {
		for i := range r {
			a, b := r[i], r[(i+1)%len(r)]
			if geom.Line(a, b).Dist(q) <= slack {
				return true
			}
			if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(b.X-a.X)*(q.Y-a.Y)/(b.Y-a.Y) {
				in = !in
			}
		}
	}
	return in
}

// A polygon made outwards covers every point of its lines and arcs and strays
// no further than asked.
func TestOutwardCovers(t *testing.T) {
	for seed := range uint64(30) {
		const tol = 0.1
		g, outer, holes := randomRegion(rand.New(rand.NewPCG(seed, 1)), tol)
		for _, p := range append([]geom.Path{outer}, holes...) {
			for _, q := range p.Flatten(0.0005) {
				if !holds(g, q, 0.001) {
					t.Fatalf("seed %d: %v is not covered", seed, q)
				}
			}
		}
		for k, r := range append([]Ring{g.Outer}, g.Holes...) {
			p := outer
			if k > 0 {
				p = holes[k-1]
			}
			for i, v := range r {
				for _, q := range [2]geom.Point{v, v.Mid(r[(i+1)%len(r)])} {
					if d, _ := p.Dist(q); d > tol+1e-9 {
						t.Fatalf("seed %d: %v is %g mm off the outline", seed, q, d)
					}
				}
			}
		}
	}
}

func TestOutwardShapes(t *testing.T) {
	circle := geom.Path{geom.Circle(geom.Pt(3, 4), 10)}
	if a := Outward(circle, 0.1).Area(); a < 100*math.Pi || a > 10.1*10.1*math.Pi {
		t.Errorf("circle: area %g", a)
	}
	if a := -Outward(circle.Reverse(), 0.1).Area(); a > 100*math.Pi || a < 9.9*9.9*math.Pi {
		t.Errorf("round hole: area %g", a)
	}
	half := geom.Path{geom.Arc(geom.Pt(0, 0), 5, 0, math.Pi), geom.Line(geom.Pt(-5, 0), geom.Pt(5, 0))}
	if a := Outward(half, 0.01).Area(); a < 12.5*math.Pi || a > 12.5*math.Pi+0.16 {
		t.Errorf("half disc: area %g", a)
	}
}

// Simplifying leaves the region simple enough to be cut up, takes no material
// away and adds little but for pockets and holes that are closed.
func TestSimplifyCovers(t *testing.T) {
	for seed := range uint64(40) {
		g, outer, _ := randomRegion(rand.New(rand.NewPCG(seed, 2)), 0.05)
		for _, c := range []struct{ tol, mouth, hole float64 }{{0.1, 0, 0}, {0.5, 0, 0}, {0, 6, 6}, {0.1, 6, 12}} {
			s := g.Simplify(c.tol, c.mouth, c.hole)
			for _, q := range outer.Flatten(0.01) {
				if !holds(s, q, 0.02) {
					t.Fatalf("seed %d %v: %v is not covered", seed, c, q)
				}
			}
			if s.Area() < g.Area()-1e-9 {
				t.Fatalf("seed %d %v: area fell from %g to %g", seed, c, g.Area(), s.Area())
			}
			if grown := s.Area() - g.Area(); c.mouth == 0 && grown > 8*c.tol*outer.Length() {
				t.Errorf("seed %d %v: area grew by %g", seed, c, grown)
			}
			if len(s.Outer) > len(g.Outer) {
				t.Errorf("seed %d %v: %d corners became %d", seed, c, len(g.Outer), len(s.Outer))
			}
			if _, exact := s.Convex(); !exact {
				t.Errorf("seed %d %v: no longer simple", seed, c)
			}
		}
	}
}

func TestSimplifyPockets(t *testing.T) {
	notch := &Region{Outer: ring(0, 0, 40, 0, 40, 20, 22, 20, 22, 10, 18, 10, 18, 20, 0, 20)}
	for _, c := range []struct {
		name         string
		mouth        float64
		area, points float64
	}{{"narrower than the mouth asked for", 5, 800, 4}, {"wider", 3, 760, 8}} {
		s := notch.Simplify(0, c.mouth, 0)
		if s.Area() != c.area || float64(len(s.Outer)) != c.points {
			t.Errorf("%s: area %g with %d corners, want %g with %g", c.name, s.Area(), len(s.Outer), c.area, c.points)
		}
	}
	frame := &Region{Outer: ring(0, 0, 40, 0, 40, 40, 0, 40), Holes: []Ring{ring(10, 10, 10, 30, 30, 30, 30, 10)}}
	if s := frame.Simplify(0, 0, 19); len(s.Holes) != 1 {
		t.Error("a hole of 20 mm is gone though 19 is of use")
	}
	if s := frame.Simplify(0, 0, 20); len(s.Holes) != 0 {
		t.Error("a hole of 20 mm is kept though only more is of use")
	}
}

// Convex pieces are convex, make up the area, and hold a point just when the
// region does.
func TestConvex(t *testing.T) {
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 3))
		g, _, _ := randomRegion(rng, 0.1)
		pieces, exact := g.Convex()
		if !exact {
			t.Errorf("seed %d: not cut up", seed)
			continue
		}
		var sum float64
		for _, p := range pieces {
			if !p.Convex() {
				t.Fatalf("seed %d: %v is not convex", seed, p)
			}
			sum += p.Area()
		}
		if math.Abs(sum-g.Area()) > 1e-6 {
			t.Fatalf("seed %d: pieces of %g for an area of %g", seed, sum, g.Area())
		}
		for range 300 {
			q := geom.Pt(rng.Float64()*140-70, rng.Float64()*140-70)
			in := false
			for _, p := range pieces {
				in = in || holds(&Region{Outer: p}, q, 0)
			}
			if want := holds(g, q, 0); in != want && !holds(&Region{Outer: g.Outer, Holes: g.Holes}, q, 1e-9) {
				t.Fatalf("seed %d: %v in pieces %v, in region %v", seed, q, in, want)
			}
		}
	}
}

func TestConvexShapes(t *testing.T) {
	for _, c := range []struct {
		name  string
		g     Region
		n     int
		exact bool
	}{
		{"square", Region{Outer: ring(0, 0, 1, 0, 1, 1, 0, 1)}, 1, true},
		{"L", Region{Outer: ring(0, 0, 4, 0, 4, 1, 1, 1, 1, 4, 0, 4)}, 2, true},
		{"frame", Region{Outer: ring(0, 0, 9, 0, 9, 9, 0, 9), Holes: []Ring{ring(3, 3, 3, 6, 6, 6, 6, 3)}}, 4, true},
		{"bow tie", Region{Outer: ring(0, 0, 4, 4, 4, 0, 0, 4)}, 1, false},
	} {
		pieces, exact := c.g.Convex()
		if len(pieces) != c.n || exact != c.exact {
			t.Errorf("%s: %d pieces, exact %v; want %d, %v", c.name, len(pieces), exact, c.n, c.exact)
		}
	}
}

func TestWidth(t *testing.T) {
	for _, c := range []struct {
		r    Ring
		want float64
	}{{ring(0, 0, 10, 0, 10, 2, 0, 2), 2}, {ring(0, 0, 3, 4, 2.2, 4.6, -0.8, 0.6), 1}, {ring(0, 0, 2, 0, 1, math.Sqrt(3)), math.Sqrt(3)}, {nil, 0}} {
		if got := Width(c.r); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("width of %v is %g, want %g", c.r, got, c.want)
		}
	}
}

// FuzzConvex: any ring gives convex pieces or its hull, and never a panic.
func FuzzConvex(f *testing.F) {
	f.Add([]byte{0, 0, 9, 0, 9, 9, 0, 9})
	f.Add([]byte{0, 0, 4, 4, 4, 0, 0, 4, 0, 0, 4, 4})
	f.Fuzz(func(t *testing.T, b []byte) {
		var r Ring
		for i := 0; i+1 < len(b) && i < 80; i += 2 {
			r = append(r, geom.Pt(float64(b[i]), float64(b[i+1])))
		}
		if r = clean(r); len(r) < 3 || r.Area() <= 0 {
			return
		}
		g := &Region{Outer: r}
		for _, h := range []*Region{g, g.Simplify(1, 3, 3)} {
			pieces, exact := h.Convex()
			for _, p := range pieces {
				if exact && !p.Convex() {
					t.Errorf("%v is not convex", p)
				}
			}
		}
	})
}
