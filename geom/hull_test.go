package geom

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestHull(t *testing.T) {
	for _, c := range []struct {
		name      string
		pts, want []Point
	}{
		{"none", nil, nil},
		{"one", []Point{{1, 2}, {1, 2}}, []Point{{1, 2}}},
		{"two", []Point{{3, 0}, {1, 2}}, []Point{{1, 2}, {3, 0}}},
		{"on one line", []Point{{2, 2}, {0, 0}, {1, 1}, {3, 3}}, []Point{{0, 0}, {3, 3}}},
		{"upright", []Point{{0, 2}, {0, 0}, {0, 1}}, []Point{{0, 0}, {0, 2}}},
		{"a square with more on its sides and in it", []Point{{1, 1}, {0, 0}, {2, 2}, {1, 0}, {2, 0}, {0, 2}, {0, 1}, {2, 0}}, []Point{{0, 0}, {2, 0}, {2, 2}, {0, 2}}},
	} {
		if d := cmp.Diff(c.want, Hull(c.pts)); d != "" {
			t.Errorf("%s: %s", c.name, d)
		}
	}
}

// A hull turns left at every corner, is made of points given, and holds them all,
// whatever their order.
func TestHullHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.Custom(func(t *rapid.T) Point {
			return Pt(float64(rapid.IntRange(-9, 9).Draw(t, "x")), float64(rapid.IntRange(-9, 9).Draw(t, "y")))
		})
		pts := rapid.SliceOfN(at, 3, 40).Draw(t, "points")
		h := Hull(pts)
		for i := range h {
			if !slices.Contains(pts, h[i]) {
				t.Fatalf("%v is none of the points", h[i])
			}
			if n := len(h); n > 2 && Orient(h[i], h[(i+1)%n], h[(i+2)%n]) <= 0 {
				t.Fatalf("%v does not turn left at %d", h, i)
			}
		}
		for _, p := range pts {
			if HullDist(h, p) != 0 {
				t.Fatalf("%v lies outside %v", p, h)
			}
		}
		was := slices.Clone(pts)
		rand.New(rand.NewPCG(1, 1)).Shuffle(len(pts), func(i, j int) { pts[i], pts[j] = pts[j], pts[i] })
		if d := cmp.Diff(h, Hull(pts)); d != "" {
			t.Fatalf("another hull of %v: %s", was, d)
		}
	})
}

func TestHullDist(t *testing.T) {
	square := []Point{{0, 0}, {2, 0}, {2, 2}, {0, 2}}
	for _, c := range []struct {
		hull []Point
		q    Point
		want float64
	}{
		{square, Pt(1, 1), 0},
		{square, Pt(2, 1), 0},
		{square, Pt(3, 1), 1},
		{square, Pt(5, 6), 5},
		{[]Point{{0, 0}, {4, 0}}, Pt(1, 3), 3},
		{[]Point{{0, 0}, {4, 0}}, Pt(1, 0), 0},
		{[]Point{{1, 1}}, Pt(4, 5), 5},
		{nil, Pt(0, 0), math.Inf(1)},
	} {
		if got := HullDist(c.hull, c.q); got != c.want {
			t.Errorf("%v to %v: %g, want %g", c.q, c.hull, got, c.want)
		}
	}
}
