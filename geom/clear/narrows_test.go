package clear

import (
	"context"
	"math"
	"slices"
	"testing"

	"sluice/geom"
)

// poly closes points into a path of lines.
func poly(xy ...float64) geom.Path {
	var p geom.Path
	n := len(xy) / 2
	for i := range n {
		j := (i + 1) % n
		p = append(p, geom.Line(geom.Pt(xy[2*i], xy[2*i+1]), geom.Pt(xy[2*j], xy[2*j+1])))
	}
	return p
}

// ringsOf runs the first path counter-clockwise and the others clockwise.
func ringsOf(paths ...geom.Path) []Ring {
	var rs []Ring
	for i, p := range paths {
		if (p.Area() > 0) != (i == 0) {
			p = p.Reverse()
		}
		rs = append(rs, Ring{Path: p, Box: p.Box()})
	}
	return rs
}

func rect(x0, y0, x1, y1 float64) geom.Path { return poly(x0, y0, x1, y0, x1, y1, x0, y1) }

func circle(x, y, r float64) geom.Path { return geom.Path{geom.Circle(geom.Pt(x, y), r)} }

// obround is a slot from x0 to x1 (over all) with half round ends.
func obround(x0, x1, y, w float64) geom.Path {
	r := w / 2
	a, b := geom.Pt(x0+r, y-r), geom.Pt(x1-r, y-r)
	c, d := geom.Pt(x1-r, y+r), geom.Pt(x0+r, y+r)
	return geom.Path{geom.Line(a, b), geom.Bulge(b, c, 1), geom.Line(c, d), geom.Bulge(d, a, 1)}
}

type want struct {
	width, x, y, length float64
}

func nan() float64 { return math.NaN() }

// comb is a plate with n gaps 0.5 wide and 6 deep in its upper edge.
func comb(n int) geom.Path {
	xy := []float64{0, 0, float64(4*n + 4), 0, float64(4*n + 4), 20}
	for i := n - 1; i >= 0; i-- {
		x := float64(4*i + 4)
		xy = append(xy, x+0.5, 20, x+0.5, 14, x, 14, x, 20)
	}
	return poly(append(xy, 0, 20)...)
}

// taper is a plate with a notch that is w wide at its bottom and opens to 4.
func taper(w float64) geom.Path {
	return poly(0, 0, 50, 0, 50, 30, 27, 30, 25+w/2, 18, 25-w/2, 18, 23, 30, 0, 30)
}

var narrowCases = []struct {
	name  string
	rings []Ring
	side  Side
	limit float64
	want  []want
}{
	{"plain square", ringsOf(rect(0, 0, 50, 30)), Waste, 1, nil},
	{"plain square material", ringsOf(rect(0, 0, 50, 30)), Material, 1.5, nil},
	{"square corners in a hole", ringsOf(rect(0, 0, 50, 30), rect(10, 10, 20, 20)), Waste, 1, nil},
	{"acute star tips", ringsOf(poly(0, 0, 30, 0, 15, 2)), Material, 1.5, nil},
	{"equilateral hole", ringsOf(rect(-50, -50, 50, 50), poly(0, 0, 10, 0, 5, 8.66)), Waste, 1, nil},
	{"notch 0.6 by 8", ringsOf(poly(0, 0, 50, 0, 50, 30, 25.3, 30, 25.3, 22, 24.7, 22, 24.7, 30, 0, 30)), Waste, 1,
		[]want{{0.6, 25, 26, 8}}},
	{"notch at the limit", ringsOf(poly(0, 0, 50, 0, 50, 30, 25.5, 30, 25.5, 22, 24.5, 22, 24.5, 30, 0, 30)), Waste, 1, nil},
	{"wide notch", ringsOf(poly(0, 0, 50, 0, 50, 30, 28, 30, 28, 22, 22, 22, 22, 30, 0, 30)), Waste, 1, nil},
	{"shallow nick", ringsOf(poly(0, 0, 50, 0, 50, 30, 25.3, 30, 25.3, 29.8, 24.7, 29.8, 24.7, 30, 0, 30)), Waste, 1, nil},
	{"slot 0.8 by 20", ringsOf(rect(0, 0, 50, 30), rect(10, 10, 30, 10.8)), Waste, 1, []want{{0.8, 20, 10.4, 20}}},
	{"slot with round ends", ringsOf(rect(0, 0, 50, 30), obround(10, 30, 15, 0.8)), Waste, 1, []want{{0.8, 20, 15, 20}}},
	{"slot at the limit", ringsOf(rect(0, 0, 50, 30), obround(10, 30, 15, 1)), Waste, 1, nil},
	{"slot above the limit", ringsOf(rect(0, 0, 50, 30), rect(10, 10, 30, 11.2)), Waste, 1, nil},
	{"small round hole", ringsOf(rect(0, 0, 50, 30), circle(10, 10, 0.4)), Waste, 1, []want{{0.8, 10, 10, 0.8}}},
	{"small square hole", ringsOf(rect(0, 0, 50, 30), rect(10, 10, 10.8, 10.8)), Waste, 1, []want{{0.8, 10.4, 10.4, 0.8}}},
	{"comb", ringsOf(comb(5)), Waste, 1, []want{{0.5, 4.25, 17, 6}, {0.5, 8.25, 17, 6}, {0.5, 12.25, 17, 6}, {0.5, 16.25, 17, 6}, {0.5, 20.25, 17, 6}}},
	{"comb teeth", ringsOf(comb(5)), Material, 1.5, nil},
	// Notches 4 mm wide at the mouth and 12 deep; a disc at their blunt ends measures
	// 0.22, 0.28 and 0.35.
	{"taper blunt under a quarter of the limit", ringsOf(taper(0.19)), Waste, 1, nil},
	{"taper blunt over a quarter of the limit", ringsOf(taper(0.24)), Waste, 1, []want{{0.2805274787, 25, 19.2322297503, nan()}}},
	{"taper blunt well over it", ringsOf(taper(0.3)), Waste, 1, []want{{0.3497941691, 25, 19.1542919655, nan()}}},
	{"bent slot", ringsOf(rect(-20, -20, 50, 50), poly(0, 0, 10, 0, 10, 0.6, 0.6, 0.6, 0.6, 10, 0, 10)), Waste, 1,
		[]want{{0.6, nan(), nan(), nan()}}},
	{"bulb", ringsOf(rect(-20, -20, 50, 50), poly(0, 0, 10, 0, 10, -2, 14, -2, 14, 0, 24, 0, 24, 0.6, 14, 0.6, 14, 3, 10, 3, 10, 0.6, 0, 0.6)), Waste, 1,
		[]want{{0.6, 5, 0.3, 10}, {0.6, 19, 0.3, 10}}},
	{"cross", ringsOf(rect(-20, -20, 50, 50), poly(0, 0, 5, 0, 5, -5, 5.5, -5, 5.5, 0, 10.5, 0, 10.5, 0.5, 5.5, 0.5, 5.5, 5.5, 5, 5.5, 5, 0.5, 0, 0.5)), Waste, 1,
		[]want{{0.5, 5.25, 0.25, 10.5}}},
	{"two holes", ringsOf(rect(-20, -20, 50, 50), circle(0, 0, 5), circle(11, 0, 5)), Material, 1.5, []want{{1, 5.5, 0, nan()}}},
	{"two holes far enough", ringsOf(rect(-20, -20, 50, 50), circle(0, 0, 5), circle(11.5, 0, 5)), Material, 1.5, nil},
	{"hole near the edge", ringsOf(rect(0, 0, 50, 50), circle(6, 20, 5)), Material, 1.5, []want{{1, 0.5, 20, nan()}}},
	{"square hole near the edge", ringsOf(rect(0, 0, 50, 50), rect(1, 10, 11, 20)), Material, 1.5, []want{{1, 0.5, 15, nan()}}},
	{"neck", ringsOf(poly(0, 0, 50, 0, 50, 9.5, 53, 9.5, 53, 0, 100, 0, 100, 20, 53, 20, 53, 10.5, 50, 10.5, 50, 20, 0, 20)), Material, 1.5,
		[]want{{1, 51.5, 10, 3}}},
	{"annulus", ringsOf(circle(0, 0, 10), circle(0, 0, 9)), Material, 1.5, []want{{1, nan(), nan(), 19 * math.Pi}}},
	{"eccentric annulus", ringsOf(circle(0, 0, 10), circle(0.1, 0, 9)), Material, 1.5, []want{{0.9, 9.55, 0, nan()}}},
	{"three holes", ringsOf(rect(-20, -20, 50, 50), rect(0, 0, 10, 10), rect(11, 0, 21, 10), rect(0, 11, 10, 21), rect(11, 11, 21, 21)), Material, 1.5,
		[]want{{1, 5, 10.5, nan()}, {1, 10.5, 5, nan()}, {1, 10.5, 16, nan()}, {1, 16, 10.5, nan()}}},
	{"draft slot", ringsOf(rect(-20, -20, 50, 50), poly(0, 0, 20, 0, 20, 1.1, 0, 0.9)), Waste, 1, []want{{nan(), nan(), nan(), nan()}}},
	{"chamfered corner", ringsOf(rect(-20, -20, 50, 50), poly(0.1, 0, 20, 0, 20, 10, 0, 10, 0, 0.1)), Waste, 1, nil},
	{"small fillets", ringsOf(rect(-20, -20, 50, 50), rounded(0, 0, 20, 10, 0.3)), Waste, 1, nil},
	{"V notch", ringsOf(poly(0, 0, 50, 0, 50, 30, 25.4, 30, 25, 25, 24.6, 30, 0, 30)), Waste, 1, []want{{nan(), 25, nan(), nan()}}},
	{"V notch wide", ringsOf(poly(0, 0, 50, 0, 50, 30, 28, 30, 25, 25, 22, 30, 0, 30)), Waste, 1, nil},
	{"narrow part", ringsOf(rect(0, 0, 30, 1)), Material, 1.5, []want{{1, 15, 0.5, 30}}},
}

// rounded is a rectangle with rounded corners.
func rounded(x0, y0, x1, y1, r float64) geom.Path {
	q := math.Tan(math.Pi / 8)
	p := []geom.Point{{X: x0 + r, Y: y0}, {X: x1 - r, Y: y0}, {X: x1, Y: y0 + r}, {X: x1, Y: y1 - r}, {X: x1 - r, Y: y1}, {X: x0 + r, Y: y1}, {X: x0, Y: y1 - r}, {X: x0, Y: y0 + r}}
	var path geom.Path
	for i := range p {
		b := 0.0
		if i%2 == 1 {
			b = q
		}
		path = append(path, geom.Bulge(p[i], p[(i+1)%len(p)], b))
	}
	return path
}

func TestNarrows(t *testing.T) {
	for _, c := range narrowCases {
		t.Run(c.name, func(t *testing.T) {
			got, err := Narrows(context.Background(), c.rings, c.side, c.limit)
			if err != nil {
				t.Fatal(err)
			}
			check(t, got, c.want)
		})
	}
}

func check(t *testing.T, got []Narrow, want []want) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("got %d runs, want %d: %+v", len(got), len(want), got)
	}
	same := func(x, y float64) bool { return math.IsNaN(y) || math.Abs(x-y) < 1e-6 }
	got = slices.Clone(got)
	slices.SortFunc(got, func(a, b Narrow) int {
		if math.Abs(a.At.X-b.At.X) > 1e-6 {
			return int(math.Copysign(1, a.At.X-b.At.X))
		}
		return int(math.Copysign(1, a.At.Y-b.At.Y))
	})
	for i, w := range want {
		g := got[i]
		if !same(g.Width, w.width) || !same(g.At.X, w.x) || !same(g.At.Y, w.y) || !(math.IsNaN(w.length) || math.Abs(g.Length-w.length) < 1e-5*w.length) {
			t.Errorf("run %d: got width %.9g at %.9g,%.9g length %.9g; want %v (%+v)", i, g.Width, g.At.X, g.At.Y, g.Length, w, g)
		}
	}
}
