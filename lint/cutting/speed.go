package cutting

import (
	"math"

	"sluice/lint/job"
)

// Jet is the stream as the speed model sees it.
type Jet struct {
	Pressure   float64 // of the water before the orifice, MPa; the trials ran from about 100 to 400
	Orifice    float64 // bore, mm
	MixingTube float64 // bore, mm
	Abrasive   float64 // flow of garnet, g/min
}

// JetOf returns the stream of a job.
func JetOf(j *job.Jet) Jet { return Jet{j.Pressure, j.Orifice, j.MixingTube, j.Abrasive} }

// Speed returns the traverse speed, mm/min, at which the jet cuts a thickness
// (mm) of a material with the machinability number at a quality from 1 (parted, no
// more) to 5 (finest edge); job.Edges has words for them:
//
//	V = [ f Nm P^1.594 do^1.374 Ma^0.343 / ( C q h dm^0.618 ) ]^1.15
//
//	V   traverse speed, mm/min          q   quality level, 1 to 5
//	Nm  machinability number            h   thickness, mm
//	P   pressure, MPa                   dm  bore of the mixing tube, mm
//	do  bore of the orifice, mm         f   1 for garnet
//	Ma  abrasive flow, g/min            C   788
//
// Formula and constant are from memory of J. Zeng and T. J. Kim, "Parameter
// prediction and cost analysis in abrasive waterjet cutting operations", Proc.
// 7th American Water Jet Conference (1993) 175-189, restated in Zeng, Olsen and
// Olsen, 10th American Waterjet Conference (1999). The form in inches (C = 163, V
// in/min, P in 1000 psi, do, dm and h in, Ma lb/min) gives the same within 0.3 %.
//
// The trials covered thicknesses of about 3 to 200 mm. For thinner sheet the
// formula has no ceiling and promises speeds that no table follows; the job's
// top_speed stands in for one. The result is 0 where an argument is not above 0.
func (j Jet) Speed(machinability, thickness, quality float64) float64 {
	const c = 788
	if !(machinability > 0 && thickness > 0 && quality > 0 && j.Pressure > 0 && j.Orifice > 0 && j.MixingTube > 0 && j.Abrasive > 0) {
		return 0
	}
	v := machinability * math.Pow(j.Pressure, 1.594) * math.Pow(j.Orifice, 1.374) * math.Pow(j.Abrasive, 0.343) /
		(c * quality * thickness * math.Pow(j.MixingTube, 0.618))
	return math.Pow(v, speedPower)
}

// speedPower is the exponent over all of the speed formula: the time to cut a
// length grows with the thickness and the quality to this power.
const speedPower = 1.15

// dischargeShare is how much of the ideal flow passes a sharp sapphire orifice:
// 0.6 to 0.7 (from memory; 0.65 is read in an exercise on the subject).
const dischargeShare = 0.70

// Water returns the flow of the water, l/min: the bore's area times the speed by
// Bernoulli, sqrt(2 P / rho), times the discharge coefficient 0.70.
func (j Jet) Water() float64 {
	area := math.Pi / 4 * j.Orifice * j.Orifice * 1e-6             // m2
	return dischargeShare * area * WaterSpeed(j.Pressure) * 60_000 // m3/s in l/min
}

// WaterSpeed returns the speed, m/s, of water of 1000 kg/m3 that expands without
// loss from a pressure in MPa (Bernoulli).
func WaterSpeed(pressure float64) float64 { return math.Sqrt(2 * pressure * 1e6 / 1000) }

// Push returns the force, N, with which the stream presses on what stops it: the
// momentum of the water, rho Q v, which is twice the pressure times the bore's area
// times the discharge coefficient (derived). What a cut takes of it is less: the
// stream goes on through the sheet.
func (j Jet) Push() float64 { return 1000 * j.Water() / 60_000 * WaterSpeed(j.Pressure) }

// Power returns the power of the water before the orifice, kW: pressure times
// flow. The pump's motor takes more.
func (j Jet) Power() float64 { return j.Pressure * j.Water() / 60 }
