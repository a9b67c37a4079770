package clear

import (
	"context"
	"math"
	"testing"

	"sluice/geom"
)

func TestDetails(t *testing.T) {
	plate := rect(0, 0, 50, 30)
	type want struct {
		kind       string
		size, x, y float64
	}
	many := func(n int, r float64) geom.Path { // a circle of n lines
		var xy []float64
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			xy = append(xy, 20+r*c, 15+r*s)
		}
		return poly(xy...)
	}
	q := math.Sqrt2 / 2
	for _, c := range []struct {
		name  string
		rings []Ring
		want  []want
	}{
		{"plain", ringsOf(plate, rect(10, 10, 20, 20)), nil},
		{"bump", ringsOf(poly(0, 0, 50, 0, 50, 30, 25.2, 30, 25.2, 30.3, 24.8, 30.3, 24.8, 30, 0, 30)), []want{{"bump", 0.4, 25, 30.3}}},
		{"nick", ringsOf(poly(0, 0, 50, 0, 50, 30, 25.3, 30, 25.3, 29.8, 24.7, 29.8, 24.7, 30, 0, 30)), []want{{"nick", 0.6, 25, 29.8}}},
		{"step", ringsOf(poly(0, 0, 50, 0, 50, 30, 25, 30, 25, 29.7, 0, 29.7)), []want{{"step", 0.3, 25, 29.85}}},
		{"tab", ringsOf(poly(0, 0, 50, 0, 50, 30, 30, 30, 30, 33, 20, 33, 20, 30, 0, 30)), nil},
		{"deep notch is a slot", ringsOf(poly(0, 0, 50, 0, 50, 30, 25.3, 30, 25.3, 22, 24.7, 22, 24.7, 30, 0, 30)), nil},
		{"fillets", ringsOf(rect(-20, -20, 50, 50), rounded(0, 0, 20, 10, 0.3)),
			[]want{{"inside-radius", 0.3, 20 - 0.3 + 0.3*q, 0.3 - 0.3*q}, {"inside-radius", 0.3, 20 - 0.3 + 0.3*q, 10 - 0.3 + 0.3*q},
				{"inside-radius", 0.3, 0.3 - 0.3*q, 10 - 0.3 + 0.3*q}, {"inside-radius", 0.3, 0.3 - 0.3*q, 0.3 - 0.3*q}}},
		{"fillets large enough", ringsOf(rect(-20, -20, 50, 50), rounded(0, 0, 20, 10, 0.5)), nil},
		{"outside fillets", ringsOf(rounded(0, 0, 20, 10, 0.3)), nil},
		{"narrow slot ends", ringsOf(rect(-20, -20, 50, 50), obround(0, 20, 0, 0.8)), nil},
		{"round hole", ringsOf(rect(-20, -20, 50, 50), circle(0, 0, 0.4)), nil},
		{"dense curve", ringsOf(plate, many(200, 5)), nil},
		{"small dense curve", ringsOf(many(72, 2)), nil},
		{"chamfer", ringsOf(poly(0, 0, 50, 0, 50, 29.5, 49.5, 30, 0, 30)), nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Details(context.Background(), c.rings, 1)
			if len(got) != len(c.want) {
				t.Fatalf("got %+v, want %v", got, c.want)
			}
			used := make([]bool, len(got))
		next:
			for _, w := range c.want {
				for i, g := range got {
					if !used[i] && g.Kind == w.kind && math.Abs(g.Size-w.size) < 1e-9 && g.At.Dist(geom.Pt(w.x, w.y)) < 1e-6 {
						used[i] = true
						continue next
					}
				}
				t.Errorf("no %v in %+v", w, got)
			}
		})
	}
}
