package curve

import (
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"sluice/geom"
)

func near(tol float64) cmp.Option { return cmpopts.EquateApprox(0, tol) }

func pts(xy ...float64) []geom.Point {
	var ps []geom.Point
	for i := 0; i < len(xy); i += 2 {
		ps = append(ps, geom.Pt(xy[i], xy[i+1]))
	}
	return ps
}

// circle9 is the unit circle in 9 points (Piegl & Tiller, The NURBS Book,
// section 7.5, from memory).
func circle9() *Spline {
	w := math.Sqrt2 / 2
	return &Spline{
		Degree: 2, Closed: true,
		Knots:   []float64{0, 0, 0, .25, .25, .5, .5, .75, .75, 1, 1, 1},
		Ctrl:    pts(1, 0, 1, 1, 0, 1, -1, 1, -1, 0, -1, -1, 0, -1, 1, -1, 1, 0),
		Weights: []float64{1, w, 1, w, 1, w, 1, w, 1},
	}
}

// circle7 is the unit circle in 7 points (the same book, from memory).
func circle7() *Spline {
	r := math.Sqrt(3)
	return &Spline{
		Degree: 2, Closed: true,
		Knots:   []float64{0, 0, 0, 1. / 3, 1. / 3, 2. / 3, 2. / 3, 1, 1, 1},
		Ctrl:    pts(1, 0, 1, r, -.5, r/2, -2, 0, -.5, -r/2, 1, -r, 1, 0),
		Weights: []float64{1, .5, 1, .5, 1, .5, 1},
	}
}

// bezierSpline is one Bézier segment as a spline.
func bezierSpline(ctrl ...geom.Point) *Spline {
	p := len(ctrl) - 1
	knots := make([]float64, 2*p+2)
	for i := p + 1; i < len(knots); i++ {
		knots[i] = 1
	}
	return &Spline{Degree: p, Knots: knots, Ctrl: ctrl}
}

// uniformCircle is a closed uniform cubic whose control points lie on a circle
// of radius r about c.
func uniformCircle(c geom.Point, r float64, n int) *Spline {
	s := &Spline{Degree: 3, Closed: true, Periodic: true}
	for i := range n + 3 {
		s.Ctrl = append(s.Ctrl, geom.Polar(c, r, 2*math.Pi*float64(i%n)/float64(n)))
	}
	for i := range n + 7 {
		s.Knots = append(s.Knots, float64(i))
	}
	return s
}

// Values computed from the 9-point circle with weights 1, sqrt(2)/2 by direct
// evaluation of the rational quadratic; on the unit circle to 1e-16.
func TestCirclePoints(t *testing.T) {
	s := circle9()
	for _, c := range []struct{ u, x, y float64 }{
		{0, 1, 0}, {0.1, 0.8138260361, 0.5811085811}, {0.125, math.Sqrt2 / 2, math.Sqrt2 / 2},
		{0.3, -0.2938119377, 0.9558632461}, {0.5, -1, 0}, {1, 1, 0},
	} {
		if d := cmp.Diff(geom.Pt(c.x, c.y), s.At(c.u), near(6e-11)); d != "" {
			t.Errorf("at %g: %s", c.u, d)
		}
	}
	for _, s := range []*Spline{circle9(), circle7()} {
		for i := range 101 {
			u := float64(i) / 100
			p, v := s.At(u), s.Derivative(u)
			if math.Abs(p.Norm()-1) > 4e-16 || math.Abs(p.Dot(v)) > 1e-13*v.Norm() {
				t.Errorf("%d points, u=%g: radius %.17g, radial speed %g", len(s.Ctrl), u, p.Norm(), p.Dot(v))
			}
		}
	}
}

// The NURBS Book, examples 2.3 and 2.4 (pages 68-72, as quoted in the tests of
// an open NURBS library): degree 2, u = 5/2. A spline whose control points are
// 0 but for one is that basis function.
func TestBasisFunctions(t *testing.T) {
	knots := []float64{0, 0, 0, 1, 2, 3, 4, 4, 5, 5, 5}
	want := map[int][3]float64{2: {1. / 8, -1. / 2, 1}, 3: {6. / 8, 0, -2}, 4: {1. / 8, 1. / 2, 1}}
	for i := range 8 {
		s := &Spline{Degree: 2, Knots: knots, Ctrl: make([]geom.Point, 8)}
		s.Ctrl[i] = geom.Pt(1, 2)
		c, err := s.chain()
		if err != nil {
			t.Fatal(err)
		}
		p := c.locate(2.5)
		v, d, dd := c.segs[p.seg].jet(p.t)
		got := [3]float64{v.X + c.origin.X, d.X, dd.X} // the span has length 1
		if d := cmp.Diff(want[i], got, near(1e-14)); d != "" {
			t.Errorf("N%d: %s", i, d)
		}
		if d := cmp.Diff([2]float64{2 * want[i][0], 2 * want[i][1]}, [2]float64{s.At(2.5).Y, s.Derivative(2.5).Y}, near(1e-14)); d != "" {
			t.Errorf("y of N%d: %s", i, d)
		}
	}
}

// Every evaluation agrees with the recursive definition of the basis functions.
func TestAgainstDefinition(t *testing.T) {
	for deg := 1; deg <= 6; deg++ {
		for _, rational := range []bool{false, true} {
			s := wavy(deg, 12, rational)
			lo, hi := s.Domain()
			for i := range 50 {
				u := lo + (hi-lo)*(float64(i)+0.37)/50
				if d := s.At(u).Dist(plainAt(s, u)); d > 1e-12 {
					t.Errorf("degree %d, u=%g: off by %g", deg, u, d)
				}
				const h = 1e-5
				v := plainAt(s, u+h).Sub(plainAt(s, u-h)).Mul(1 / (2 * h))
				if d := s.Derivative(u).Sub(v).Norm(); d > 1e-5*(1+v.Norm()) && deg > 1 {
					t.Errorf("degree %d, u=%g: derivative off by %g", deg, u, d)
				}
			}
		}
	}
}

// wavy is an unclamped spline with uneven knots along a wave.
func wavy(deg, n int, rational bool) *Spline {
	s := &Spline{Degree: deg}
	for i := range n {
		x := float64(i)
		s.Ctrl = append(s.Ctrl, geom.Pt(10*x, 9*math.Sin(1.3*x)+3*math.Cos(0.7*x)))
		if rational {
			s.Weights = append(s.Weights, 1+0.6*math.Sin(2.1*x))
		}
	}
	u := 0.0
	for i := range n + deg + 1 {
		s.Knots = append(s.Knots, u)
		u += 1 + 0.5*math.Sin(float64(i))
	}
	return s
}

// Cubic Bézier (0,0)(0,1)(1,1)(1,0): length 2 and area 0.6, exactly. The arcs
// that replace it must agree as far as their deviation lets them.
func TestBezierLengthAndArea(t *testing.T) {
	s := bezierSpline(pts(0, 0, 0, 1, 1, 1, 1, 0)...)
	for _, tol := range []float64{1e-3, 1e-5, 1e-7} {
		arcs, dev, err := FitSpline(s, tol)
		if err != nil {
			t.Fatal(err)
		}
		closed := append(geom.Path(arcs), geom.Line(geom.Pt(1, 0), geom.Pt(0, 0)))
		if l := closed.Length() - 1; math.Abs(l-2) > 10*dev {
			t.Errorf("tol %g: length %.9f", tol, l)
		}
		if a := -closed.Area(); math.Abs(a-0.6) > 2*dev {
			t.Errorf("tol %g: area %.9f", tol, a)
		}
	}
}

// The cubic Bézier quarter circle with k = 4/3 (sqrt 2 - 1) strays outward by
// up to 2.7253e-4 of the radius (well known; computed here by sampling too).
func TestBezierCircleConstant(t *testing.T) {
	k := 4. / 3 * (math.Sqrt2 - 1)
	if math.Abs(k-0.5522847498) > 5e-11 {
		t.Fatalf("constant %.12f", k)
	}
	s := bezierSpline(pts(1, 0, 1, k, k, 1, 0, 1)...)
	c, err := s.chain()
	if err != nil {
		t.Fatal(err)
	}
	// Against the true circle: the bound itself.
	dev, ok := c.along(pos{0, 0}, pos{0, 1}, ray{geom.Pt(0, 0), geom.Pt(0, 1), 1}, 1e-3)
	if !ok || dev < 2.725e-4 || dev > 2.7253e-4*1.06 {
		t.Errorf("deviation from the circle %g, %v", dev, ok)
	}
	// The best arc through the ends halves that at most.
	arcs, dev, err := FitSpline(s, 1e-3)
	if err != nil || len(arcs) != 1 || dev > 2.7253e-4 {
		t.Errorf("%d arcs, deviation %g, %v", len(arcs), dev, err)
	}
}

// A fit-point spline passes through its points with continuous slope and second
// derivative, has no second derivative at free ends, and follows given ones.
func TestInterpolation(t *testing.T) {
	for _, round := range []bool{false, true} {
		s := &Spline{Degree: 3, Fit: pts(0, 0, 10, 5, 22, 0, 30, -7, 41, 3, 20, 30), Closed: round}
		c, err := s.chain()
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range s.Fit {
			if d := c.at(c.knots[i]).Dist(p); d > 1e-12 {
				t.Errorf("round %v: fit point %d missed by %g", round, i, d)
			}
		}
		n := len(c.segs)
		for i := range n {
			h, k := c.knots[i+1]-c.knots[i], c.knots[1]-c.knots[0]
			_, d1, e1 := c.segs[i].jet(1)
			next := c.segs[(i+1)%n]
			if i+1 < n {
				k = c.knots[i+2] - c.knots[i+1]
			}
			_, d2, e2 := next.jet(0)
			switch {
			case i+1 < n || round:
				if d := d1.Mul(1 / h).Dist(d2.Mul(1 / k)); d > 1e-12 {
					t.Errorf("round %v: slope jumps by %g at %d", round, d, i+1)
				}
				if d := e1.Mul(1 / h / h).Dist(e2.Mul(1 / k / k)); d > 1e-12 {
					t.Errorf("round %v: second derivative jumps by %g at %d", round, d, i+1)
				}
			default:
				if e1.Norm() > 1e-11*h*h {
					t.Errorf("free end has second derivative %v", e1)
				}
			}
		}
	}
	s := &Spline{Fit: pts(0, 0, 10, 0), StartTan: geom.Pt(0, 3), EndTan: geom.Pt(0, -1)}
	if d := cmp.Diff([]geom.Point{geom.Pt(0, 1), geom.Pt(0, -1)},
		[]geom.Point{s.Derivative(0), s.Derivative(10)}, near(1e-14)); d != "" {
		t.Errorf("end tangents: %s", d)
	}
}

// Perimeters by the arithmetic-geometric mean and by quadrature (computed
// outside this project): a=2, b=1 and a=5, b=3.
func TestEllipsePerimeter(t *testing.T) {
	for _, c := range []struct{ a, b, want float64 }{
		{2, 1, 9.688448220547675}, {5, 3, 25.526998863398}, {1, 1, 2 * math.Pi},
	} {
		e := &Ellipse{Center: geom.Pt(3, 4), Major: geom.Polar(geom.Point{}, c.a, 0.3), Ratio: c.b / c.a, End: 2 * math.Pi}
		if l := e.Length(); math.Abs(l-c.want) > 1e-11 {
			t.Errorf("a=%g b=%g: %.13f, want %.13f", c.a, c.b, l, c.want)
		}
		arcs, dev, err := FitEllipse(e, 1e-5)
		if err != nil {
			t.Fatal(err)
		}
		p := geom.Path(arcs)
		if math.Abs(p.Length()-c.want) > 2*math.Pi*dev+1e-9 {
			t.Errorf("a=%g b=%g: arcs are %.9f long", c.a, c.b, p.Length())
		}
		if area := p.Area(); math.Abs(area-math.Pi*c.a*c.b) > c.want*dev+1e-9 {
			t.Errorf("a=%g b=%g: arcs hold %.9f mm2", c.a, c.b, area)
		}
	}
	// The rule's nodes and weights: powers up to 19 over -1..1.
	for p := 0; p < 20; p += 2 {
		var sum float64
		for k, x := range gaussX {
			sum += 2 * gaussW[k] * math.Pow(x, float64(p))
		}
		if math.Abs(sum-2/float64(p+1)) > 1e-14 {
			t.Errorf("integral of x^%d: %.16f", p, sum)
		}
	}
}

// Quarter ellipse a=2, b=1 about (1,1) as a rational quadratic, and an arc of
// angle 90 degrees: control points as in the tests of the ezdxf library.
func TestEllipseAsBezier(t *testing.T) {
	e := &Ellipse{Center: geom.Pt(1, 1), Major: geom.Pt(2, 0), Ratio: 0.5, End: math.Pi / 2}
	c, err := e.chain()
	if err != nil || len(c.segs) != 1 {
		t.Fatal(len(c.segs), err)
	}
	var got []geom.Point
	for _, h := range c.segs[0] {
		got = append(got, h.point().Add(c.origin))
	}
	if d := cmp.Diff(pts(3, 1, 3, 2, 1, 2), got, near(1e-15)); d != "" {
		t.Error(d)
	}
	if w := c.segs[0][1].W; math.Abs(w-math.Cos(math.Pi/4)) > 1e-15 {
		t.Errorf("weight %g", w)
	}
	for i := range 9 {
		e := &Ellipse{Major: geom.Pt(2, 1), Ratio: 0.4, Start: 0.3 * float64(i), End: 0.3*float64(i) + 0.5*float64(i+1), Mirrored: i%2 == 1}
		c, err := e.chain()
		if err != nil {
			t.Fatal(err)
		}
		for j := range 11 {
			p := c.at(e.Start + (e.End-e.Start)*float64(j)/10)
			// On the ellipse: its implicit equation.
			x := p.Dot(e.Major) / e.Major.Dot(e.Major)
			y := p.Dot(e.minor()) / e.minor().Dot(e.minor())
			if math.Abs(x*x+y*y-1) > 1e-14 {
				t.Error(fmt.Sprint("ellipse ", i, ": ", p, " is off it"))
			}
		}
	}
}
