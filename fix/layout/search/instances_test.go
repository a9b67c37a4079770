package search

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
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

// jigsaw cuts a rectangle by straight lines into so many pieces, the largest one
// each time: a strip that can be filled altogether.
func jigsaw(seed uint64, pieces int) (p *Problem, rings []region.Ring) {
	rng := rand.New(rand.NewPCG(seed, 11))
	rings = []region.Ring{{geom.Pt(0, 0), geom.Pt(120, 0), geom.Pt(120, 80), geom.Pt(0, 80)}}
	for len(rings) < pieces {
		slices.SortStableFunc(rings, func(a, b region.Ring) int { return cmp.Compare(b.Area(), a.Area()) })
		b := rings[0].Box()
		through, n := b.Center(), geom.Polar(geom.Point{}, 1, rng.Float64()*2*math.Pi)
		half := func(sign float64) (out region.Ring) {
			for i, u := range rings[0] {
				v := rings[0][(i+1)%len(rings[0])]
				du, dv := sign*u.Sub(through).Dot(n), sign*v.Sub(through).Dot(n)
				if du >= 0 {
					out = append(out, u)
				}
				if (du > 0) != (dv > 0) && du != 0 && dv != 0 {
					out = append(out, u.Lerp(v, du/(du-dv)))
				}
			}
			return out
		}
		rings = append(rings[1:], half(1), half(-1))
	}
	p = &Problem{Height: 80}
	for k, r := range rings {
		p.Shapes = append(p.Shapes, Shape{Pieces: []region.Ring{r}, Area: r.Area()})
		p.Items = append(p.Items, Item{Shape: k, Turns: []float64{0}})
	}
	return p, rings
}

// Rectangles cut to pieces at random are laid out soundly and, be the search ever
// so short, not poorly.
func TestJigsaw(t *testing.T) {
	for seed := range uint64(4) {
		p, rings := jigsaw(seed, 14)
		r := Strip(t.Context(), p, 0, Options{Seed: 1, Workers: 2, Work: 40e6})
		verify(t, p, rings, r)
		if d := 100 * totalArea(p) / p.Height / r.Length; d < 74 || d > 100 {
			t.Errorf("seed %d: density %.2f %%", seed, d)
		}
	}
}

// figure returns a number from the environment, or what is usual.
func figure(name string, usual float64) float64 {
	if v, err := strconv.ParseFloat(os.Getenv(name), 64); err == nil {
		return v
	}
	return usual
}

// With SLUICE_LAYOUT_SECONDS set, each instance, and a few jigsaws, are searched
// for so many seconds' steps on two workers (or SLUICE_LAYOUT_WORKERS, from
// SLUICE_LAYOUT_SEED), and the density is printed beside the best published; with
// SLUICE_LAYOUT_INSTANCE only that one is.
func TestMeasure(t *testing.T) {
	seconds := figure("SLUICE_LAYOUT_SECONDS", 0)
	if seconds <= 0 {
		t.Skip("SLUICE_LAYOUT_SECONDS is not set")
	}
	measure := func(t *testing.T, name string, p *Problem, rings []region.Ring, best float64) {
		start := time.Now()
		o := Options{
			Seed: uint64(figure("SLUICE_LAYOUT_SEED", 1)), Workers: int(figure("SLUICE_LAYOUT_WORKERS", 2)),
			Work: int64(seconds * StepsPerSecond),
		}
		r := Strip(t.Context(), p, 0, o)
		verify(t, p, rings, r)
		d := 100 * totalArea(p) / p.Height / r.Length
		t.Logf("%s: length %.4f, density %.2f %%, %.2f %% of the best known; %d workers, %d million steps each, %.0f s by the clock",
			name, r.Length, d, 100*d/best, o.Workers, o.Work/1e6, time.Since(start).Seconds())
		if d < 0.95*best {
			t.Errorf("less than 95 %% of the best known density")
		}
	}
	wanted := func(name string) bool {
		only := os.Getenv("SLUICE_LAYOUT_INSTANCE")
		return only == "" || only == name
	}
	for _, in := range published {
		t.Run(in.name, func(t *testing.T) {
			if !wanted(in.name) {
				t.Skip("another one is wanted")
			}
			p, rings, ok := instance(t, in.name)
			if !ok {
				t.Skip("the instances are not here")
			}
			measure(t, in.name, p, rings, in.best)
		})
	}
	if wanted("jigsaw") {
		for seed, pieces := range []int{12, 20, 40} {
			p, rings := jigsaw(uint64(seed), pieces)
			measure(t, fmt.Sprint("jigsaw of ", pieces), p, rings, 100)
		}
	}
}
