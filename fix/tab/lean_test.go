package tab

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/outline"
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
		if got := geom.HullDist(geom.Hull(pts), q); got < want-1e-9 || got > want+17*math.Pi/7200 {
			t.Fatalf("%v outside %v: %g, want %g", q, pts, got, want)
		}
	}
}

// TestStretches: the longest stretch of outline and the widest angle without a tab.
func TestStretches(t *testing.T) {
	p := sheettest.Disc(0, 0, 10)
	l := p.Length()
	c := &score{t: newTrack(newCutter(outline.Path{Pieces: p}, l), 1.8, 18), gap: 1.8}
	for _, tt := range []struct {
		at   []float64 // shares of the outline
		want float64   // share of it, and of a turn
	}{
		{[]float64{0, 0.5}, 0.5},
		{[]float64{0.1, 0.3, 0.6}, 0.5},
		{[]float64{0.6, 0.1, 0.3}, 0.5},
		{[]float64{0, 0.25, 0.5, 0.75}, 0.25},
		{[]float64{0.9, 0.95, 0.1}, 0.8},
	} {
		var set []spot
		for _, s := range tt.at {
			set = append(set, spot{s: s * l, at: c.t.pointAt(s * l)})
		}
		if got := c.longest(set); math.Abs(got-tt.want*l) > 1e-9 {
			t.Errorf("%v: longest stretch %g of the outline, want %g", tt.at, got/l, tt.want)
		}
		if got := c.widest(set); math.Abs(got-tt.want*2*math.Pi) > 1e-9 {
			t.Errorf("%v: widest angle %g of a turn, want %g", tt.at, got/(2*math.Pi), tt.want)
		}
	}
}

// TestGapsApart: between two gaps at least as much is cut as either leaves, over the
// start of the outline too.
func TestGapsApart(t *testing.T) {
	p := sheettest.Rect(0, 0, 40, 40)
	c := &score{t: newTrack(newCutter(outline.Path{Pieces: p}, p.Length()), 1.8, 18), gap: 1.8, mass: p.Centroid(), reach: 28}
	at := func(s float64) spot { return spot{s: s, at: c.t.pointAt(s)} }
	for _, tt := range []struct {
		a, b float64
		ok   bool
	}{{20, 60, true}, {20, 23.6, true}, {20, 23.5, false}, {23.5, 20, false}, {1, 158, false}, {158, 1, false}, {1.6, 158, true}, {1.6, 158.1, false}} {
		if cost, _ := c.of([]spot{at(tt.a), at(tt.b)}); math.IsInf(cost, 1) == tt.ok {
			t.Errorf("gaps at %g and %g: cost %g", tt.a, tt.b, cost)
		}
	}
}
