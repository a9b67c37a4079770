package search

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"sluice/fix/layout/region"
	"sluice/geom"
)

// published lists the strip-packing instances with their best published
// densities, % (Elkeran 2013, guided cuckoo search; from memory).
var published = []struct {
	name string
	best float64
}{{"albano", 89.58}, {"dagli", 89.51}, {"marques", 90.59}, {"shirts", 88.96}, {"trousers", 91.00}}

// instance reads a published strip-packing instance, with its polygons as they
// are published; ok is false where the collection is not at hand.
func instance(t testing.TB, name string) (p *Problem, rings []region.Ring, ok bool) {
	t.Helper()
	dir := os.Getenv("SLUICE_LAYOUT_INSTANCES")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "..", "shared", "layout-instances")
	}
	raw, err := os.ReadFile(filepath.Join(dir, name+".json"))
	if err != nil {
		return nil, nil, false
	}
	var in struct {
		Items []struct {
			Demand              int
			AllowedOrientations []float64
			Shape               struct{ Data [][2]float64 }
		}
		Strip struct{ Height float64 }
	}
	if err := json.Unmarshal(raw, &in); err != nil {
		t.Fatal(err)
	}
	p = &Problem{Height: in.Strip.Height}
	for k, it := range in.Items {
		var r region.Ring
		for _, q := range it.Shape.Data {
			r = append(r, geom.Pt(q[0], q[1]))
		}
		if r[0] == r[len(r)-1] {
			r = r[:len(r)-1]
		}
		if r.Area() < 0 {
			r = r.Reverse()
		}
		pieces, exact := (&region.Region{Outer: r}).Convex()
		if !exact {
			t.Fatalf("%s: item %d was not cut up", name, k)
		}
		p.Shapes = append(p.Shapes, Shape{Pieces: pieces, Area: r.Area()})
		rings = append(rings, r)
		for range it.Demand {
			p.Items = append(p.Items, Item{Shape: k, Turns: it.AllowedOrientations})
		}
	}
	return p, rings, true
}

// placed returns the published polygons where they were placed.
func placed(p *Problem, rings []region.Ring, places []Place) []region.Ring {
	out := make([]region.Ring, len(places))
	for i, q := range places {
		t := geom.Turn(geom.Point{}, q.Turn*3.141592653589793/180).Then(geom.Shift(q.At))
		for _, v := range rings[p.Items[i].Shape] {
			out[i] = append(out[i], t.Apply(v))
		}
	}
	return out
}

// verify checks a strip layout without any of the code that made it: every
// item at an allowed turn, inside the strip, no two sides of different items
// with a point in common and none inside another.
func verify(t *testing.T, p *Problem, rings []region.Ring, r Result) {
	t.Helper()
	if len(r.Places) != len(p.Items) {
		t.Fatalf("%d of %d items placed", len(r.Places), len(p.Items))
	}
	for i, q := range r.Places {
		ok := false
		for _, turn := range p.Items[i].Turns {
			ok = ok || turn == q.Turn
		}
		if !ok {
			t.Errorf("item %d at turn %g", i, q.Turn)
		}
	}
	polys := placed(p, rings, r.Places)
	slack := 1e-9 * (p.Height + r.Length)
	for i, a := range polys {
		b := a.Box()
		if b.Min.X < -slack || b.Min.Y < -slack || b.Max.X > r.Length+slack || b.Max.Y > p.Height+slack {
			t.Errorf("item %d reaches out of the strip: %v of %g x %g", i, b, r.Length, p.Height)
		}
		for j, c := range polys[:i] {
			if meets(a, c) {
				t.Errorf("items %d and %d overlap", i, j)
			}
		}
	}
}

// meets reports whether two polygons have a point in common, by all pairs of
// sides and one corner of each.
func meets(a, b region.Ring) bool {
	side := func(p, q, r geom.Point) float64 { return (q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X) }
	for i := range a {
		p, q := a[i], a[(i+1)%len(a)]
		for j := range b {
			r, s := b[j], b[(j+1)%len(b)]
			if side(p, q, r)*side(p, q, s) <= 0 && side(r, s, p)*side(r, s, q) <= 0 && geom.BoxOf(p, q).Overlaps(geom.BoxOf(r, s)) {
				return true
			}
		}
	}
	in := func(poly region.Ring, p geom.Point) bool {
		odd := false
		for i := range poly {
			u, v := poly[i], poly[(i+1)%len(poly)]
			if (u.Y > p.Y) != (v.Y > p.Y) && p.X < u.X+(v.X-u.X)*(p.Y-u.Y)/(v.Y-u.Y) {
				odd = !odd
			}
		}
		return odd
	}
	return in(a, b[0]) || in(b, a[0])
}

// A short search of each published instance gives a layout that may be cut, and
// not a poor one.
func TestInstances(t *testing.T) {
	for _, in := range published {
		t.Run(in.name, func(t *testing.T) {
			p, rings, ok := instance(t, in.name)
			if !ok {
				t.Skip("the instances are not here")
			}
			r := Strip(t.Context(), p, 0, Options{Seed: 1, Workers: 2, Work: 0.4 * StepsPerSecond})
			verify(t, p, rings, r)
			if d := 100 * totalArea(p) / p.Height / r.Length; d < 0.88*in.best {
				t.Errorf("density %.2f %%, best published %.2f %%", d, in.best)
			}
		})
	}
}

// With SLUICE_LAYOUT_SECONDS set, each instance is searched for that long on two
// workers and the density is printed beside the best published; with
// SLUICE_LAYOUT_INSTANCE only that one is.
func TestMeasure(t *testing.T) {
	seconds, err := strconv.ParseFloat(os.Getenv("SLUICE_LAYOUT_SECONDS"), 64)
	if err != nil {
		t.Skip("SLUICE_LAYOUT_SECONDS is not set")
	}
	for _, in := range published {
		if only := os.Getenv("SLUICE_LAYOUT_INSTANCE"); only != "" && only != in.name {
			continue
		}
		t.Run(in.name, func(t *testing.T) {
			p, rings, ok := instance(t, in.name)
			if !ok {
				t.Skip("the instances are not here")
			}
			start := time.Now()
			r := Strip(t.Context(), p, 0, Options{Seed: 1, Workers: 2, Work: int64(seconds * StepsPerSecond)})
			verify(t, p, rings, r)
			d := 100 * totalArea(p) / p.Height / r.Length
			t.Logf("%s: length %.4f, density %.2f %%, %.2f %% of the best published; %d million steps a worker, %.0f s by the clock",
				in.name, r.Length, d, 100*d/in.best, int(seconds*StepsPerSecond/1e6), time.Since(start).Seconds())
			if d < 0.95*in.best {
				t.Errorf("less than 95 %% of the best published density")
			}
		})
	}
}
