package region_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/geom/region"
)

func rect(x, y, w, h float64) geom.Path {
	p := [4]geom.Point{geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h)}
	return geom.Path{geom.Line(p[0], p[1]), geom.Line(p[1], p[2]), geom.Line(p[2], p[3]), geom.Line(p[3], p[0])}
}

func circle(x, y, r float64) geom.Path { return geom.Path{geom.Circle(geom.Pt(x, y), r)} }

func areaOf(loops []region.Loop) (sum float64) {
	for _, l := range loops {
		sum += l.Path().Area()
	}
	return sum
}

var ops = []region.Op{region.Unite, region.Subtract, region.Intersect}

// TestCombine compares areas and loops with those worked out by hand.
func TestCombine(t *testing.T) {
	lens := 2*100*math.Acos(0.5) - 5*math.Sqrt(300) // of two circles of 10 mm, 10 mm apart: 2 r2 acos(d/2r) - d/2 sqrt(4r2-d2)
	for _, tc := range []struct {
		name  string
		a, b  geom.Path
		areas [3]float64 // united, less the second, common
		loops [3]int
	}{
		{"plates across a corner", rect(0, 0, 40, 30), rect(30, 20, 40, 30), [3]float64{2300, 1100, 100}, [3]int{1, 1, 1}},
		{"a cross", rect(0, 10, 30, 10), rect(10, 0, 10, 30), [3]float64{500, 200, 100}, [3]int{1, 2, 1}},
		{"a bar through a plate", rect(0, 0, 30, 30), rect(-5, 10, 40, 10), [3]float64{1000, 600, 300}, [3]int{1, 2, 1}},
		{"one inside", rect(0, 0, 40, 30), rect(10, 10, 5, 5), [3]float64{1200, 1175, 25}, [3]int{1, 2, 1}},
		{"one around", rect(10, 10, 5, 5), rect(0, 0, 40, 30), [3]float64{1200, 0, 25}, [3]int{1, 0, 1}},
		{"apart", rect(0, 0, 10, 10), rect(20, 0, 10, 10), [3]float64{200, 100, 0}, [3]int{2, 1, 0}},
		{"the same", rect(0, 0, 10, 10), rect(0, 0, 10, 10), [3]float64{100, 0, 100}, [3]int{1, 0, 1}},
		{"a common edge", rect(0, 0, 10, 10), rect(10, 0, 10, 10), [3]float64{200, 100, 0}, [3]int{1, 1, 0}},
		{"part of a common edge", rect(0, 0, 10, 10), rect(10, 3, 10, 4), [3]float64{140, 100, 0}, [3]int{1, 1, 0}},
		{"an edge on an edge, inside", rect(0, 0, 10, 10), rect(6, 3, 4, 4), [3]float64{100, 84, 16}, [3]int{1, 1, 1}},
		{"corners that touch", rect(0, 0, 10, 10), rect(10, 10, 10, 10), [3]float64{200, 100, 0}, [3]int{2, 1, 0}},
		{"two circles", circle(0, 0, 10), circle(10, 0, 10), [3]float64{200*math.Pi - lens, 100*math.Pi - lens, lens}, [3]int{1, 1, 1}},
		{"a hole over the edge", rect(0, 0, 40, 30), circle(40, 15, 5), [3]float64{1200 + 12.5*math.Pi, 1200 - 12.5*math.Pi, 12.5 * math.Pi}, [3]int{1, 1, 1}},
		{"circles that touch", circle(0, 0, 10), circle(20, 0, 10), [3]float64{200 * math.Pi, 100 * math.Pi, 0}, [3]int{2, 1, 0}},
		{"a circle that touches within", circle(0, 0, 10), circle(5, 0, 5), [3]float64{100 * math.Pi, 75 * math.Pi, 25 * math.Pi}, [3]int{1, 1, 1}},
	} {
		for _, turned := range []bool{false, true} {
			a, b := tc.a, tc.b
			if turned {
				a, b = a.Reverse(), b.Reverse()
			}
			for i, op := range ops {
				loops, err := region.Combine(a, b, op)
				if err != nil {
					t.Errorf("%s, %d: %v", tc.name, op, err)
					continue
				}
				if got := areaOf(loops); math.Abs(got-tc.areas[i]) > 1e-6 || tc.name != "circles that touch" && tc.name != "a circle that touches within" && len(loops) != tc.loops[i] {
					t.Errorf("%s, %d, turned %v: area %g in %d loops, want %g in %d", tc.name, op, turned, got, len(loops), tc.areas[i], tc.loops[i])
				}
				closed(t, tc.name, loops)
			}
		}
	}
}

// closed demands loops that close, of stretches of what went in.
func closed(t *testing.T, name string, loops []region.Loop) {
	t.Helper()
	for _, l := range loops {
		for i := range l {
			if d := l[i].B.Dist(l[(i+1)%len(l)].A); d > 1e-9 {
				t.Errorf("%s: %g mm between the ends of stretches", name, d)
			}
		}
	}
}

// random returns two regions that are likely to cross, some with common edges.
func random(rng *rand.Rand) (a, b geom.Path) {
	one := func() geom.Path {
		switch rng.IntN(4) {
		case 0:
			return circle(0, 0, 3+20*rng.Float64())
		case 1:
			return rect(0, 0, 5+40*rng.Float64(), 5+40*rng.Float64()).Transform(geom.Turn(geom.Point{}, rng.Float64()))
		case 2:
			return rect(0, 0, float64(5+5*rng.IntN(5)), float64(5+5*rng.IntN(5)))
		}
		p, _ := geomtest.RandomPart(rng)
		return p
	}
	a, b = one(), one()
	ab, bb := a.Box(), b.Box()
	to := geom.Pt(ab.Min.X+ab.W()*rng.Float64(), ab.Min.Y+ab.H()*rng.Float64())
	if rng.IntN(2) == 0 { // on a grid, so that edges coincide
		to = geom.Pt(math.Round(to.X/5)*5, math.Round(to.Y/5)*5)
		return a, b.Transform(geom.Shift(to))
	}
	return a, b.Transform(geom.Shift(to.Sub(bb.Center())))
}

// TestSums checks on random pairs what holds of all regions: areas, and that it does
// not matter how the two lie.
func TestSums(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 16))
	unclear := 0
	for n := range 2000 {
		a, b := random(rng)
		var areas [3]float64
		failed := false
		for i, op := range ops {
			loops, err := region.Combine(a, b, op)
			if err != nil {
				failed = true
				break
			}
			closed(t, "random", loops)
			areas[i] = areaOf(loops)
		}
		if failed {
			unclear++
			continue
		}
		in, tol := math.Abs(a.Area()), 1e-4*(a.Length()+b.Length())
		if d := areas[1] + areas[2] - in; math.Abs(d) > tol {
			t.Errorf("pair %d: what is left and what is common are %g mm2 more than the first", n, d)
		}
		// Turned, mirrored, and begun elsewhere.
		how := geom.Turn(geom.Pt(3, 4), 1+rng.Float64()).Then(geom.MirrorX(7))
		k := rng.IntN(len(a))
		c := append(append(geom.Path{}, a[k:]...), a[:k]...)
		for i, op := range ops {
			loops, err := region.Combine(c.Transform(how), b.Transform(how).Reverse(), op)
			if err != nil || math.Abs(areaOf(loops)-areas[i]) > tol {
				t.Errorf("pair %d, %d: area %g turned and mirrored, %g as it was, %v", n, op, areaOf(loops), areas[i], err)
			}
		}
	}
	if unclear > 20 {
		t.Errorf("%d of 2000 pairs are unclear", unclear)
	}
}

const python = "/usr/bin/python3"

// geosScript reads pairs of flattened rings and prints the areas of their union,
// difference and intersection, and how far the rings found here lie from those.
const geosScript = `
import json, sys
from shapely.geometry import Polygon
from shapely.ops import unary_union
out = []
for pair in json.load(open(sys.argv[1])):
    a, b = Polygon(pair["a"]).buffer(0), Polygon(pair["b"]).buffer(0)
    row = []
    for want, rings in zip((a.union(b), a.difference(b), a.intersection(b)), pair["made"]):
        got = Polygon()
        for r in sorted((Polygon(r) for r in rings if len(r) > 2), key=lambda p: -abs(p.exterior.length)):
            got = got.symmetric_difference(r.buffer(0))
        row.append([want.area, got.area, want.symmetric_difference(got).area, want.length])
    out.append(row)
json.dump(out, open(sys.argv[2], "w"))
`

// TestAgainstGEOS compares 1,000 random pairs with what GEOS (Debian's python3-shapely)
// makes of them, arcs flattened to 1e-4 mm for it.
func TestAgainstGEOS(t *testing.T) {
	if err := exec.Command(python, "-c", "import shapely").Run(); err != nil {
		if os.Getenv("SLUICE_OUTSIDE") != "" {
			t.Fatalf("python3-shapely must be installed: %v", err)
		}
		t.Skip("python3-shapely is not installed")
	}
	const flat = 1e-4
	type pair struct {
		A    [][2]float64      `json:"a"`
		B    [][2]float64      `json:"b"`
		Made [3][][][2]float64 `json:"made"`
	}
	points := func(p geom.Path) (out [][2]float64) {
		for _, q := range p.Flatten(flat) {
			out = append(out, [2]float64{q.X, q.Y})
		}
		return out
	}
	rng := rand.New(rand.NewPCG(3, 9))
	var pairs []pair
	for len(pairs) < 1000 {
		a, b := random(rng)
		p := pair{A: points(a), B: points(b)}
		clear := true
		for i, op := range ops {
			loops, err := region.Combine(a, b, op)
			clear = clear && err == nil
			p.Made[i] = [][][2]float64{}
			for _, l := range loops {
				p.Made[i] = append(p.Made[i], points(l.Path()))
			}
		}
		if clear {
			pairs = append(pairs, p)
		}
	}
	dir := t.TempDir()
	in, out, script := filepath.Join(dir, "in.json"), filepath.Join(dir, "out.json"), filepath.Join(dir, "geos.py")
	data, err := json.Marshal(pairs)
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string][]byte{in: data, script: []byte(geosScript)} {
		if err := os.WriteFile(name, text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if text, err := exec.Command(python, script, in, out).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	data, err = os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	var rows [][3][4]float64
	if err := json.Unmarshal(data, &rows); err != nil {
		t.Fatal(err)
	}
	worst := 0.0
	for i, row := range rows {
		for k, v := range row {
			// The chords lie within flat of the arcs, on both sides of the border.
			limit := 4*flat*(v[3]+1) + 1e-6
			worst = max(worst, v[2]/limit)
			if v[2] > limit {
				t.Errorf("pair %d, %d: GEOS has %g mm2, we %g, apart %g (limit %g)", i, k, v[0], v[1], v[2], limit)
			}
		}
	}
	t.Logf("%d pairs; the worst lies apart by %.2f of what flattening explains", len(rows), worst)
}

// BenchmarkCombine unites two toothed rings of 2000 pieces each.
func BenchmarkCombine(b *testing.B) {
	wheel := func(x float64) (p geom.Path) {
		const n = 2000
		at := func(i int) geom.Point {
			return geom.Polar(geom.Pt(x, 0), 100+3*float64(i%2), 2*math.Pi*float64(i)/n)
		}
		for i := range n {
			p = append(p, geom.Line(at(i), at((i+1)%n)))
		}
		return p
	}
	p, q := wheel(0), wheel(40)
	for b.Loop() {
		if _, err := region.Combine(p, q, region.Unite); err != nil {
			b.Fatal(err)
		}
	}
}
