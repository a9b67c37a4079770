package curve

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
)

// What a person would draw instead is what comes back.
func TestSimpleShapes(t *testing.T) {
	k := 4. / 3 * (math.Sqrt2 - 1)
	arcCtrl := func(r, sweep float64) *Spline { // rational quadratic arc
		a, b := geom.Polar(geom.Pt(7, 7), r, 0.4), geom.Polar(geom.Pt(7, 7), r, 0.4+sweep)
		m := geom.Polar(geom.Pt(7, 7), r/math.Cos(sweep/2), 0.4+sweep/2)
		s := bezierSpline(a, m, b)
		s.Weights = []float64{1, math.Cos(sweep / 2), 1}
		return s
	}
	half := circle9()
	half.Ctrl, half.Weights = half.Ctrl[:7], half.Weights[:7]
	half.Knots = []float64{0, 0, 0, 1, 1, 2, 2, 3, 3, 3}
	half.Closed = false
	var ring []geom.Point
	for i := range 20 {
		ring = append(ring, geom.Polar(geom.Pt(-3, 8), 25, 2*math.Pi*float64(i)/20))
	}
	// 100 mm of line, a quarter turn of radius 10, 50 mm of line, as one curve.
	w := math.Sqrt2 / 2
	bend := &Spline{
		Degree: 2, Knots: []float64{0, 0, 0, 1, 1, 2, 2, 3, 3, 3},
		Ctrl:    pts(0, 0, 50, 0, 100, 0, 110, 0, 110, 10, 110, 30, 110, 60),
		Weights: []float64{1, 1, 1, w, 1, 1, 1},
	}
	for _, c := range []struct {
		name   string
		s      *Spline
		tol    float64
		pieces int
		arcs   int
		circle bool
	}{
		{"circle of 9 points", circle9(), 1e-6, 1, 1, true},
		{"circle of 7 points", circle7(), 1e-6, 1, 1, true},
		{"uniform cubic of 8 points on a circle", uniformCircle(geom.Pt(5, 5), 10, 8), 0.02, 1, 1, true},
		{"uniform cubic of 20 points on a circle", uniformCircle(geom.Pt(5, 5), 10, 20), 0.001, 1, 1, true},
		{"fit points on a circle", &Spline{Degree: 3, Fit: ring, Closed: true}, 0.01, 1, 1, true},
		{"arc of 40 degrees", arcCtrl(30, 0.7), 1e-6, 1, 1, false},
		{"arc of 170 degrees", arcCtrl(30, 2.97), 1e-6, 1, 1, false},
		{"arc of 270 degrees", half, 1e-6, 1, 1, false},
		{"Bézier quarter circle", bezierSpline(pts(10, 0, 10, 10*k, 10*k, 10, 0, 10)...), 0.02, 1, 1, false},
		{"line, control points uneven", bezierSpline(pts(0, 0, 1, 1, 3, 3, 10, 10)...), 0.02, 1, 0, false},
		{"line of degree 1", &Spline{Degree: 1, Knots: []float64{0, 0, 1, 2, 2}, Ctrl: pts(0, 0, 3, 3, 9, 9)}, 0.02, 1, 0, false},
		{"line through fit points", &Spline{Fit: pts(0, 0, 3, 1, 9, 3, 12, 4)}, 0.02, 1, 0, false},
		{"two fit points", &Spline{Fit: pts(0, 0, 12, 4)}, 0.02, 1, 0, false},
		{"polygon of degree 1", &Spline{Degree: 1, Knots: []float64{0, 0, 1, 2, 3, 3}, Ctrl: pts(0, 0, 10, 0, 10, 10, 20, 10)}, 0.02, 3, 0, false},
		{"line, quarter turn, line", bend, 0.001, 3, 1, false},
		{"fit points ignored", &Spline{Degree: 1, Knots: []float64{0, 0, 1, 1}, Ctrl: pts(0, 0, 5, 5), Fit: pts(0, 0, 9, 0, 9, 9)}, 0.02, 1, 0, false},
	} {
		got, dev, err := FitSpline(c.s, c.tol)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		arcs := 0
		for _, p := range got {
			if !p.IsLine() {
				arcs++
			}
		}
		if len(got) != c.pieces || arcs != c.arcs || got[0].IsCircle() != c.circle {
			t.Errorf("%s: %d pieces with %d arcs, want %d with %d: %+v", c.name, len(got), arcs, c.pieces, c.arcs, got)
		}
		checkFit(t, c.name, got, samplesOf(c.s, 200), dev, c.tol)
	}
}

// checkEnds tests that pieces start and end where the curve does, bit for bit.
func checkEnds(t *testing.T, name string, arcs []geom.Piece, a, b geom.Point) {
	t.Helper()
	if len(arcs) == 1 && arcs[0].IsCircle() {
		return
	}
	if arcs[0].A != a || arcs[len(arcs)-1].B != b {
		t.Errorf("%s: pieces run from %v to %v, the curve from %v to %v", name, arcs[0].A, arcs[len(arcs)-1].B, a, b)
	}
}

// randomSpline is a spline of random degree, knots and weights along a random
// walk; every third is closed and periodic.
func randomSpline(r *rand.Rand) *Spline {
	deg := 2 + r.IntN(4)
	n := deg + 1 + r.IntN(10)
	s := &Spline{Degree: deg}
	p, dir := geom.Pt(0, 0), 0.0
	for range n {
		s.Ctrl = append(s.Ctrl, p)
		dir += r.NormFloat64() * 0.8
		p = p.Add(geom.Polar(geom.Point{}, 2+20*r.Float64(), dir))
	}
	periodic := r.IntN(3) == 0
	if periodic {
		s.Closed, s.Periodic = true, true
		s.Ctrl = append(s.Ctrl, s.Ctrl[:deg]...)
		n += deg
	}
	if r.IntN(2) == 0 {
		for range n {
			s.Weights = append(s.Weights, 0.3+2*r.Float64())
		}
		if periodic {
			copy(s.Weights[n-deg:], s.Weights[:deg])
		}
	}
	u := 0.0
	clamped := r.IntN(2) == 0 && !periodic
	for i := range n + deg + 1 {
		s.Knots = append(s.Knots, u)
		inner := i >= deg && i < n
		if inner || !clamped {
			step := 0.2 + r.Float64()
			if periodic {
				step = 1
			}
			u += step
		}
	}
	return s
}

// Random splines: within tolerance both ways by independent sampling, ends
// exact, smooth where the curve is.
func TestRandomSplines(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for i := range 60 {
		s := randomSpline(r)
		for _, tol := range []float64{0.2, 0.005} {
			arcs, dev, err := FitSpline(s, tol)
			if err != nil {
				t.Fatalf("case %d: %v", i, err)
			}
			checkFit(t, "random", arcs, samplesOf(s, 60), dev, tol)
			lo, hi := s.Domain()
			a, b := s.At(lo), s.At(hi)
			if s.Closed {
				b = a
			}
			checkEnds(t, "random", arcs, a, b)
			if c, rest := cornersOf(arcs); c != 0 || rest > 1e-6 {
				t.Errorf("case %d, tol %g: %d corners, other kinks up to %g", i, tol, c, rest)
			}
		}
	}
}

// Corners stay: where knots of full multiplicity let the tangent break.
func TestCorners(t *testing.T) {
	s := &Spline{
		Degree: 3, Knots: []float64{0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3, 3}, Closed: true,
		Ctrl: pts(0, 0, 10, 20, 20, 20, 30, 0, 20, 3, 15, -8, 12, -20, 8, -10, 3, -10, 0, 0),
	}
	arcs, dev, err := FitSpline(s, 0.01)
	if err != nil {
		t.Fatal(err)
	}
	checkFit(t, "three corners", arcs, samplesOf(s, 300), dev, 0.01)
	checkEnds(t, "three corners", arcs, s.Ctrl[0], s.Ctrl[0])
	if c, rest := cornersOf(arcs); c != 3 || rest > 1e-6 {
		t.Errorf("%d corners, other kinks up to %g", c, rest)
	}
	for _, want := range []geom.Point{s.Ctrl[0], s.Ctrl[3], s.Ctrl[6]} {
		found := false
		for _, p := range arcs {
			found = found || p.A.Dist(want) < 1e-12
		}
		if !found {
			t.Errorf("no joint at the corner %v", want)
		}
	}
}

func TestEllipses(t *testing.T) {
	for _, ratio := range []float64{1, 0.9999, 0.9, 0.5, 0.1, 0.01, 2.5} {
		for _, span := range [][2]float64{{0, 2 * math.Pi}, {0, 6.283185}, {0.3, 2}, {-1, 4.5}, {1.5, 1.6}} {
			for _, mirrored := range []bool{false, true} {
				e := &Ellipse{Center: geom.Pt(3, -4), Major: geom.Pt(40, 13), Ratio: ratio, Start: span[0], End: span[1], Mirrored: mirrored}
				const tol = 0.01
				arcs, dev, err := FitEllipse(e, tol)
				if err != nil {
					t.Fatal(err)
				}
				checkFit(t, "ellipse", arcs, samplesOfEllipse(e, 3000), dev+5e-5, tol+5e-5)
				end := e.At(e.End)
				if e.Full() {
					end = e.At(e.Start)
				}
				checkEnds(t, "ellipse", arcs, e.At(e.Start), end)
				if c, rest := cornersOf(arcs); c != 0 || rest > 1e-6 {
					t.Errorf("ratio %g, %v: %d corners, kinks up to %g", ratio, span, c, rest)
				}
				if ratio > 0.9998 && ratio < 1.0002 && len(arcs) != 1 {
					t.Errorf("ratio %g, %v: %d pieces", ratio, span, len(arcs))
				}
			}
		}
	}
}

// A full ellipse is as symmetric after the fit as before.
func TestEllipseSymmetry(t *testing.T) {
	e := &Ellipse{Major: geom.Pt(50, 0), Ratio: 0.4, End: 2 * math.Pi}
	arcs, _, err := FitEllipse(e, 0.01)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range arcs {
		for _, m := range []geom.Point{geom.Pt(-p.A.X, p.A.Y), geom.Pt(p.A.X, -p.A.Y)} {
			best := math.Inf(1)
			for _, q := range arcs {
				best = min(best, q.A.Dist(m))
			}
			if best > 1e-9 && p.A != e.At(0) && m.Dist(e.At(0)) > 1e-9 {
				t.Errorf("joint %v has no mirror image within %g", p.A, best)
			}
		}
	}
}

func (s *Spline) moved(tr geom.Transform) *Spline {
	q := *s
	q.Ctrl = nil
	for _, p := range s.Ctrl {
		q.Ctrl = append(q.Ctrl, tr.Apply(p))
	}
	return &q
}

func (s *Spline) reversed() *Spline {
	q := *s
	q.Ctrl, q.Knots, q.Weights = nil, nil, nil
	for i := range s.Ctrl {
		q.Ctrl = append(q.Ctrl, s.Ctrl[len(s.Ctrl)-1-i])
	}
	for i := range s.Weights {
		q.Weights = append(q.Weights, s.Weights[len(s.Weights)-1-i])
	}
	for i := range s.Knots {
		q.Knots = append(q.Knots, -s.Knots[len(s.Knots)-1-i])
	}
	return &q
}

// Turned, shifted, mirrored, scaled and reversed curves get the same arcs,
// moved with them.
func TestMovedSplines(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for i := range 60 {
		s := randomSpline(r)
		const tol = 0.01
		want, _, err := FitSpline(s, tol)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			name string
			tr   geom.Transform
		}{
			{"turned", geom.Turn(geom.Pt(3, 4), 1+float64(i))},
			{"shifted", geom.Shift(geom.Pt(1e5, -1e5))},
			{"mirrored", geom.MirrorX(7)},
			{"to inch", geom.Scaling(1 / 25.4)},
		} {
			got, _, err := FitSpline(s.moved(c.tr), tol*c.tr.Scale())
			if err != nil || len(got) != len(want) {
				t.Errorf("case %d %s: %d pieces, were %d, %v", i, c.name, len(got), len(want), err)
				continue
			}
			for k := range got {
				if d := got[k].A.Dist(c.tr.Apply(want[k].A)); d > 1e-5 {
					t.Errorf("case %d %s: joint %d moved by %g", i, c.name, k, d)
					break
				}
			}
		}
		back, _, err := FitSpline(s.reversed(), tol)
		if err != nil || len(back) != len(want) {
			t.Errorf("case %d reversed: %d pieces, were %d, %v", i, len(back), len(want), err)
			continue
		}
		for k := range back {
			if d := back[k].B.Dist(want[len(want)-1-k].A); d > 1e-5 {
				t.Errorf("case %d reversed: joint %d moved by %g", i, k, d)
				break
			}
		}
	}
}

// Far from the origin nothing is lost but the digits of the coordinates.
func TestFarOff(t *testing.T) {
	s := circle9().moved(geom.Shift(geom.Pt(1e6, 1e6)))
	arcs, dev, err := FitSpline(s, 1e-4)
	if err != nil || len(arcs) != 1 || dev > 1e-8 || math.Abs(arcs[0].R-1) > 1e-9 {
		t.Errorf("%+v, %g, %v", arcs, dev, err)
	}
}
