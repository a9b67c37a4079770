package cutting

import (
	"math"

	"sluice/lint/job"
)

// Pace is how fast the machine goes about a sheet. Speeds are mm/min.
type Pace struct {
	Cut                   float64 // along an outline; 0: unknown
	Fine                  float64 // to which sharp corners slow down: that of a finer quality
	Etch                  float64
	Rapid                 float64
	Pierce                float64 // one pierce, s
	Start                 float64 // valve, abrasive and head at each start, s
	Lag                   float64 // how far the stream's exit trails the head, mm; see Slow
	Low                   float64 // how much shorter and longer than told cutting
	High                  float64 // may take, as factors
	PierceLow, PierceHigh float64 // the same of a pierce
	Basis                 string  // where Cut comes from, in words
	Capped                bool    // the table's top speed holds Cut down
}

// How far times may be off, as factors. They are a judgement, not drawn from a
// source: the model's own numbers differ by some percent from one restatement
// to another, and machines differ from it by their age and care.
const (
	modelLow, modelHigh       = 0.75, 1.4
	scaledLow, scaledHigh     = 0.85, 1.2
	measuredLow, measuredHigh = 0.95, 1.1
	pierceLow, pierceHigh     = 0.5, 2.0
	brittleLow, brittleHigh   = 0.5, 3.0
	moveLow, moveHigh         = 0.7, 1.5
)

// cornerFiner is how many steps of quality finer corners are cut, the finest at most:
// who parts barely wants no finest corners (a choice of this program; at quality 3
// it is the finest, a factor of (3/5)^1.15).
const cornerFiner = 2

// brittlePierce is how many times longer piercing takes where it must be done at
// low pressure or moving, so that the sheet does not crack (common practice, no
// source; how long hangs on the machine, hence the wide range).
const brittlePierce = 3

// same is within which share two thicknesses or qualities count as one.
const same = 0.02

// PaceOf returns the pace for a material and thickness (mm) under the job. Where
// speeds were measured they override the model: at the same thickness and
// quality the speed is the measured one; elsewhere the model is scaled by
// measured over model, between two thicknesses interpolated over their
// logarithm. Without a machinability number and a measured speed Cut is 0.
func PaceOf(j *job.Job, m Material, thickness float64) Pace {
	jet := Jet{j.Jet.Pressure, j.Jet.Orifice, j.Jet.MixingTube, j.Jet.Abrasive}
	p := Pace{Etch: j.Jet.EtchSpeed, Rapid: j.Jet.RapidSpeed, Start: j.Jet.StartTime, Low: modelLow, High: modelHigh}
	if !(thickness > 0) {
		return p
	}
	// The lag grows with the thickness; half of it stands for the place where
	// the slow-down at corners begins (common practice, no source).
	p.Lag = thickness / 2
	nm := m.Machinability
	points := measured(j, m)
	if nm == 0 && len(points) > 0 {
		nm = 100 // any number: only the ratio to the measured speed counts
	}
	q := j.Jet.Quality
	scale, exact := calibration(points, jet, nm, thickness, q)
	p.Cut = scale * jet.Speed(nm, thickness, q)
	p.Fine = min(p.Cut, scale*jet.Speed(nm, thickness, min(5, q+cornerFiner)))
	parting := scale * jet.Speed(nm, thickness, 1)
	switch {
	case p.Cut == 0:
		p.Basis = ""
		return p
	case exact:
		p.Basis, p.Low, p.High = "measured", measuredLow, measuredHigh
	case len(points) > 0:
		p.Basis = "model scaled to a measured speed"
		far := min(distance(points, thickness, q), 1)
		p.Low, p.High = scaledLow+far*(modelLow-scaledLow), scaledHigh+far*(modelHigh-scaledHigh)
	default:
		p.Basis = "model"
		p.Low, p.High = modelLow*(1-m.Scatter), modelHigh*(1+m.Scatter)
	}
	p.Pierce = j.Jet.Pierce * thickness / parting * 60
	p.PierceLow, p.PierceHigh = pierceLow, pierceHigh
	if m.Brittle {
		p.Pierce *= brittlePierce
		p.PierceLow, p.PierceHigh = brittleLow, brittleHigh
	}
	if top := j.Jet.TopSpeed; top > 0 {
		if p.Cut > top {
			p.Cut, p.Fine, p.Capped = top, min(p.Fine, top), true
		}
		p.Low = max(p.Low, p.Cut/top) // no faster than the table goes
	}
	return p
}

// distance tells how far the nearest measured speed is from what is asked: 1 at
// twice or half the thickness, or two steps of quality away, where the measured
// speed says no more than the model (judged).
func distance(points []job.MeasuredSpeed, thickness, quality float64) float64 {
	least := math.Inf(1)
	for i := range points {
		s := &points[i]
		least = min(least, math.Abs(math.Log2(thickness/s.Thickness))+math.Abs(quality-s.Quality)/2)
	}
	return least
}

// measured returns the measured speeds that are of the material.
func measured(j *job.Job, m Material) []job.MeasuredSpeed {
	var out []job.MeasuredSpeed
	for _, s := range j.Jet.Speeds() {
		if s.Material == "" {
			out = append(out, s)
			continue
		}
		if n, ok := FindMaterial(s.Material, j.Material); ok && n.Name == m.Name {
			out = append(out, s)
		}
	}
	return out
}

// calibration returns measured over model speed for a thickness and quality, and
// whether it was measured there.
func calibration(points []job.MeasuredSpeed, jet Jet, nm, thickness, quality float64) (scale float64, exact bool) {
	near := func(a, b float64) bool { return math.Abs(a-b) <= same*b }
	var lo, hi *job.MeasuredSpeed // next thinner and next thicker
	for i := range points {
		s := &points[i]
		if near(s.Thickness, thickness) && near(s.Quality, quality) {
			return s.Speed / jet.Speed(nm, thickness, quality), true
		}
		if s.Thickness <= thickness && (lo == nil || closer(s, lo, thickness, quality)) {
			lo = s
		}
		if s.Thickness >= thickness && (hi == nil || closer(s, hi, thickness, quality)) {
			hi = s
		}
	}
	ratio := func(s *job.MeasuredSpeed) float64 { return s.Speed / jet.Speed(nm, s.Thickness, s.Quality) }
	switch {
	case lo == nil && hi == nil:
		return 1, false
	case lo == nil:
		return ratio(hi), false
	case hi == nil || lo.Thickness == hi.Thickness:
		return ratio(lo), false
	}
	t := math.Log(thickness/lo.Thickness) / math.Log(hi.Thickness/lo.Thickness)
	return math.Exp((1-t)*math.Log(ratio(lo)) + t*math.Log(ratio(hi))), false
}

// closer reports whether a was measured nearer to a thickness and quality than b.
func closer(a, b *job.MeasuredSpeed, thickness, quality float64) bool {
	off := func(s *job.MeasuredSpeed) (float64, float64) {
		return math.Abs(math.Log(s.Thickness / thickness)), math.Abs(s.Quality - quality)
	}
	at, aq := off(a)
	bt, bq := off(b)
	return at < bt || at == bt && aq < bq
}
