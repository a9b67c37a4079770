package curve

import (
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
)

func benchSpline(b *testing.B, s *Spline, tol float64) {
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		arcs, _, err := FitSpline(s, tol)
		if err != nil {
			b.Fatal(err)
		}
		n = len(arcs)
	}
	b.ReportMetric(float64(n), "pieces")
}

// scribble is a cubic with n control points that wander at random.
func scribble(n int) *Spline {
	r := rand.New(rand.NewPCG(7, 8))
	s := &Spline{Degree: 3, Knots: []float64{0, 0, 0}}
	for i := range n {
		s.Ctrl = append(s.Ctrl, geom.Pt(100*r.Float64(), 100*r.Float64()))
		if i <= n-3 {
			s.Knots = append(s.Knots, float64(i))
		}
	}
	for range 3 {
		s.Knots = append(s.Knots, float64(n-3))
	}
	return s
}

func BenchmarkTinySpline(b *testing.B) {
	benchSpline(b, bezierSpline(pts(0, 0, 1, 2, 3, 2, 4, 0)...), 0.02)
}

func BenchmarkLineSpline(b *testing.B) {
	benchSpline(b, bezierSpline(pts(0, 0, 1, 1, 3, 3, 10, 10)...), 0.02)
}

func BenchmarkCircleSpline(b *testing.B) { benchSpline(b, circle9(), 0.02) }

func BenchmarkScribble100(b *testing.B)   { benchSpline(b, scribble(100), 0.02) }
func BenchmarkScribble10000(b *testing.B) { benchSpline(b, scribble(10000), 0.02) }

func BenchmarkEllipse(b *testing.B) {
	e := &Ellipse{Major: geom.Pt(50, 0), Ratio: 0.4, End: 2 * math.Pi}
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := FitEllipse(e, 0.02); err != nil {
			b.Fatal(err)
		}
	}
}

func benchRuns(b *testing.B, p geom.Path) {
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		n = len(DenseRuns(p, true, 0.01, 0.02))
	}
	b.ReportMetric(float64(n), "runs")
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(p)), "ns/line")
}

func BenchmarkRunsCircle(b *testing.B)  { benchRuns(b, polygon(100000, 500)) }
func BenchmarkRunsEllipse(b *testing.B) { benchRuns(b, ellipsePath(500, 300, 100000)) }

// BenchmarkRunsNoise is an outline of 100000 lines that turn softly but lie on
// no arcs.
func BenchmarkRunsNoise(b *testing.B) {
	r := rand.New(rand.NewPCG(9, 10))
	o, dir := from(0, 0), 0.0
	for range 100000 {
		dir += 0.2 * r.Float64()
		p := o.at.Add(geom.Polar(geom.Point{}, 1+3*r.Float64(), dir))
		o.line(p.X, p.Y)
	}
	benchRuns(b, o.p)
}
