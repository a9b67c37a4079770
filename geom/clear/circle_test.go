package clear

import (
	"math"
	"testing"

	"sluice/geom"
)

func TestLargestCircle(t *testing.T) {
	ngon := func(n int, r, x, y float64) geom.Path {
		var xy []float64
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			xy = append(xy, x+r*c, y+r*s)
		}
		return poly(xy...)
	}
	nowhere := geom.Pt(math.NaN(), 0)
	for _, c := range []struct {
		name string
		path geom.Path
		at   geom.Point
		r    float64
		tol  float64
	}{
		// GEOS, MaximumInscribedCircleTest.
		{"square", poly(100, 200, 200, 200, 200, 100, 100, 100), geom.Pt(150, 150), 50, 1e-9},
		{"diamond", poly(150, 250, 50, 150, 150, 50, 250, 150), geom.Pt(150, 150), 50 * math.Sqrt2, 1e-9},
		{"octagon of radius 10", ngon(8, 10, 3, 4), geom.Pt(3, 4), 10 * math.Cos(math.Pi/8), 1e-9},
		{"80 lines of radius 100", ngon(80, 100, 0, 0), nowhere, 100 * math.Cos(math.Pi/80), 1e-6},
		{"collapsed", poly(0, 0, 10, 0, 20, 0), nowhere, 0, 1e-9},
		// Closed forms.
		{"triangle 3 4 5", poly(0, 0, 3, 0, 0, 4), geom.Pt(1, 1), 1, 1e-9},
		{"equilateral", poly(0, 0, 6, 0, 3, 3*math.Sqrt(3)), geom.Pt(3, math.Sqrt(3)), math.Sqrt(3), 1e-9},
		{"right isosceles, leg 8", poly(0, 0, 8, 0, 0, 8), nowhere, 8 - 4*math.Sqrt2, 1e-9},
		{"hexagon of side 1", ngon(6, 1, 0, 0), geom.Pt(0, 0), math.Sqrt(3) / 2, 1e-9},
		{"L of 4 less 2", poly(0, 0, 4, 0, 4, 2, 2, 2, 2, 4, 0, 4), geom.Pt(4-2*math.Sqrt2, 4-2*math.Sqrt2), 4 - 2*math.Sqrt2, 1e-9},
		{"rectangle", rect(0, 0, 20, 3), nowhere, 1.5, 1e-9},
		{"slot", obround(0, 20, 5, 3), geom.Pt(10, 5), 1.5, 1e-9},
		{"circle", circle(7, 8, 3), geom.Pt(7, 8), 3, 1e-12},
		{"rounded rectangle", rounded(0, 0, 20, 10, 2), nowhere, 5, 1e-3},
		// Half a disc of radius 2: the circle touches the line and the arc, R/2.
		{"half disc", geom.Path{geom.Line(geom.Pt(-2, 0), geom.Pt(2, 0)), geom.Bulge(geom.Pt(2, 0), geom.Pt(-2, 0), 1)}, geom.Pt(0, 1), 1, 1e-4},
		{"lens with a dent", geom.Path{geom.Bulge(geom.Pt(0, 0), geom.Pt(10, 0), 0.5), geom.Bulge(geom.Pt(10, 0), geom.Pt(0, 0), -0.2)}, nowhere, 0.75, 1e-4},
		{"far away", poly(1e6, 1e6, 1e6+3, 1e6, 1e6, 1e6+4), geom.Pt(1e6+1, 1e6+1), 1, 1e-8},
		{"empty", nil, nowhere, 0, 0},
	} {
		for _, p := range []geom.Path{c.path, c.path.Reverse()} {
			at, r := LargestCircle(p, 1e-4)
			if math.Abs(r-c.r) > c.tol {
				t.Errorf("%s: radius %.12g, want %.12g", c.name, r, c.r)
			}
			if c.r > 0 && (!Fits(p, c.r-c.tol-1e-6) || Fits(p, c.r+c.tol+1e-5)) {
				t.Errorf("%s: a circle of radius %g fits: %v, a larger one %v", c.name, c.r, Fits(p, c.r), Fits(p, c.r+1e-5))
			}
			if !math.IsNaN(c.at.X) && at.Dist(c.at) > 1e3*math.Sqrt(c.tol)*1e-3+1e-6 {
				t.Errorf("%s: centre %v, want %v", c.name, at, c.at)
			}
		}
	}
}
