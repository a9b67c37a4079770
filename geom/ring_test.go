package geom_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"sluice/geom"
	"sluice/geom/geomtest"
)

// TestAgainstOrb holds area, centroid, length and containment of random parts
// with arcs against paulmach/orb's planar package on rings flattened to 1e-7 mm.
// orb's area is signed for rings, and its ring containment counts the boundary in.
func TestAgainstOrb(t *testing.T) {
	const flat = 1e-7
	rng := rand.New(rand.NewPCG(21, 4))
	for range 30 {
		outer, _ := geomtest.RandomPart(rng)
		ring := outer.Ring(flat)
		c, area := planar.CentroidArea(ring)
		if math.Abs(area-outer.Area()) > 1e-6*math.Abs(area) {
			t.Errorf("area %v, orb %v", outer.Area(), area)
		}
		if d := outer.Centroid().Dist(geom.Pt(c[0], c[1])); d > 1e-6*outer.Box().Diagonal() {
			t.Errorf("centroid %v, orb %v", outer.Centroid(), c)
		}
		if l := planar.Length(ring); math.Abs(l-outer.Length()) > 1e-6*l {
			t.Errorf("length %v, orb %v", outer.Length(), l)
		}
		b := outer.Box().Inflate(5)
		for range 50 {
			q := geom.Pt(b.Min.X+rng.Float64()*b.W(), b.Min.Y+rng.Float64()*b.H())
			if d, _ := outer.Dist(q); d < 1e-5 {
				continue
			}
			if in := planar.RingContains(ring, orb.Point{q.X, q.Y}); in != outer.Contains(q) {
				t.Errorf("%v: inside %v, orb %v", q, outer.Contains(q), in)
			}
		}
	}
}

// TestOutline checks that a simplified ring stays near its path and has fewer
// corners.
func TestOutline(t *testing.T) {
	rng := rand.New(rand.NewPCG(22, 4))
	for range 30 {
		p, _ := geomtest.RandomPart(rng)
		fine, few := p.Ring(1e-4), p.Outline(0.1)
		if len(few) >= len(fine) || few[0] != few[len(few)-1] {
			t.Errorf("%d corners of %d, closed %v", len(few), len(fine), few[0] == few[len(few)-1])
		}
		for i := range len(few) - 1 {
			for _, s := range []float64{0, 0.25, 0.5, 0.75} {
				q := geom.Pt(few[i][0], few[i][1]).Lerp(geom.Pt(few[i+1][0], few[i+1][1]), s)
				if d, _ := p.Dist(q); d > 0.1 {
					t.Fatalf("%v lies %g mm off the path", q, d)
				}
			}
		}
	}
}
