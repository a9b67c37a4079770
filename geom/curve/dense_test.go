package curve

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

// outline builds paths of lines and exploded arcs.
type outline struct {
	p  geom.Path
	at geom.Point
}

func from(x, y float64) *outline { return &outline{at: geom.Pt(x, y)} }

func (o *outline) line(x, y float64) *outline {
	b := geom.Pt(x, y)
	o.p = append(o.p, geom.Line(o.at, b))
	o.at = b
	return o
}

// arc adds n chords of the arc about c that turns through the angle.
func (o *outline) arc(cx, cy, turn float64, n int) *outline {
	c, s := geom.Pt(cx, cy), o.at
	for i := 1; i <= n; i++ {
		b := c.Add(s.Sub(c).Rotate(turn * float64(i) / float64(n)))
		o.line(b.X, b.Y)
	}
	return o
}

// close ends the path where it began.
func (o *outline) close() geom.Path {
	o.line(o.p[0].A.X, o.p[0].A.Y)
	return o.p
}

// joinEnds replaces the last point of a path by its first, for arcs that end
// there but for rounding.
func joinEnds(p geom.Path) geom.Path {
	p[len(p)-1].B = p[0].A
	return p
}

func polygon(n int, r float64) geom.Path {
	return joinEnds(from(r, 0).arc(0, 0, 2*math.Pi, n).p)
}

// roundedRect is 100 x 60 with corners of radius 10 in n chords each.
func roundedRect(n int) geom.Path {
	q := math.Pi / 2
	return from(10, 0).line(90, 0).arc(90, 10, q, n).line(100, 50).arc(90, 50, q, n).
		line(10, 60).arc(10, 50, q, n).line(0, 10).arc(10, 10, q, n).p
}

// wheel has 12 teeth with straight flanks.
func wheel() geom.Path {
	var o *outline
	for i := range 48 {
		r := 20.0
		if i%4 < 2 {
			r = 24
		}
		p := geom.Polar(geom.Point{}, r, 2*math.Pi*float64(i)/48)
		if o == nil {
			o = from(p.X, p.Y)
		} else {
			o.line(p.X, p.Y)
		}
	}
	return o.close()
}

func ellipsePath(a, b float64, n int) geom.Path {
	o := from(a, 0)
	for i := 1; i < n; i++ {
		t := 2 * math.Pi * float64(i) / float64(n)
		o.line(a*math.Cos(t), b*math.Sin(t))
	}
	return o.close()
}

// found is what a test states about a run.
type found struct {
	First, Count int
	Radius, Turn float64 // mm, degrees
	Circle       bool
}

func summary(rs []Run) (out []found) {
	for _, r := range rs {
		out = append(out, found{r.First, r.Count, math.Round(r.Arc.R*1e4) / 1e4,
			math.Round(r.Arc.Sweep*180/math.Pi*1e4) / 1e4, r.Circle})
	}
	return out
}

func TestDenseRuns(t *testing.T) {
	q := math.Pi / 2
	stadium := joinEnds(from(0, 0).line(50, 0).arc(50, 10, 2*q, 24).line(0, 20).arc(0, 10, 2*q, 24).p)
	wrapped := append(slices.Clone(stadium[10:]), stadium[:10]...)
	serpent := from(0, 0).arc(0, 10, q, 12).arc(20, 10, -2*q, 24).line(30, -5).p
	mixed := append(from(0, 0).line(20, 0).p, geom.Arc(geom.Pt(20, 5), 5, -q, q))
	mixed = append(mixed, from(25, 5).arc(15, 5, q, 20).p...)
	two := from(0, 0).line(60, 0).arc(60, 20, q, 18).arc(75, 20, q, 18).line(75, 60).p
	for _, c := range []struct {
		name   string
		p      geom.Path
		closed bool
		want   []found
	}{
		{"nothing", nil, true, nil},
		{"hexagon", polygon(6, 20), true, nil},
		{"octagon", polygon(8, 20), true, nil},
		{"12 sides", polygon(12, 20), true, nil},
		{"23 sides turn more than 15 degrees", polygon(23, 20), true, nil},
		{"24 sides turn 15 degrees", polygon(24, 20), true, []found{{0, 24, 20, 360, true}}},
		{"circle of 72 lines", polygon(72, 20), true, []found{{0, 72, 20, 360, true}}},
		{"circle clockwise", polygon(72, 20).Reverse(), true, []found{{0, 72, 20, -360, true}}},
		{"12 teeth", wheel(), true, nil},
		{"rectangle", from(0, 0).line(9, 0).line(9, 5).line(0, 5).close(), true, nil},
		{"straight in 40 pieces", from(0, 0).line(1, 0).line(2, 0).line(3, 0).line(4, 0).line(5, 0).line(6, 0).line(7, 0).line(8, 0).line(9, 0).line(10, 0).p, false, nil},
		{"nearly straight", from(0, 0).arc(0, 1e5, 4e-4, 20).p, false, nil},
		{"7 lines", from(10, 0).arc(0, 0, q, 7).p, false, nil},
		{"8 lines", from(10, 0).arc(0, 0, q, 8).p, false, []found{{0, 8, 10, 90, false}}},
		{"three quarters", from(10, 0).arc(0, 0, 3*q, 60).p, false, []found{{0, 60, 10, 270, false}}},
		{"almost round", from(10, 0).arc(0, 0, 3.9*q, 90).p, false, []found{{0, 90, 10, 351, false}}},
		{"rounded rectangle", roundedRect(12), true, []found{{1, 12, 10, 90, false}, {14, 12, 10, 90, false}, {27, 12, 10, 90, false}, {40, 12, 10, 90, false}}},
		{"rounded rectangle, fine", roundedRect(90), true, []found{{1, 90, 10, 90, false}, {92, 90, 10, 90, false}, {183, 90, 10, 90, false}, {274, 90, 10, 90, false}}},
		{"stadium", stadium, true, []found{{1, 24, 10, 180, false}, {26, 24, 10, 180, false}}},
		{"run over the seam", wrapped, true, []found{{16, 24, 10, 180, false}, {41, 24, 10, 180, false}}},
		{"left then right", serpent, false, []found{{0, 12, 10, 90, false}, {12, 24, 10, -180, false}}},
		{"beside a true arc", mixed, false, []found{{2, 20, 10, 90, false}}},
		{"radius 20 then 5 less", two, false, []found{{1, 18, 20, 90, false}, {19, 18, 5, 90, false}}},
	} {
		got := summary(DenseRuns(c.p, c.closed, 0.01, 0.02))
		if d := cmp.Diff(c.want, got); d != "" {
			t.Errorf("%s: %s", c.name, d)
		}
	}
}

// What a run says of itself is so: the arc joins the run's ends exactly, the
// points lie within `same` of it, and the deviation is the sagitta. Regular
// polygons give closed forms: the sagitta of n sides is r (1 - cos(pi/n)).
func TestRunMeasures(t *testing.T) {
	for _, n := range []int{24, 36, 72, 360} {
		r := DenseRuns(polygon(n, 20), true, 0.01, 0.001)
		if len(r) != 1 {
			t.Fatalf("%d sides: %d runs", n, len(r))
		}
		if s := 20 * (1 - math.Cos(math.Pi/float64(n))); math.Abs(r[0].Deviation-s) > 1e-9 {
			t.Errorf("%d sides: deviation %g, sagitta %g", n, r[0].Deviation, s)
		}
		if m := 2 * math.Pi / float64(n); math.Abs(r[0].MaxTurn-m) > 1e-9 {
			t.Errorf("%d sides: largest turn %g, want %g", n, r[0].MaxTurn, m)
		}
		if d := r[0].Arc.C.Norm(); d > 1e-9 || !r[0].Arc.IsCircle() {
			t.Errorf("%d sides: centre off by %g", n, d)
		}
	}
	rnd := rand.New(rand.NewPCG(5, 6))
	p := roundedRect(20)
	for i := range p { // noise of a file with three decimals
		d := geom.Pt(rnd.Float64()-0.5, rnd.Float64()-0.5).Mul(1e-3)
		p[i].A = p[i].A.Add(d)
		p[(i+len(p)-1)%len(p)].B = p[i].A
	}
	runs := DenseRuns(p, true, 0.01, 0.02)
	if len(runs) != 4 {
		t.Fatalf("%d runs: %+v", len(runs), summary(runs))
	}
	for _, r := range runs {
		if r.Arc.A != p[r.First].A || r.Arc.B != p[(r.First+r.Count-1)%len(p)].B {
			t.Errorf("run at %d: arc runs %v to %v", r.First, r.Arc.A, r.Arc.B)
		}
		if math.Abs(r.Arc.R-10) > 0.02 || r.Count != 20 {
			t.Errorf("run at %d: radius %g, %d lines", r.First, r.Arc.R, r.Count)
		}
		var lines []geom.Point
		for k := range r.Count {
			q := p[(r.First+k)%len(p)]
			for x := range 50 {
				lines = append(lines, q.A.Lerp(q.B, float64(x)/50))
			}
			if d := r.Arc.Dist(q.A); d > 0.01 {
				t.Errorf("run at %d: point %d is %g off", r.First, k, d)
			}
		}
		lines = append(lines, r.Arc.B)
		measured := max(farthest(lines, samplesOfPieces([]geom.Piece{r.Arc}, 2000)),
			farthest(samplesOfPieces([]geom.Piece{r.Arc}, 2000), lines))
		if math.Abs(measured-r.Deviation) > 2e-5 {
			t.Errorf("run at %d: deviation told %g, measured %g", r.First, r.Deviation, measured)
		}
	}
}

// An exploded ellipse is several arcs, each within `same`.
func TestDenseEllipse(t *testing.T) {
	p := ellipsePath(40, 25, 360)
	runs := DenseRuns(p, true, 0.01, 0.02)
	lines := 0
	for i, r := range runs {
		lines += r.Count
		if i > 0 && r.First < runs[i-1].First+runs[i-1].Count {
			t.Errorf("runs %d and %d overlap", i-1, i)
		}
		for k := range r.Count {
			if d := r.Arc.Dist(p[(r.First+k)%len(p)].A); d > 0.01 {
				t.Errorf("run %d: point %d is %g off", i, k, d)
			}
		}
	}
	if len(runs) < 8 || len(runs) > 24 || lines < 340 {
		t.Errorf("%d runs over %d of 360 lines", len(runs), lines)
	}
}

// Turned, shifted, mirrored, reversed, started elsewhere and scaled paths have
// the same runs.
func TestMovedRuns(t *testing.T) {
	for name, p := range map[string]geom.Path{
		"rounded rectangle": roundedRect(16), "ellipse": ellipsePath(40, 25, 240), "circle": polygon(90, 30),
	} {
		want := DenseRuns(p, true, 0.01, 0.02)
		count := func(rs []Run) (n []int) {
			for _, r := range rs {
				n = append(n, r.Count)
			}
			slices.Sort(n)
			return n
		}
		for kind, c := range map[string]struct {
			p     geom.Path
			scale float64
		}{
			"turned":   {p.Transform(geom.Turn(geom.Pt(3, 4), 1.234)), 1},
			"shifted":  {p.Transform(geom.Shift(geom.Pt(1e5, -1e5))), 1},
			"mirrored": {p.Transform(geom.MirrorX(7)), 1},
			"inch":     {p.Transform(geom.Scaling(1 / 25.4)), 1 / 25.4},
			"reversed": {p.Reverse(), 1},
			"rotated":  {append(slices.Clone(p[7:]), p[:7]...), 1},
		} {
			got := DenseRuns(c.p, true, 0.01*c.scale, 0.02*c.scale)
			if name == "ellipse" { // symmetric: where the first run starts is a tie
				if len(got) != len(want) {
					t.Errorf("%s %s: %d runs, were %d", name, kind, len(got), len(want))
				}
				continue
			}
			if d := cmp.Diff(count(want), count(got)); d != "" {
				t.Errorf("%s %s: %s", name, kind, d)
			}
		}
	}
}
