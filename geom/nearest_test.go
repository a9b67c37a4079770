package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestNearestPointsAgainstSamples checks the closed forms on random pieces.
func TestNearestPointsAgainstSamples(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	random := func() Piece {
		p := func() Point { return Pt(10*rng.Float64(), 10*rng.Float64()) }
		switch rng.IntN(4) {
		case 0:
			return Line(p(), p())
		case 1:
			return Circle(p(), 0.2+3*rng.Float64())
		}
		return Bulge(p(), p(), 3*rng.Float64()-1.5)
	}
	for range 3000 {
		a, b := random(), random()
		d, pa, pb := NearestPoints(&a, &b)
		if math.Abs(pa.Dist(pb)-d) > 1e-9 || a.Dist(pa) > 1e-9 || b.Dist(pb) > 1e-9 {
			t.Fatalf("%v %v: %g %v %v are no points of the pieces", a, b, d, pa, pb)
		}
		least := math.Inf(1)
		const n = 400
		for k := range n + 1 {
			least = min(least, b.Dist(a.At(float64(k)/n)))
		}
		if d > least+1e-9 || d < least-a.Length()/n {
			t.Fatalf("%v %v: %.9g, samples say %.9g", a, b, d, least)
		}
	}
}
