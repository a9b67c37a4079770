package curve

import (
	"encoding/binary"
	"math"
	"testing"

	"sluice/geom"
)

func TestMalformed(t *testing.T) {
	ok := func() *Spline { return bezierSpline(pts(0, 0, 1, 1, 2, 1, 3, 0)...) }
	change := func(f func(*Spline)) *Spline { s := ok(); f(s); return s }
	nan := math.NaN()
	for name, s := range map[string]*Spline{
		"nothing":            {},
		"one fit point":      {Fit: pts(1, 1)},
		"equal fit points":   {Fit: pts(1, 1, 1, 1, 1, 1)},
		"fit point NaN":      {Fit: pts(1, 1, nan, 1)},
		"degree 0":           change(func(s *Spline) { s.Degree = 0 }),
		"degree -3":          change(func(s *Spline) { s.Degree = -3 }),
		"degree 26":          change(func(s *Spline) { s.Degree = 26 }),
		"too few points":     change(func(s *Spline) { s.Ctrl = s.Ctrl[:3] }),
		"too few knots":      change(func(s *Spline) { s.Knots = s.Knots[:7] }),
		"no knots":           change(func(s *Spline) { s.Knots = nil }),
		"too many knots":     change(func(s *Spline) { s.Knots = append(s.Knots, 2) }),
		"too few weights":    change(func(s *Spline) { s.Weights = []float64{1, 1} }),
		"weight 0":           change(func(s *Spline) { s.Weights = []float64{1, 0, 1, 1} }),
		"weight below 0":     change(func(s *Spline) { s.Weights = []float64{1, -1, 1, 1} }),
		"weight NaN":         change(func(s *Spline) { s.Weights = []float64{1, nan, 1, 1} }),
		"weight infinite":    change(func(s *Spline) { s.Weights = []float64{1, math.Inf(1), 1, 1} }),
		"control point NaN":  change(func(s *Spline) { s.Ctrl[2].X = nan }),
		"control point huge": change(func(s *Spline) { s.Ctrl[2].X = 1e200 }),
		"knot NaN":           change(func(s *Spline) { s.Knots[5] = nan }),
		"knot infinite":      change(func(s *Spline) { s.Knots[7] = math.Inf(1) }),
		"decreasing knots":   change(func(s *Spline) { s.Knots[1] = -1 }),
		"equal knots":        change(func(s *Spline) { s.Knots = make([]float64, 8) }),
		"torn": {Degree: 1, Knots: []float64{0, 0, 1, 1, 2, 2},
			Ctrl: pts(0, 0, 1, 0, 5, 5, 6, 6)},
	} {
		if arcs, _, err := FitSpline(s, 0.01); err == nil {
			t.Errorf("%s: no error but %d pieces", name, len(arcs))
		}
		if p := s.At(0.5); !math.IsNaN(p.X) {
			t.Errorf("%s: a point %v", name, p)
		}
		if lo, hi := s.Domain(); name != "torn" && (lo != 0 || hi != 0) {
			t.Errorf("%s: domain %g..%g", name, lo, hi)
		}
		s.Derivative(0.5)
	}
	for _, tol := range []float64{0, -1, nan, math.Inf(1), 1e-15} {
		if _, _, err := FitSpline(ok(), tol); err == nil {
			t.Errorf("tolerance %g taken", tol)
		}
	}
	for name, e := range map[string]*Ellipse{
		"zero":     {},
		"no axis":  {Ratio: 1, End: 1},
		"ratio 0":  {Major: geom.Pt(1, 0), End: 1},
		"ratio -1": {Major: geom.Pt(1, 0), Ratio: -1, End: 1},
		"backward": {Major: geom.Pt(1, 0), Ratio: 1, Start: 2, End: 1},
		"NaN":      {Major: geom.Pt(nan, 0), Ratio: 1, End: 1},
		"two laps": {Major: geom.Pt(1, 0), Ratio: 1, End: 12},
	} {
		if _, _, err := FitEllipse(e, 0.01); err == nil {
			t.Errorf("ellipse %s: no error", name)
		}
	}
}

// Awkward but right: knots with rounding, cusps, curves that turn back on
// themselves, points that coincide.
func TestAwkward(t *testing.T) {
	for _, c := range []struct {
		name string
		s    *Spline
	}{
		{"cusp", bezierSpline(pts(0, 0, 10, 10, 0, 10, 10, 0)...)},
		{"turns back on its line", bezierSpline(pts(0, 0, 30, 0, -20, 0, 10, 0)...)},
		{"stands still at the start", bezierSpline(pts(0, 0, 0, 0, 0, 0, 10, 5)...)},
		{"first and last twice", bezierSpline(pts(0, 0, 0, 0, 5, 9, 10, 5, 10, 5)...)},
		{"loop", bezierSpline(pts(0, 0, 30, 10, -20, 10, 10, 0)...)},
		{"all points one but the last", bezierSpline(pts(0, 0, 0, 0, 0, 0, 1e-9, 0)...)},
		{"knots off by rounding", &Spline{Degree: 2, Knots: []float64{0, 0, 0, .5, .5 - 1e-12, 1, 1, 1}, Ctrl: pts(0, 0, 5, 5, 10, 0, 15, -5, 20, 0)}},
		{"degree 25", bezierSpline(wavy(3, 26, false).Ctrl...)},
		{"weights far apart", &Spline{Degree: 2, Knots: []float64{0, 0, 0, 1, 1, 1}, Ctrl: pts(0, 0, 5, 5, 10, 0), Weights: []float64{1, 1e6, 1}}},
		{"a tiny letter", bezierSpline(pts(0, 0, 0.01, 0.02, 0.02, -0.02, 0.03, 0.01)...)},
	} {
		for _, tol := range []float64{0.02, 1e-4} {
			arcs, dev, err := FitSpline(c.s, tol)
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			if len(arcs) > 400 {
				t.Errorf("%s, tol %g: %d pieces", c.name, tol, len(arcs))
			}
			checkFit(t, c.name, arcs, samplesOf(c.s, 2000), dev, tol)
		}
	}
	// One point only.
	arcs, dev, err := FitSpline(bezierSpline(pts(3, 3, 3, 3, 3, 3)...), 0.01)
	if err != nil || dev != 0 || len(arcs) != 1 || arcs[0] != geom.Line(geom.Pt(3, 3), geom.Pt(3, 3)) {
		t.Errorf("a point: %+v, %g, %v", arcs, dev, err)
	}
}

// A curve over hundreds of kilometres bows by less than its coordinates can
// tell: it is refused, not fitted badly.
func TestFitSplineTooFar(t *testing.T) {
	s := &Spline{Degree: 3, Fit: pts(0, 4.2e8, 12, 12, 12, -17.75)}
	if arcs, dev, err := FitSpline(s, 0.01); err == nil {
		t.Errorf("%d pieces, deviation %g", len(arcs), dev)
	}
	if _, _, err := FitSpline(s, 0.1); err != nil {
		t.Error(err)
	}
}

// FuzzSpline builds splines from bytes; whatever they are, the fit either fails
// with an error or keeps its promises.
func FuzzSpline(f *testing.F) {
	f.Add([]byte{3, 0, 0, 0, 0, 0, 10, 20, 30, 40, 50, 60, 70, 80})
	f.Add([]byte{2, 1, 0, 9, 9, 9, 9, 9, 200, 200, 1, 1, 200, 3, 7})
	f.Add([]byte{1, 2, 1, 1, 1, 1, 1, 1})
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) < 3 || len(data) > 200 {
			return
		}
		s := &Spline{Degree: int(int8(data[0])), Closed: data[1]&1 != 0, Periodic: data[1]&2 != 0}
		rational, fit, rough := data[1]&4 != 0, data[1]&8 != 0, data[1]&16 != 0
		rest := data[2:]
		value := func(i int) float64 {
			if rough && i+8 <= len(rest) {
				return math.Float64frombits(binary.LittleEndian.Uint64(rest[i:]))
			}
			return float64(int8(rest[i%len(rest)])) / 4
		}
		u := 0.0
		for i := 0; i+1 < len(rest); i += 2 {
			s.Ctrl = append(s.Ctrl, geom.Pt(value(i), value(i+1)))
			if rational {
				s.Weights = append(s.Weights, math.Abs(value(i))/8+0.1)
			}
		}
		for i := range len(s.Ctrl) + s.Degree + 1 {
			s.Knots = append(s.Knots, u)
			u += float64(rest[i%len(rest)] % 4)
		}
		if fit {
			s.Fit, s.Ctrl = s.Ctrl, nil
		}
		const tol = 0.01
		arcs, dev, err := FitSpline(s, tol)
		if err != nil {
			return
		}
		if len(arcs) == 0 || !(dev <= tol*(1+1e-9)) {
			t.Fatalf("%d pieces, deviation %g", len(arcs), dev)
		}
		for i, p := range arcs {
			if !p.A.Finite() || !p.B.Finite() || i > 0 && p.A != arcs[i-1].B {
				t.Fatalf("piece %d: %+v", i, p)
			}
		}
		far := 0.0
		for _, p := range append(append([]geom.Point{}, s.Ctrl...), s.Fit...) {
			far = max(far, math.Abs(p.X)+math.Abs(p.Y))
		}
		lo, hi := s.Domain()
		for i := range 200 {
			p := s.At(lo + (hi-lo)*float64(i)/199)
			best := math.Inf(1)
			for _, q := range arcs {
				// Dist loses the digits of the radius.
				best = min(best, q.Dist(p)-4e-16*q.R)
			}
			if best > tol*(1+1e-6)+1e-9*far {
				t.Fatalf("the curve is %g from its arcs at %v", best, p)
			}
		}
	})
}
