package geom

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// TestOrientNearDegenerate runs the grid of near-degenerate cases of Kettner,
// Mehlhorn, Pion, Schirra and Yap, "Classroom examples of robustness problems in
// geometric computations" (2008; from memory), in the manner of Shewchuk's: a
// point moved by single units in the last place beside the line through (12,12)
// and (24,24). The outside reference is exact rational arithmetic (math/big).
func TestOrientNearDegenerate(t *testing.T) {
	q, r := Pt(12, 12), Pt(24, 24)
	u := 0x1p-53
	zero, wrong := 0, 0
	for i := range 128 {
		for j := range 128 {
			p := Pt(0.5+float64(i)*u, 0.5+float64(j)*u)
			want := ratOrient(p, q, r)
			if got := Orient(p, q, r); got != want {
				t.Fatalf("Orient(%v) = %d, want %d", p, got, want)
			}
			if want == 0 {
				zero++
			}
			if s := sign((q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X)); s != want {
				wrong++
			}
		}
	}
	if zero == 0 || wrong == 0 {
		t.Errorf("the cases are too easy: %d on the line, %d wrong in plain arithmetic", zero, wrong)
	}
	// Collinearity of large integers needs more than 64 bits in the products
	// (Clipper2's published test): i = 9007199254740993 rounds as a double.
	const i = 9007199254740992.0
	if Orient(Pt(0, 0), Pt(i, 10*i), Pt(10*i, 100*i)) != 0 {
		t.Error("three points of one line are told apart")
	}
}

func ratOrient(a, b, c Point) int {
	r := func(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }
	sub := func(x, y float64) *big.Rat { return new(big.Rat).Sub(r(x), r(y)) }
	l := new(big.Rat).Mul(sub(a.X, c.X), sub(b.Y, c.Y))
	s := new(big.Rat).Mul(sub(a.Y, c.Y), sub(b.X, c.X))
	return l.Cmp(s)
}

// TestBulge checks arcs against the closed forms b = tan(s/4), chord 2 R
// sin(s/2), sagitta b c / 2, segment area R^2 (s - sin s) / 2, and the values
// that ezdxf's tests publish for bulge arcs.
func TestBulge(t *testing.T) {
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9*max(1, math.Abs(want)) {
			t.Errorf("%s = %.12g, want %.12g", what, got, want)
		}
	}
	for _, deg := range []float64{15, 30, 45, 60, 90, 120, 180, 270} {
		s := deg * math.Pi / 180
		p := Bulge(Pt(1, 2), Pt(1+2*math.Sin(s/2), 2), math.Tan(s/4))
		near("radius", p.R, 1)
		near("sweep", p.Sweep, s)
		near("length", p.Length(), s)
		near("bulge", p.BulgeValue(), math.Tan(s/4))
		near("sagitta", p.Mid().Dist(p.A.Mid(p.B)), math.Abs(math.Tan(s/4))*p.A.Dist(p.B)/2)
		near("segment", Path{p, Line(p.B, p.A)}.Area(), (s-math.Sin(s))/2)
		c := Path{p, Line(p.B, p.A)}.Centroid()
		near("centroid", c.Dist(p.C), 4*math.Pow(math.Sin(s/2), 3)/(3*(s-math.Sin(s))))
	}
	// R = 5, chord 10 gives bulge 1; R = 6.25, chord 10 gives 0.5 (ezdxf,
	// test_601_bulge).
	near("radius", Bulge(Pt(0, 0), Pt(10, 0), 1).R, 5)
	near("radius", Bulge(Pt(0, 0), Pt(10, 0), 0.5).R, 6.25)
	near("angle", Bulge(Pt(0, 0), Pt(10, 0), 0.5).Sweep*180/math.Pi, 106.26020471)
	// Three-point arc of GEOS's CircularArcTest.
	a := ThroughPoint(Pt(1.6, 0.4), Pt(1.6, 0.5), Pt(1.7, 1))
	near("GEOS arc length", a.Length(), 0.6122445326877711)
	near("GEOS arc centre", a.C.X, 3.15)
	near("GEOS arc centre", a.C.Y, 0.45)
	// Machinery's Handbook, 31st edition, page 50: R 12, segment depth 2.
	h := Bulge(Pt(0, 0), Pt(2*math.Sqrt(12*12-10*10), 0), 2/math.Sqrt(12*12-10*10))
	near("handbook chord", math.Round(h.A.Dist(h.B)*100)/100, 13.27)
	near("handbook arc", math.Round(h.Length()*100)/100, 14.06)
	near("handbook area", math.Round(Path{h, Line(h.B, h.A)}.Area()*100)/100, 18.01)
}

// TestPieceProperties holds measures against dense sampling, far from the origin
// and with small details.
func TestPieceProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	for range 2000 {
		off := Pt(rng.Float64()*2e6-1e6, rng.Float64()*2e6-1e6)
		size := math.Pow(10, rng.Float64()*5-3)
		p := Arc(off, size, rng.Float64()*7, (rng.Float64()*2-1)*2*math.Pi)
		if rng.IntN(4) == 0 {
			p = Line(off, off.Add(Polar(Point{}, size, rng.Float64()*7)))
		}
		tol := 1e-9 + 1e-7*size
		box := p.Box().Inflate(tol)
		q := off.Add(Polar(Point{}, 2*size*rng.Float64(), rng.Float64()*7))
		best := math.Inf(1)
		for k := range 257 {
			x := p.At(float64(k) / 256)
			best = min(best, x.Dist(q))
			if !box.Contains(x) {
				t.Fatalf("%+v leaves its box at %v", p, x)
			}
		}
		if d := p.Dist(q); d > best+tol || d < best-p.Length()/128-tol {
			t.Fatalf("%+v: distance %g, sampled %g", p, d, best)
		}
		n, s := p.Nearest(q)
		if math.Abs(n.Dist(q)-p.Dist(q)) > tol || p.At(s).Dist(n) > tol {
			t.Fatalf("%+v: nearest %v at %g", p, n, s)
		}
		if r := p.Reverse().Reverse(); r != p {
			t.Fatalf("reversing twice changes %+v", p)
		}
		u := rng.Float64()
		if a, b := p.Sub(0, u), p.Sub(u, 1); math.Abs(a.Length()+b.Length()-p.Length()) > tol || a.B.Dist(b.A) > tol {
			t.Fatalf("%+v: split lengths %g + %g", p, a.Length(), b.Length())
		}
	}
}

// TestContains holds point-in-outline against the winding number of a fine
// polygon, for outlines with arcs over half a turn.
func TestContains(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	for range 300 {
		off := Pt(rng.Float64()*1e6, -rng.Float64()*1e6)
		n := 3 + rng.IntN(5)
		var p Path
		at := func(i int) Point {
			return off.Add(Polar(Point{}, 10, 2*math.Pi*float64(i%n)/float64(n)))
		}
		for i := range n {
			p = append(p, Bulge(at(i), at(i+1), []float64{0, 0.2, -0.2, 1.4}[rng.IntN(4)]))
		}
		poly := p.Flatten(1e-6)
		for range 60 {
			q := off.Add(Pt(rng.Float64()*50-25, rng.Float64()*50-25))
			if d, _ := p.Dist(q); d < 1e-4 {
				continue
			}
			in := false
			for k := range len(poly) - 1 {
				a, b := poly[k], poly[k+1]
				if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(b.X-a.X)*(q.Y-a.Y)/(b.Y-a.Y) {
					in = !in
				}
			}
			if p.Contains(q) != in {
				t.Fatalf("%v in %v: %v, want %v", q, p, !in, in)
			}
		}
	}
}

// TestCrossings checks closed-form crossings.
func TestCrossings(t *testing.T) {
	for _, c := range []struct {
		name string
		p, q Piece
		want []Point
	}{
		{"lines", Line(Pt(0, 0), Pt(10, 10)), Line(Pt(0, 10), Pt(10, 0)), []Point{{5, 5}}},
		{"lines apart", Line(Pt(0, 0), Pt(4, 4)), Line(Pt(0, 10), Pt(10, 0)), nil},
		{"line and circle", Line(Pt(-10, 3), Pt(10, 3)), Circle(Pt(0, 0), 5), []Point{{-4, 3}, {4, 3}}},
		{"line touches circle", Line(Pt(-10, 5), Pt(10, 5)), Circle(Pt(0, 0), 5), nil},
		{"circles", Circle(Pt(0, 0), 5), Circle(Pt(6, 0), 5), []Point{{3, 4}, {3, -4}}},
		{"circles touch", Circle(Pt(0, 0), 5), Circle(Pt(10, 0), 5), nil},
		{"circle in circle", Circle(Pt(0, 0), 5), Circle(Pt(1, 0), 2), nil},
		{"half circle and line below", Arc(Pt(0, 0), 5, 0, math.Pi), Line(Pt(-10, -3), Pt(10, -3)), nil},
		{"far off", Line(Pt(1e6, 1e6), Pt(1e6+10, 1e6+10)), Line(Pt(1e6, 1e6+10), Pt(1e6+10, 1e6)), []Point{{1e6 + 5, 1e6 + 5}}},
	} {
		got := Crossings(nil, &c.p, &c.q, 0.001)
		if len(got) != len(c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
			continue
		}
		for _, w := range c.want {
			ok := false
			for _, g := range got {
				ok = ok || g.P.Dist(w) < 1e-9 && c.p.At(g.T).Dist(w) < 1e-9 && c.q.At(g.U).Dist(w) < 1e-9
			}
			if !ok {
				t.Errorf("%s: %v, want %v", c.name, got, c.want)
			}
		}
	}
}
