package region

import (
	"math"
	"testing"

	"sluice/geom"
)

// TestBand checks the area of bands: of a run of length l, width w and no corner it is
// l w and a disc; each outside corner adds its sector, each inside one loses what the
// sides overlap.
func TestBand(t *testing.T) {
	pt := geom.Pt
	disc := math.Pi // of the width 2
	for _, tt := range []struct {
		name string
		run  geom.Path
		want float64
	}{
		{"line", geom.Path{geom.Line(pt(0, 0), pt(10, 0))}, 20 + disc},
		{"two in line", geom.Path{geom.Line(pt(0, 0), pt(4, 0)), geom.Line(pt(4, 0), pt(10, 0))}, 20 + disc},
		{"arc", geom.Path{geom.Arc(pt(0, 0), 5, 0, math.Pi)}, 5*math.Pi*2 + disc},
		{"arc the other way", geom.Path{geom.Arc(pt(0, 0), 5, math.Pi, -math.Pi)}, 5*math.Pi*2 + disc},
		{"corner", geom.Path{geom.Line(pt(0, 0), pt(10, 0)), geom.Line(pt(10, 0), pt(10, 10))}, 40 + disc - 1 + math.Pi/4},
		{"corner to the right", geom.Path{geom.Line(pt(0, 0), pt(10, 0)), geom.Line(pt(10, 0), pt(10, -10))}, 40 + disc - 1 + math.Pi/4},
		{"line into an arc", geom.Path{geom.Line(pt(0, 0), pt(10, 0)), geom.Arc(pt(10, 5), 5, -math.Pi/2, math.Pi/2)}, 20 + 5*math.Pi + disc},
	} {
		band, ok := Band(tt.run, 2)
		if !ok || math.Abs(band.Area()-tt.want) > 1e-6 {
			t.Errorf("%s: %v, %.6f mm2, want %.6f", tt.name, ok, band.Area(), tt.want)
		}
	}
	for name, run := range map[string]geom.Path{
		"too tight an arc": {geom.Arc(pt(0, 0), 0.9, 0, math.Pi)},
		"meets itself":     {geom.Arc(pt(0, 0), 5, 0, 1.9*math.Pi)},
		"runs back":        {geom.Line(pt(0, 0), pt(10, 0)), geom.Line(pt(10, 0), pt(10, 1)), geom.Line(pt(10, 1), pt(0, 1))},
	} {
		if band, ok := Band(run, 2); ok {
			t.Errorf("%s: a band of %.3f mm2", name, band.Area())
		}
	}
}
