package nofit

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/fix/layout/region"
	"sluice/geom"
	"sluice/geom/geomtest"
)

// part is a random part as polygons and as convex pieces.
type part struct {
	rings  []region.Ring
	pieces []region.Ring
}

func randomPart(rng *rand.Rand) part {
	outer, holes := geomtest.RandomPart(rng)
	g := &region.Region{Outer: region.Outward(outer, 0.2)}
	for _, h := range holes {
		g.Holes = append(g.Holes, region.Outward(h, 0.2))
	}
	g = g.Simplify(0.2, 1, 8)
	pieces, _ := g.Convex()
	return part{append([]region.Ring{g.Outer}, g.Holes...), pieces}
}

// distance measures two parts by all pairs of sides; 0 where they overlap.
func distance(a, b part, d geom.Point) float64 {
	least := math.Inf(1)
	for _, r := range a.rings {
		for i := range r {
			s := geom.Line(r[i], r[(i+1)%len(r)])
			for _, q := range b.rings {
				for j := range q {
					u := geom.Line(q[j].Add(d), q[(j+1)%len(q)].Add(d))
					if len(geom.Crossings(nil, &s, &u, 0)) > 0 {
						return 0
					}
					least = min(least, s.Dist(u.A), s.Dist(u.B), u.Dist(s.A), u.Dist(s.B))
				}
			}
		}
	}
	if in(a.rings, b.rings[0][0].Add(d)) || in(b.rings, a.rings[0][0].Sub(d)) {
		return 0
	}
	return least
}

func in(rings []region.Ring, p geom.Point) bool {
	odd := false
	for _, r := range rings {
		for i := range r {
			u, v := r[i], r[(i+1)%len(r)]
			if (u.Y > p.Y) != (v.Y > p.Y) && p.X < u.X+(v.X-u.X)*(p.Y-u.Y)/(v.Y-u.Y) {
				odd = !odd
			}
		}
	}
	return odd
}

// A displacement is free by the table just when the polygons measure the
// clearance or more, but for the rounded corners, where it asks for up to 6.4 %
// more.
func TestDepthAgainstDistance(t *testing.T) {
	for seed := range uint64(12) {
		rng := rand.New(rand.NewPCG(seed, 1))
		a, b := randomPart(rng), randomPart(rng)
		for _, clear := range []float64{0, 3} {
			tab := New(a.pieces, b.pieces, clear, 0)
			for range 150 {
				d := geom.Polar(geom.Point{}, rng.Float64()*130, rng.Float64()*7)
				depth, _, _ := tab.Depth(d.X, d.Y)
				have := distance(a, b, d)
				if have < clear-1e-9 && depth <= 0 {
					t.Fatalf("seed %d: %v is free, but the parts are %g mm apart, less than %g", seed, d, have, clear)
				}
				if have > 1.065*clear+1e-9 && depth > 0 {
					t.Fatalf("seed %d: %v is %g mm deep, but the parts are %g mm apart", seed, d, depth, have)
				}
			}
		}
	}
}

// The way out leads to a free place, and none of many other ways is shorter.
func TestExit(t *testing.T) {
	for seed := range uint64(8) {
		rng := rand.New(rand.NewPCG(seed, 2))
		a, b := randomPart(rng), randomPart(rng)
		tab := New(a.pieces, b.pieces, 3, 0)
		for range 20 {
			d := geom.Polar(geom.Point{}, rng.Float64()*110, rng.Float64()*7)
			depth, _, _ := tab.Depth(d.X, d.Y)
			e := tab.Exit(d)
			if (depth > 0) != (e != geom.Point{}) {
				t.Fatalf("seed %d: depth %g, way out %v", seed, depth, e)
			}
			if left, _, _ := tab.Depth(d.X+e.X, d.Y+e.Y); left > 1e-9 {
				t.Fatalf("seed %d: still %g deep after the way out", seed, left)
			}
			for k := range 720 {
				if l := tab.Leave(d, geom.Polar(geom.Point{}, 1, float64(k)*math.Pi/360)); l < 0.99*e.Norm()-1e-9 {
					t.Fatalf("seed %d: %g mm is a way out, %g mm was found", seed, l, e.Norm())
				}
			}
		}
	}
}

// Squares of 10 and 4 have a square of 14 as their no-fit polygon.
func TestSquares(t *testing.T) {
	sq := func(s float64) []region.Ring {
		return []region.Ring{{geom.Pt(0, 0), geom.Pt(s, 0), geom.Pt(s, s), geom.Pt(0, s)}}
	}
	for _, c := range []struct {
		clear, x, y, depth float64
	}{{0, 3, 3, 7}, {0, -3, 3, 1}, {0, 10, 5, 0}, {0, 12, 5, 0}, {1, 10, 5, 1}, {1, 10.9, 5, 0.1}, {1, 11, 5, 0}} {
		tab := New(sq(10), sq(4), c.clear, 0)
		if d, _, _ := tab.Depth(c.x, c.y); math.Abs(d-c.depth) > 1e-12 {
			t.Errorf("clear %g, at %g, %g: depth %g, want %g", c.clear, c.x, c.y, d, c.depth)
		}
	}
	tab := New(sq(10), sq(4), 1, 0)
	if got := tab.Reach(geom.Pt(20, 5), geom.Pt(-1, 0)); math.Abs(got-9) > 1e-12 {
		t.Errorf("the way in is %g mm long, want 9", got)
	}
	if got := tab.Reach(geom.Pt(20, 5), geom.Pt(1, 0)); !math.IsInf(got, 1) {
		t.Errorf("the way away is barred after %g mm", got)
	}
}

func BenchmarkDepth(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	p, q := randomPart(rng), randomPart(rng)
	tab := New(p.pieces, q.pieces, 3, 0)
	for i := 0; b.Loop(); i++ {
		tab.Depth(float64(i%200)-100, float64(i/200%200)-100)
	}
}

func BenchmarkNew(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	p, q := randomPart(rng), randomPart(rng)
	for b.Loop() {
		New(p.pieces, q.pieces, 3, 0)
	}
}

// Refined tables tell the same to the bit, everywhere.
func TestRefine(t *testing.T) {
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 3))
		a, b := randomPart(rng), randomPart(rng)
		plain, fine := New(a.pieces, b.pieces, 3*float64(seed%2), 1e-6), New(a.pieces, b.pieces, 3*float64(seed%2), 1e-6)
		if fine.Refine() == 0 || fine.Refine() != 0 {
			t.Fatalf("seed %d: refined not at all, or twice", seed)
		}
		for k := range 4000 {
			d := geom.Pt(plain.Box.Min.X+rng.Float64()*plain.Box.W(), plain.Box.Min.Y+rng.Float64()*plain.Box.H())
			if k%4 == 0 { // on the border of a cell
				d.X = plain.Box.Min.X + float64(rng.IntN(usualCells+1))*plain.Box.W()/usualCells
			}
			if k%400 == 1 { // on the border of the table
				e := plain.Exit(d)
				d = d.Add(e)
			}
			h, nx, ny := plain.Depth(d.X, d.Y)
			if fh, fx, fy := fine.Depth(d.X, d.Y); h != fh || nx != fx || ny != fy {
				t.Fatalf("seed %d: at %v %g (%g, %g), refined %g (%g, %g)", seed, d, h, nx, ny, fh, fx, fy)
			}
		}
	}
}

func BenchmarkRefine(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	p, q := randomPart(rng), randomPart(rng)
	for b.Loop() {
		New(p.pieces, q.pieces, 3, 0).Refine()
	}
}

func BenchmarkDepthRefined(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	p, q := randomPart(rng), randomPart(rng)
	tab := New(p.pieces, q.pieces, 3, 0)
	tab.Refine()
	for i := 0; b.Loop(); i++ {
		tab.Depth(float64(i%200)-100, float64(i/200%200)-100)
	}
}
