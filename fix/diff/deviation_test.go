package diff

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/geom/index"
)

// Deviations that follow from plane geometry.
func TestDeviationKnown(t *testing.T) {
	quarter := geom.Path{geom.Arc(geom.Point{}, 10, 0, math.Pi/2)}
	long := geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(1000, 0))}
	tests := []struct {
		name string
		a, b geom.Path
		want float64
	}{
		{"an arc and its chord: the sagitta", quarter, geom.Path{geom.Line(geom.Pt(10, 0), geom.Pt(0, 10))}, 10 * (1 - math.Sqrt2/2)},
		{"concentric circles", circle(0, 0, 10), circle(0, 0, 10.3), 0.3},
		{"circles shifted", circle(0, 0, 10), circle(0.4, 0, 10), 0.4},
		{"a line and its half", long, geom.Path{long[0].Sub(0, 0.5)}, 500},
		{"parallel lines", long, long.Transform(geom.Shift(geom.Pt(0, 0.02))), 0.02},
		{"a circle and its other half", circle(0, 0, 10), geom.Path{geom.Arc(geom.Point{}, 10, 0, math.Pi)}, 10 * math.Sqrt2},
		{"a square and its inscribed circle", rect(-10, -10, 10, 10), circle(0, 0, 10), 10 * (math.Sqrt2 - 1)},
	}
	const eps = 0.001
	for _, tt := range tests {
		for _, swap := range []bool{false, true} {
			a, b := index.PathTree(tt.a), index.PathTree(tt.b)
			if swap {
				a, b = b, a
			}
			g, ok := deviate(a, b, geom.Identity(), limits{eps, math.Inf(1)})
			if !ok || g.dist > tt.want+1e-9 || g.dist < tt.want-eps {
				t.Errorf("%s: %.6f, want %.6f less at most %g", tt.name, g.dist, tt.want, eps)
			}
			if d := g.from.Dist(g.to); math.Abs(d-g.dist) > 1e-9 {
				t.Errorf("%s: its points are %.6f apart, not %.6f", tt.name, d, g.dist)
			}
		}
	}
}

// The deviation told is never more than the true one and short of it by the
// stated bound at most: checked against the largest of many points.
func TestDeviationSampled(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 8))
	const eps = 0.002
	for range 30 {
		p, _ := geomtest.RandomPart(rng)
		lay := geom.Turn(geom.Point{}, rng.Float64()*0.02).Then(geom.Shift(geom.Pt(rng.Float64(), rng.Float64()*0.2)))
		q := p.Transform(geom.Turn(geom.Point{}, rng.Float64()*0.01))
		g, _ := deviate(index.PathTree(p), index.PathTree(q), lay, limits{eps, math.Inf(1)})
		laid := p.Transform(lay)
		most := 0.0
		for _, side := range [2][2]geom.Path{{laid, q}, {q, laid}} {
			for i := range side[0] {
				for k := range 200 {
					d, _ := side[1].Dist(side[0][i].At(float64(k) / 200))
					most = max(most, d)
				}
			}
		}
		if most > g.dist+eps {
			t.Errorf("told %.6f, but a point lies %.6f away", g.dist, most)
		}
		if d := g.from.Dist(g.to); math.Abs(d-g.dist) > 1e-9 {
			t.Errorf("points %.6f apart, not %.6f", d, g.dist)
		}
		d1, _ := q.Dist(g.from)
		d2, _ := laid.Dist(g.to)
		if math.Abs(max(d1, d2)-g.dist) > 1e-9 {
			t.Errorf("its points lie %.6f and %.6f from the other outline, neither %.6f", d1, d2, g.dist)
		}
	}
}

func TestDeviationStops(t *testing.T) {
	a, b := index.PathTree(rect(0, 0, 10, 10)), index.PathTree(rect(0, 0, 10, 11))
	if _, ok := deviate(a, b, geom.Identity(), limits{0.001, 0.5}); ok {
		t.Error("1 mm passes a stop of 0.5 mm")
	}
	if _, ok := deviate(index.PathTree(nil), b, geom.Identity(), limits{0.001, 0.5}); ok {
		t.Error("nothing passes for a square")
	}
	if g, ok := deviate(index.PathTree(nil), index.PathTree(nil), geom.Identity(), limits{0.001, 0.5}); !ok || g.dist != 0 {
		t.Error("nothing deviates from nothing")
	}
}

// The nearest piece is the one that trying all finds.
func TestNearest(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	pieces := make(geom.Path, 300)
	for i := range pieces {
		a := geom.Pt(rng.Float64()*100, rng.Float64()*100)
		pieces[i] = geom.Bulge(a, a.Add(geom.Polar(geom.Point{}, 8*rng.Float64(), 6*rng.Float64())), rng.Float64()-0.5)
	}
	for _, tree := range []*index.PieceTree{index.PathTree(pieces), index.Scattered(pieces)} {
		hint := int32(-1)
		for range 500 {
			q := geom.Pt(rng.Float64()*120-10, rng.Float64()*120-10)
			want, _ := pieces.Dist(q)
			got, at := tree.NearestFrom(q, hint)
			if got != want || tree.Pieces[at].Dist(q) != want {
				t.Fatalf("nearest to %v: %g, want %g", q, got, want)
			}
			hint = at
		}
	}
}
