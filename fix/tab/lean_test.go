package tab

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
)

// TestOutsideHull compares with the largest distance beyond a supporting line over
// many directions, which is the distance from the hull by duality.
func TestOutsideHull(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	for range 400 {
		pts := make([]geom.Point, 1+rng.IntN(7))
		for i := range pts {
			pts[i] = geom.Pt(10*rng.Float64(), 10*rng.Float64())
		}
		q := geom.Pt(14*rng.Float64()-2, 14*rng.Float64()-2)
		want := 0.0
		for k := range 7200 {
			d := geom.Polar(geom.Point{}, 1, float64(k)*math.Pi/3600)
			reach := math.Inf(-1)
			for _, p := range pts {
				reach = max(reach, p.Sub(q).Dot(d))
			}
			want = max(want, -reach)
		}
		// Between two directions the line turns by half a step about a point at most
		// 17 mm off.
		if got := outsideHull(pts, q); got < want-1e-9 || got > want+17*math.Pi/7200 {
			t.Fatalf("%v outside %v: %g, want %g", q, pts, got, want)
		}
	}
}
