package clear

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/geomtest"
)

func TestBetween(t *testing.T) {
	for _, c := range []struct {
		name  string
		a, b  geom.Path
		limit float64
		want  float64
		ok    bool
	}{
		{"rectangles", rect(0, 0, 10, 10), rect(12, 3, 20, 20), 3, 2, true},
		{"corners", rect(0, 0, 10, 10), rect(13, 14, 20, 20), 6, 5, true},
		{"at the limit", rect(0, 0, 10, 10), rect(12, 0, 20, 10), 2, 0, false},
		{"circles", circle(0, 0, 5), circle(12, 0, 5), 3, 2, true},
		{"circle and line", circle(0, 0, 5), rect(7, -10, 20, 10), 3, 2, true},
		{"circle and corner", circle(0, 0, 5), poly(6, 0, 20, -10, 20, 10), 3, 1, true},
		{"inside", circle(0, 0, 10), circle(1, 0, 7), 5, 2, true},
		{"touching", rect(0, 0, 10, 10), rect(10, 5, 20, 20), 1, 0, true},
		{"crossing", circle(0, 0, 5), circle(6, 0, 5), 1, 0, true},
		{"line through a circle", circle(0, 0, 5), rect(-20, -1, 20, 1), 1, 0, true},
		{"no limit", circle(0, 0, 5), circle(1000, 0, 5), math.Inf(1), 990, true},
		// GEOS TestMinimumClearance: the clearance of these two polygons.
		{"GEOS minimum clearance", poly(100, 100, 300, 100, 200, 200), poly(150, 250, 250, 250, 200, 220), 50, 20, true},
		{"empty", nil, circle(0, 0, 1), 1, 0, false},
	} {
		d, pa, pb, ok := Between(c.a, c.b, c.limit)
		if ok != c.ok || math.Abs(d-c.want) > 1e-9 {
			t.Errorf("%s: %g %v, want %g %v", c.name, d, ok, c.want, c.ok)
			continue
		}
		if !ok {
			continue
		}
		da, _ := c.a.Dist(pa)
		db, _ := c.b.Dist(pb)
		if da > 1e-9 || db > 1e-9 || math.Abs(pa.Dist(pb)-d) > 1e-9 {
			t.Errorf("%s: points %v %v are off the outlines or not %g apart", c.name, pa, pb, d)
		}
	}
}

// scatter lays random parts out so that many come close and some lie in holes.
func scatter(rng *rand.Rand, n int) (rings []Ring, part []int32) {
	for k := range n {
		outer, holes := geomtest.RandomPart(rng)
		at := geom.Pt(110*float64(k%5)+20*rng.Float64(), 110*float64(k/5)+20*rng.Float64())
		t := geom.Turn(geom.Point{}, 6*rng.Float64()).Then(geom.Shift(at))
		for _, r := range partRings(outer.Transform(t), nil) {
			rings, part = append(rings, r), append(part, int32(k))
		}
		for _, h := range holes {
			h = h.Transform(t)
			rings, part = append(rings, Ring{h, h.Box()}), append(part, int32(k))
		}
	}
	return rings, part
}

func TestClosePartsAgainstAllPairs(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	rings, part := scatter(rng, 25)
	rings = append(rings, ringsOf(rect(300, 300, 301, 301))...)
	part = append(part, 25)
	for _, limit := range []float64{0.5, 3, 20} {
		var want []Pair
		for i := range int32(26) {
			for j := i + 1; j < 26; j++ {
				best := Pair{I: int(i), J: int(j), Dist: limit}
				for a := range rings {
					for b := range rings {
						if part[a] != i || part[b] != j {
							continue
						}
						for _, p := range rings[a].Path {
							for _, q := range rings[b].Path {
								if d, pa, pb := geom.NearestPoints(&p, &q); d < best.Dist {
									best.Dist, best.A, best.B = d, pa, pb
								}
							}
						}
					}
				}
				if best.Dist < limit {
					want = append(want, best)
				}
			}
		}
		got := CloseParts(context.Background(), rings, part, limit)
		same := cmp.Options{
			cmp.Comparer(func(x, y float64) bool { return math.Abs(x-y) < 1e-9 }),
			cmp.Comparer(func(x, y geom.Point) bool { return true }), // where parts cross any crossing will do
		}
		if diff := cmp.Diff(want, got, same); diff != "" {
			t.Errorf("limit %g: %s", limit, diff)
		}
		for _, p := range got {
			if math.Abs(p.A.Dist(p.B)-p.Dist) > 1e-9 {
				t.Errorf("%+v: points are not that far apart", p)
			}
		}
		if limit == 20 && len(want) < 10 {
			t.Errorf("only %d pairs: the layout tests nothing", len(want))
		}
	}
}

func TestPartInAHole(t *testing.T) {
	rings := append(ringsOf(rect(0, 0, 50, 50), circle(25, 25, 15)), ringsOf(circle(26, 25, 12))...)
	got := CloseParts(context.Background(), rings, []int32{0, 0, 1}, 3)
	if len(got) != 1 || math.Abs(got[0].Dist-2) > 1e-9 {
		t.Errorf("got %+v, want one pair 2 apart", got)
	}
}

// What is told to be far apart by carriers alone is.
func TestFarApart(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	random := func() geom.Piece {
		p := func() geom.Point { return geom.Pt(10*rng.Float64(), 10*rng.Float64()) }
		if rng.IntN(3) == 0 {
			return geom.Line(p(), p())
		}
		return geom.Bulge(p(), p(), 3*rng.Float64()-1.5)
	}
	told := 0
	for range 3000 {
		a, b := random(), random()
		d := geom.PieceDist(&a, &b)
		if farApart(&a, &b, d+1e-9) {
			t.Fatalf("%v %v: told to be %g apart", a, b, d+1e-9)
		}
		if farApart(&a, &b, d/2) {
			told++
		}
	}
	if told < 300 {
		t.Errorf("only %d of 3000 are told to be apart", told)
	}
}
