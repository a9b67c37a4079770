package fit_test

import (
	"math"
	"testing"

	"sluice/fix/fit"
	"sluice/fix/fit/side"
)

// TestTee opens the corners of a slot along its shorter walls: each relief adds a
// half disc, passes through its corner, and leaves no corner that is too sharp.
func TestTee(t *testing.T) {
	path := slot(0)
	sides := side.Of(path, side.DefaultLimits())
	cs := fit.Corners(path, sides, 1)
	got, src, done := fit.Open(path, sides, cs, fit.Tee, 0.55)
	if !closed(got) || len(src) != len(got) || len(done) != 4 {
		t.Fatal(got)
	}
	if want := path.Reverse().Area() + 4*math.Pi*0.55*0.55/2; math.Abs(-got.Area()-want) > 1e-9 {
		t.Errorf("area %.9f, want %.9f", -got.Area(), want)
	}
	for _, c := range cs {
		if d, _ := got.Dist(c.At); d > 1e-9 {
			t.Errorf("corner %v lies %g from the outline", c.At, d)
		}
	}
	long := path.Box()
	for _, p := range got { // the slot grows lengthwise only
		if b := p.Box(); p.R > 0 && long.W() > long.H() && (b.Min.Y < long.Min.Y-1e-9 || b.Max.Y > long.Max.Y+1e-9) {
			t.Errorf("relief beyond the long walls: %+v", p)
		}
	}
	if again := fit.Corners(got, side.Of(got, side.DefaultLimits()), 1); len(again) != 0 {
		t.Errorf("%d corners left", len(again))
	}
}
