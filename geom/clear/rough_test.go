package clear

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"sluice/geom"
)

// TestRoughInput only asks for an answer: rings that cross, are open, collapse
// or hold no numbers come from broken drawings.
func TestRoughInput(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	rng := rand.New(rand.NewPCG(9, 9))
	inputs := map[string][]geom.Path{
		"nothing":                   {},
		"empty ring":                {nil, {}},
		"one point":                 {{geom.Line(geom.Pt(1, 1), geom.Pt(1, 1))}},
		"one line":                  {{geom.Line(geom.Pt(0, 0), geom.Pt(1, 1))}},
		"there and back":            {poly(0, 0, 10, 0)},
		"bow tie":                   {poly(0, 0, 10, 10, 10, 0, 0, 10)},
		"spike":                     {poly(0, 0, 10, 0, 10, 10, 10, 20, 10, 10, 0, 10)},
		"not numbers":               {poly(0, 0, nan, 3, 4, inf), rect(0, 0, 1, 1)},
		"huge":                      {rect(-1e300, -1e300, 1e300, 1e300)},
		"same twice":                {rect(0, 0, 10, 10), rect(0, 0, 10, 10)},
		"tiny":                      {rect(0, 0, 1e-9, 1e-9)},
		"open":                      {rect(0, 0, 10, 10)[:3]},
		"half circles out of place": {{geom.Bulge(geom.Pt(0, 0), geom.Pt(1, 0), 1), geom.Bulge(geom.Pt(5, 0), geom.Pt(0, 3), -2)}},
	}
	for k := range 30 {
		var xy []float64
		for range 4 + k {
			xy = append(xy, 10*rng.Float64(), 10*rng.Float64())
		}
		p := poly(xy...)
		for i := range p {
			if rng.IntN(2) == 0 {
				p[i] = geom.Bulge(p[i].A, p[i].B, 4*rng.Float64()-2)
			}
		}
		inputs[string(rune('A'+k))] = []geom.Path{p}
	}
	ctx := context.Background()
	for name, paths := range inputs {
		var rings []Ring
		var part []int32
		for i, p := range paths {
			rings, part = append(rings, Ring{p, p.Box()}), append(part, int32(i))
		}
		for _, limit := range []float64{1, 1e-3, 1e4, 0, -1, nan, inf} {
			for _, side := range []Side{Waste, Material} {
				if _, err := Narrows(ctx, rings, side, limit); err != nil {
					t.Errorf("%s: %v", name, err)
				}
			}
			Details(ctx, rings, limit)
			CloseParts(ctx, rings, part, limit)
		}
		for _, p := range paths {
			if _, r := LargestCircle(p, 0.01); r < 0 {
				t.Errorf("%s: radius %g", name, r)
			}
			Between(p, p, 1)
		}
	}
}

// TestAPartDrawnAThousandTimesTooSmall keeps the work in bounds where every
// piece lies within the limit of every other.
func TestAPartDrawnAThousandTimesTooSmall(t *testing.T) {
	rings := wavy(20000)
	for i := range rings {
		p := rings[i].Transform(geom.Scaling(1e-3))
		rings[i] = Ring{p, p.Box()}
	}
	got, err := Narrows(context.Background(), rings, Material, 1.5)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 1 || !got[0].Whole {
		t.Errorf("got %+v, want the whole part", got)
	}
}

func TestCancel(t *testing.T) {
	ctx, cancel := context.WithDeadline(context.Background(), time.Unix(0, 0))
	defer cancel()
	if got, err := Narrows(ctx, lattice(60, 6, 2.5), Material, 1.5); err == nil {
		t.Errorf("got %d runs and no error from an ended context", len(got))
	}
}
