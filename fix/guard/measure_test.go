package guard

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"sluice/geom"
)

// TestMeasures compares measures known by formula, and the same a little off.
func TestMeasures(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 200 {
		// A plate with a round hole, somewhere, turned.
		w, h := 20+300*rng.Float64(), 20+200*rng.Float64()
		r := 1 + 8*rng.Float64()
		at := geom.Pt(r+(w-2*r)*rng.Float64(), r+(h-2*r)*rng.Float64())
		lay := geom.Turn(geom.Point{}, 7*rng.Float64()).Then(geom.Shift(geom.Pt(1000*rng.Float64(), -500*rng.Float64())))
		plate := geom.Path{
			geom.Line(geom.Pt(0, 0), geom.Pt(w, 0)), geom.Line(geom.Pt(w, 0), geom.Pt(w, h)),
			geom.Line(geom.Pt(w, h), geom.Pt(0, h)), geom.Line(geom.Pt(0, h), geom.Pt(0, 0)),
		}
		hole := geom.Path{geom.Circle(at, r).Reverse()}
		area := w*h - math.Pi*r*r
		middle := geom.Pt(w*h*w/2, w*h*h/2).Sub(at.Mul(math.Pi * r * r)).Mul(1 / area)
		good := Measured{Part{plate.Transform(lay), []geom.Path{hole.Transform(lay)}}, area, lay.Apply(middle)}
		if err := Measures([]Measured{good}); err != nil {
			t.Fatalf("%g x %g with a hole of %g: %v", w, h, 2*r, err)
		}
		for name, spoil := range map[string]func(m *Measured){
			"hole forgotten": func(m *Measured) { m.Area = w * h },
			"hole added":     func(m *Measured) { m.Area = w*h + math.Pi*r*r },
			"area 1 % off":   func(m *Measured) { m.Area *= 1.01 },
			"middle off":     func(m *Measured) { m.Centroid = m.Centroid.Add(geom.Pt(0.5, 0)) },
		} {
			bad := good
			spoil(&bad)
			var f *Fault
			if err := Measures([]Measured{good, bad}); !errors.As(err, &f) || f.What != Mismeasured || f.Others != 0 {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	if err := Measures([]Measured{{Part: Part{Outer: geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(9, 0)), geom.Line(geom.Pt(9, 0), geom.Pt(0, 0))}}}}); err != nil {
		t.Errorf("a sliver: %v", err)
	}
}
