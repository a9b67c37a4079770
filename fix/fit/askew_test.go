package fit

import (
	"math"
	"testing"
)

// TestAt compares the width of a slot with one measured on a band that crosses another, made
// of points here.
func TestAt(t *testing.T) {
	for _, tt := range []struct{ angle, t, through, want float64 }{
		{90, 3, 3, 3},
		{0, 3, 3, 3},
		{60, 3, 3, 3 * 1.5 / (math.Sqrt(3) / 2)},
		{120, 3, 3, 3 * 1.5 / (math.Sqrt(3) / 2)},
		{45, 2, 5, 2*math.Sqrt2 + 5},
		{30, 3, 1, 6 + math.Sqrt(3)},
	} {
		s := Target{Thickness: tt.t, Clearance: 0.2}
		if got := s.At(tt.angle, tt.through); math.Abs(got.Width()-tt.want-0.2) > 1e-9 {
			t.Errorf("%g mm at %g degrees through %g mm: %g, want %g", tt.t, tt.angle, tt.through, got.Width(), tt.want+0.2)
		}
		if tt.angle == 0 {
			continue
		}
		// Corners of the band at both faces, and how far apart they are.
		lo, hi := math.Inf(1), math.Inf(-1)
		u := [2]float64{math.Cos(tt.angle * math.Pi / 180), math.Sin(tt.angle * math.Pi / 180)}
		for _, z := range []float64{0, tt.through} {
			for _, side := range []float64{-tt.t / 2, tt.t / 2} {
				// A place p with p.n = side and p.y = z, n across the band.
				x := (side - z*u[0]) / -u[1]
				lo, hi = min(lo, x), max(hi, x)
			}
		}
		if got := s.At(tt.angle, tt.through); math.Abs(got.Thickness-(hi-lo)) > 1e-9 {
			t.Errorf("at %g degrees: %g, measured %g", tt.angle, got.Thickness, hi-lo)
		}
	}
	if got := Foot(90, 3, 4); math.Abs(got-2) > 1e-9 {
		t.Errorf("a foot square to a sheet of 4 mm is %g mm from its middle", got)
	}
	if got, want := Foot(60, 3, 3), 1.5*(1+0.5)/(math.Sqrt(3)/2); math.Abs(got-want) > 1e-9 {
		t.Errorf("a foot at 60 degrees is %g mm off, want %g", got, want)
	}
}
