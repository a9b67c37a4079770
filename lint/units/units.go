// Package units writes quantities for people: in millimetres and kilograms, or in
// inches and pounds with those beside them. Quantities come in the units that the
// rest of the program reckons in.
package units

import (
	"math"
	"strconv"
	"strings"

	"sluice/lint/job"
)

// System is a system of units.
type System uint8

const (
	Metric System = iota
	Inches        // in inches and pounds, with the metric figures in brackets
)

// Of returns the system to tell quantities in.
func Of(inches bool) System {
	if inches {
		return Inches
	}
	return Metric
}

// gallon is the US gallon, 231 cubic inches, l.
const gallon = 231 * job.Inch * job.Inch * job.Inch * 1e-6

// both puts an inch figure before a metric one.
func (s System) both(inch, metric string) string {
	if s == Inches {
		return inch + " (" + metric + ")"
	}
	return metric
}

// Length writes a length, mm, to at most so many decimals of a mm.
func (s System) Length(mm float64, decimals int) string {
	return s.both(Figure(mm/job.Inch, min(decimals+1, 4))+" in", Figure(mm, decimals)+" mm")
}

// Run writes the length of what is run, mm.
func (s System) Run(mm float64) string { return s.LongRun(mm, 2) }

// LongRun writes the same to so many decimals of a m.
func (s System) LongRun(mm float64, decimals int) string {
	return s.both(Fixed(mm/job.Inch, 1)+" in", Fixed(mm/1000, decimals)+" m")
}

// Area writes an area, mm2.
func (s System) Area(mm2 float64) string {
	return s.both(Fixed(mm2/(job.Inch*job.Inch), 3)+" in2", Fixed(mm2, 1)+" mm2")
}

// Surface writes an area, mm2, larger than that of a part.
func (s System) Surface(mm2 float64) string {
	return s.both(Fixed(mm2/(job.Inch*job.Inch), 1)+" in²", Fixed(mm2/100, 1)+" cm²")
}

// Speed writes a speed, mm/min.
func (s System) Speed(v float64) string {
	return s.both(Fixed(v/job.Inch, 1)+" in/min", Fixed(v, 0)+" mm/min")
}

// Mass writes a mass, kg, to so many decimals.
func (s System) Mass(kg float64, decimals int) string {
	return s.both(Fixed(kg/job.Pound, decimals)+" lb", Fixed(kg, decimals)+" kg")
}

// Flow writes a flow of grit, g/min.
func (s System) Flow(v float64) string {
	return s.both(Figure(v/1000/job.Pound, 2)+" lb/min", Figure(v, 0)+" g/min")
}

// MassRange writes a mass with its range, kg.
func (s System) MassRange(likely, low, high float64) string {
	return s.span(likely, low, high, quantity{"lb", 1 / job.Pound, 1}, quantity{"kg", 1, 1})
}

// WaterFlow writes a flow of water, l/min.
func (s System) WaterFlow(v float64) string {
	return s.both(Fixed(v/gallon, 2)+" gal/min", Fixed(v, 2)+" l/min")
}

// VolumeRange writes a volume with its range, l.
func (s System) VolumeRange(likely, low, high float64) string {
	return s.span(likely, low, high, quantity{"gal", 1 / gallon, 1}, quantity{"l", 1, 0})
}

// quantity is how a figure is written: its unit, by what it is multiplied, and to
// how many decimals.
type quantity struct {
	unit     string
	factor   float64
	decimals int
}

func (q quantity) write(v float64) string { return Fixed(v*q.factor, q.decimals) }

func (s System) span(likely, low, high float64, inch, metric quantity) string {
	write := func(q quantity) string {
		return q.write(likely) + " " + q.unit + " (" + q.write(low) + " to " + q.write(high) + ")"
	}
	if s == Inches {
		return write(inch) + ", " + write(metric)
	}
	return write(metric)
}

// Pressure writes a pressure, MPa.
func (s System) Pressure(v float64) string {
	return s.both(Figure(v/job.KPSI, 1)+" kpsi", Figure(v, 1)+" MPa")
}

// Column is a column of a table, which has room for one figure alone.
type Column struct{ q quantity }

// Unit returns what stands in the head of the column.
func (c Column) Unit() string { return c.q.unit }

// Write writes a figure of the column.
func (c Column) Write(v float64) string { return c.q.write(v) }

// column is a column in one of two units.
func (s System) column(inch, metric quantity) Column {
	if s == Inches {
		return Column{inch}
	}
	return Column{metric}
}

// Areas is a column of areas, mm2.
func (s System) Areas() Column {
	return s.column(quantity{"in2", 1 / (job.Inch * job.Inch), 3}, quantity{"mm2", 1, 1})
}

// Lengths is a column of lengths, mm.
func (s System) Lengths() Column {
	return s.column(quantity{"in", 1 / job.Inch, 2}, quantity{"mm", 1, 1})
}

// Sizes is a column of sizes of parts, mm, to so many decimals of a mm or
// thousandths of an inch.
func (s System) Sizes(decimals int) Column {
	return s.column(quantity{"in", 1 / job.Inch, 3}, quantity{"mm", 1, decimals})
}

// Surfaces is a column of areas, mm2, on a page.
func (s System) Surfaces() Column {
	return s.column(quantity{"in²", 1 / (job.Inch * job.Inch), 3}, quantity{"cm²", 0.01, 2})
}

// Masses is a column of masses, kg.
func (s System) Masses() Column {
	return s.column(quantity{"lb", 1 / job.Pound, 4}, quantity{"kg", 1, 4})
}

// Figure formats v with at most the given number of decimals, trailing zeros
// dropped, and "?" where it is no number.
func Figure(v float64, decimals int) string {
	s := Fixed(v, decimals)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// Fixed formats v with exactly the given number of decimals, and "?" where it is
// no number.
func Fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "?"
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}
