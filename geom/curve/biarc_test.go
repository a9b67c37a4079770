package curve

import (
	"math"
	"testing"

	"sluice/geom"
)

// clothoid returns point and tangent at length s of the curve whose curvature
// is slope * s, by Simpson's rule.
func clothoid(slope, s float64) (p, t geom.Point) {
	const n = 2000
	h := s / n
	for i := range n + 1 {
		w := 2.0
		switch {
		case i == 0 || i == n:
			w = 1
		case i%2 == 1:
			w = 4
		}
		x := h * float64(i)
		p = p.Add(geom.Polar(geom.Point{}, w*h/3, slope*x*x/2))
	}
	return p, geom.Polar(geom.Point{}, 1, slope*s*s/2)
}

// clothoidError is the largest distance of a clothoid of length h, curvature 0
// in its middle, from the biarc and from the best arc over it.
func clothoidError(slope, h float64) (bi, arc float64) {
	a, ta := clothoid(slope, -h/2)
	b, tb := clothoid(slope, h/2)
	m, ok := newBiarc(a, ta, b, tb)
	if !ok {
		return math.NaN(), math.NaN()
	}
	var ps []geom.Point
	for i := 1; i < 120; i++ {
		p, _ := clothoid(slope, h*(float64(i)/120-0.5))
		ps = append(ps, p)
		r := m.first
		if p.Sub(m.j).Dot(m.tj) > 0 {
			r = m.sec
		}
		bi = max(bi, math.Abs(r.off(p)))
	}
	_, arc, _ = halfTurn(a, b, func(yield func(geom.Point) bool) {
		for _, p := range ps {
			if !yield(p) {
				return
			}
		}
	}, 1)
	return bi, arc
}

// A biarc over a stretch of length h and curvature slope k' errs by
// k' h^3 / 324, an arc through both ends by k' h^3 / (72 sqrt 3) (derived from
// the cubic; the first agrees with Meek & Walton, J. Comput. Appl. Math. 59
// (1995), from memory).
func TestErrorConstants(t *testing.T) {
	for _, c := range []struct{ slope, h float64 }{{0.01, 3}, {0.01, 1.5}, {0.002, 8}, {0.01, 6.868}} {
		bi, arc := clothoidError(c.slope, c.h)
		base := c.slope * c.h * c.h * c.h
		if math.Abs(bi*324/base-1) > 0.01 {
			t.Errorf("slope %g, h %g: biarc errs by h^3 k'/%.2f", c.slope, c.h, base/bi)
		}
		if math.Abs(arc*72*math.Sqrt(3)/base-1) > 0.03 {
			t.Errorf("slope %g, h %g: arc errs by h^3 k'/%.2f, want 124.7", c.slope, c.h, base/arc)
		}
	}
	// 0.01/mm2 and 3 mm give 8.33e-4 mm; 0.01 mm is reached at 6.868 mm.
	if bi, _ := clothoidError(0.01, 3); math.Abs(bi-8.33e-4) > 1e-5 {
		t.Errorf("3 mm: %g", bi)
	}
	if bi, _ := clothoidError(0.01, 6.868); math.Abs(bi-0.01) > 1e-4 {
		t.Errorf("6.868 mm: %g", bi)
	}
}

// Halving the length divides the error by 8.
func TestErrorOrder(t *testing.T) {
	last := 0.0
	for _, h := range []float64{8, 4, 2, 1} {
		bi, _ := clothoidError(0.01, h)
		if last > 0 && math.Abs(last/bi-8) > 0.3 {
			t.Errorf("h = %g: error %g, %g times less than for twice the length", h, bi, last/bi)
		}
		last = bi
	}
}

// The number of arcs grows with the cube root of the accuracy asked for.
func TestCountOrder(t *testing.T) {
	s := bezierSpline(pts(0, 0, 30, 60, 70, -50, 100, 10)...)
	count := func(tol float64) float64 {
		arcs, _, err := FitSpline(s, tol)
		if err != nil {
			t.Fatal(err)
		}
		return float64(len(arcs))
	}
	if r := count(1e-6) / count(1e-3); r < 8 || r > 12.5 {
		t.Errorf("1000 times finer takes %g times the arcs, want about 10", r)
	}
}

// A biarc starts and ends in the given directions and is smooth in the middle;
// run backwards it is the same.
func TestBiarcTangents(t *testing.T) {
	for i := range 200 {
		x := float64(i)
		a, b := geom.Pt(3*math.Sin(x), 2), geom.Pt(10, 5*math.Cos(3*x))
		ta, tb := geom.Polar(geom.Point{}, 1, 1.5*math.Sin(5*x)), geom.Polar(geom.Point{}, 1, 1.5*math.Cos(7*x))
		m, ok := newBiarc(a, ta, b, tb)
		if !ok {
			t.Fatalf("case %d: none", i)
		}
		p, q := m.pieces()
		for _, k := range []float64{
			geom.TurnTo(p.TangentAt(0), ta), geom.TurnTo(p.TangentAt(1), q.TangentAt(0)), geom.TurnTo(q.TangentAt(1), tb),
		} {
			if math.Abs(k) > 1e-7 {
				t.Errorf("case %d: kink of %g", i, k)
			}
		}
		back, _ := newBiarc(b, tb.Mul(-1), a, ta.Mul(-1))
		if d := back.j.Dist(m.j); d > 1e-12 {
			t.Errorf("case %d: backwards the joint moves by %g", i, d)
		}
	}
}
