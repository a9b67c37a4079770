package units

import (
	"math"
	"testing"
)

// Figures in inches are those of the definitions: the inch is 25.4 mm, the pound
// 0.45359237 kg, the gallon 231 cubic inches (3.785411784 l), and 50 kpsi about
// 345 MPa.
func TestSystems(t *testing.T) {
	for _, c := range []struct {
		name         string
		write        func(System) string
		metric, inch string
	}{
		{"length", func(s System) string { return s.Length(4.7625, 4) }, "4.7625 mm", "0.1875 in (4.7625 mm)"},
		{"run", func(s System) string { return s.Run(25400) }, "25.40 m", "1000.0 in (25.40 m)"},
		{"speed", func(s System) string { return s.Speed(558.8) }, "559 mm/min", "22.0 in/min (559 mm/min)"},
		{"mass", func(s System) string { return s.Mass(0.90718474, 3) }, "0.907 kg", "2.000 lb (0.907 kg)"},
		{"masses", func(s System) string { return s.MassRange(0.90718474, 0.45359237, 1.36077711) }, "0.9 kg (0.5 to 1.4)", "2.0 lb (1.0 to 3.0), 0.9 kg (0.5 to 1.4)"},
		{"grit", func(s System) string { return s.Flow(453.59237) }, "454 g/min", "1 lb/min (454 g/min)"},
		{"water", func(s System) string { return s.WaterFlow(3.785411784) }, "3.79 l/min", "1.00 gal/min (3.79 l/min)"},
		{"volumes", func(s System) string { return s.VolumeRange(37.85411784, 3.785411784, 75.70823568) }, "38 l (4 to 76)", "10.0 gal (1.0 to 20.0), 38 l (4 to 76)"},
		{"pressure", func(s System) string { return s.Pressure(345) }, "345 MPa", "50 kpsi (345 MPa)"},
		{"areas", func(s System) string { return s.Areas().Write(645.16) + " " + s.Areas().Unit() }, "645.2 mm2", "1.000 in2"},
		{"lengths", func(s System) string { return s.Lengths().Write(12.7) + " " + s.Lengths().Unit() }, "12.7 mm", "0.50 in"},
		{"column of masses", func(s System) string { return s.Masses().Write(0.45359237) + " " + s.Masses().Unit() }, "0.4536 kg", "1.0000 lb"},
		{"no number", func(s System) string { return s.Length(math.NaN(), 2) }, "? mm", "? in (? mm)"},
		{"nothing", func(s System) string { return s.Length(-1e-9, 2) }, "0 mm", "0 in (0 mm)"},
	} {
		if got := c.write(Of(false)); got != c.metric {
			t.Errorf("%s: %q, want %q", c.name, got, c.metric)
		}
		if got := c.write(Of(true)); got != c.inch {
			t.Errorf("%s in inches: %q, want %q", c.name, got, c.inch)
		}
	}
}
