package drawing

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/curve"
)

// wave is a spline of n control points about step apart.
func wave(r *rand.Rand, n int, step float64) *curve.Spline {
	s := &curve.Spline{Degree: 3}
	for i := range n + 4 {
		s.Knots = append(s.Knots, float64(max(0, min(i-3, n-3))))
	}
	for i := range n {
		s.Ctrl = append(s.Ctrl, geom.Pt(float64(i)*step, step*(r.Float64()-0.5)*2))
	}
	return s
}

func withCurves(typ string, n int, s func() *curve.Spline) *Drawing {
	d := &Drawing{InsUnits: 4, Measurement: 1, Layers: []Layer{{Name: "0"}}}
	for i := range n {
		d.Entities = append(d.Entities, Entity{Type: typ, Kept: true, Line: int32(i + 1), Place: int32(i + 1)})
		d.Curves = append(d.Curves, Curve{Entity: int32(i), Kind: "SPLINE", Spline: s()})
	}
	return d
}

// The estimate of arcs is near what the fit takes, at every size.
func TestArcsFor(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, step := range []float64{1, 30, 1000, 1e5} {
		for _, tol := range []float64{0.001, 0.02, 0.2} {
			c := Curve{Spline: wave(r, 12, step)}
			want, points := arcsFor(&c, tol)
			arcs, _, err := curve.FitSpline(c.Spline, tol)
			if err != nil {
				t.Fatal(err)
			}
			if n := float64(len(arcs)); points != 12 || n > 3*want || n < want/8 {
				t.Errorf("step %g, tolerance %g: %d arcs, estimated %.0f", step, tol, len(arcs), want)
			}
		}
	}
}

// Honest drawings lose nothing, however many curves they hold; curves of
// kilometres, and those that a block repeats without end, stop at a bound, and
// what is left out is told.
func TestAllowed(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for name, c := range map[string]struct {
		d   *Drawing
		all bool
	}{
		"many small ones":        {withCurves("SPLINE", 20_000, func() *curve.Spline { return wave(r, 8, 5) }), true},
		"many in blocks":         {withCurves("INSERT", 3_000, func() *curve.Spline { return wave(r, 8, 5) }), true},
		"kilometres":             {withCurves("SPLINE", 300, func() *curve.Spline { return wave(r, 5, 1e9) }), false},
		"repeated without end":   {withCurves("INSERT", 100_000, func() *curve.Spline { return wave(r, 5, 5) }), false},
		"metres, a few in a row": {withCurves("SPLINE", 20, func() *curve.Spline { return wave(r, 200, 2000) }), true},
	} {
		ok := c.d.allowed(0.02)
		n := 0
		for _, v := range ok {
			if v {
				n++
			}
		}
		if (n == len(ok)) != c.all || n == 0 {
			t.Errorf("%s: %d of %d", name, n, len(ok))
		}
	}
	d := withCurves("SPLINE", 300, func() *curve.Spline { return wave(r, 5, 1e9) })
	if err := d.Resolve("", "", UnitHints{}, 0.02); err != nil {
		t.Fatal(err)
	}
	if err := d.Check(); err != nil {
		t.Fatal(err)
	}
	many, lost := 0, 0 // the rest is larger than its tolerance can be told at
	for _, p := range d.Problems {
		if p.Lost {
			lost++
			if strings.Contains(p.Text, "too many") {
				many++
			}
		}
	}
	if many == 0 || lost+len(d.Curves) != 300 {
		t.Errorf("%d told, %d of them as too many, %d kept of 300", lost, many, len(d.Curves))
	}
}

func TestResolveCancel(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	d := withCurves("SPLINE", 100, func() *curve.Spline { return wave(rand.New(rand.NewPCG(5, 6)), 8, 5) })
	if err := d.ResolveContext(ctx, "", "", UnitHints{}, 0.02); !errors.Is(err, context.Canceled) {
		t.Errorf("err %v", err)
	}
}

// Check finds what must not be.
func TestCheck(t *testing.T) {
	for name, spoil := range map[string]func(*Drawing){
		"order":    func(d *Drawing) { d.Strokes[0].Entity, d.Strokes[1].Entity = 1, 0 },
		"entity":   func(d *Drawing) { d.Strokes[1].Entity = 7 },
		"layer":    func(d *Drawing) { d.Texts[0].Layer = -1 },
		"number":   func(d *Drawing) { d.Strokes[0].A.X = math.NaN() },
		"curve":    func(d *Drawing) { d.Curves[0].Count = 9 },
		"untold":   func(d *Drawing) { d.Notices = nil },
		"kept":     func(d *Drawing) { d.Entities[0].Kept = false },
		"drawn":    func(d *Drawing) { d.Entities[2].Kept = true },
		"problem":  func(d *Drawing) { d.Problems = append(d.Problems, Problem{Line: 3, Entity: -1}) },
		"no place": func(d *Drawing) { d.Points[0].Entity = -2 },
	} {
		d := &Drawing{
			Layers:   []Layer{{Name: "0"}},
			Entities: []Entity{{Type: "LINE", Kept: true}, {Type: "SPLINE", Kept: true}, {Type: "IMAGE"}},
			Strokes:  []Stroke{{Piece: geom.Line(geom.Pt(0, 0), geom.Pt(1, 0))}, {Piece: geom.Line(geom.Pt(0, 0), geom.Pt(1, 0)), Entity: 1}},
			Curves:   []Curve{{Entity: 1, First: 1, Count: 1}},
			Texts:    []Text{{Entity: 0}},
			Points:   []Mark{{Entity: 1}},
			Notices:  []Notice{{Entity: 2, Text: "a picture"}},
		}
		if err := d.Check(); err != nil {
			t.Fatal(err)
		}
		if spoil(d); d.Check() == nil {
			t.Errorf("%s: not found", name)
		}
	}
}
