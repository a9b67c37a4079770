package dxf

import (
	"math"

	"sluice/geom"
)

// rounding turns mm into drawing units with a fixed number of decimals.
type rounding struct {
	factor   float64 // mm in one unit
	decimals int
}

// newRounding keeps 1e-8 mm or finer, whatever the unit: from 8 decimals of a mm
// to 28 of a parsec. Of the least units it keeps 5 decimals, since such a
// unit is mostly stated by mistake.
func newRounding(factor float64) rounding {
	d := 8 + int(math.Ceil(math.Log10(factor)-1e-9))
	return rounding{factor, min(max(d, 5), 30)}
}

// quantum returns the step of written coordinates, mm.
func (r rounding) quantum() float64 { return math.Pow(10, -float64(r.decimals)) * r.factor }

func (r rounding) length(mm float64) float64 { return roundTo(mm/r.factor, r.decimals) }

func (r rounding) point(mm geom.Point) geom.Point {
	return geom.Point{X: r.length(mm.X), Y: r.length(mm.Y)}
}

// roundTo rounds v to that many decimals, fewer where v is so large that a
// double does not hold them: 15 digits in all.
func roundTo(v float64, decimals int) float64 {
	for decimals > 0 && abs(v)*math.Pow10(decimals) > 1e15 {
		decimals--
	}
	p := math.Pow10(decimals)
	if r := math.Round(v*p) / p; !math.IsInf(r, 0) {
		return r + 0
	}
	return v
}
