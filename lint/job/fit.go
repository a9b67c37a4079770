package job

import "math"

// Fit says how parts sit in each other. Lengths are mm.
type Fit struct {
	Class     string  // "own" (Clearance holds), "press", "slip" or "loose"
	Clearance float64 // added to the width of a slot that is widened or refitted, where Class is "own"
	Measured  float64 // thickness as measured; 0: the sheet's nominal one with its tolerance
	Tolerance float64 // by which the sheet may be thicker or thinner than nominal; 0: by the published tables for its material
	Taper     float64 // by which a slot is narrower at the bottom of the sheet, or Auto: see SlotTaper
	Refit     string  // "ask" or "slots": whether fix makes slots and tabs suit the sheet
	Corner    string  // "none", "dogbone" or "tee": how inside corners of joints are opened
}

// classes are the clearances by class, mm: how much wider than the sheet a slot
// is. Loose is a shop's rule (0.015 in); the others are common practice without
// a source.
var classes = map[string]float64{"press": 0.05, "slip": 0.15, "loose": 0.38}

func defaultFit() Fit { return Fit{Class: "own", Clearance: 0.15, Refit: "ask", Corner: "none"} }

// Gap returns by how much a slot is to be wider than the sheet, mm, the taper of
// the cut left aside.
func (f *Fit) Gap() float64 {
	if c, ok := classes[f.Class]; ok {
		return c
	}
	return f.Clearance
}

// tapers are how much narrower a slot is at the bottom of the sheet, mm, by edge
// from 1 (barely parted) to 5 (finest edge). Shops tell 0.1 to 0.3 mm for a medium
// cut, 0.2 to 0.4 for a coarse one and 0.2 to 0.6 for a very coarse one (a German
// shop's page; the middle of each is taken), and 0.08 to 0.25 mm, much the same for
// any thickness (a US shop's page; its least is taken for the finest).
var tapers = [...]float64{0.4, 0.3, 0.2, 0.14, 0.08}

// taperShare bounds that in thin sheet, as a share of the thickness: a hundredth a
// side (the German page tells 0.05 to 2 %).
const taperShare = 0.02

// SlotTaper returns by how much a slot is narrower at the bottom of the sheet, mm.
// An "auto" one goes by thickness and edge, and is a rule of thumb for metal; it
// hangs on nozzle and speed, so that one measured on a trial is better. Most plastics
// taper the other way.
func (j *Job) SlotTaper() float64 {
	if j.Fit.Taper != Auto {
		return j.Fit.Taper
	}
	q := min(max(j.Jet.Quality, 1), float64(len(tapers))) - 1
	i := min(int(q), len(tapers)-2)
	t := tapers[i] + (q-float64(i))*(tapers[i+1]-tapers[i])
	thick := j.Sheet.Thickness
	if j.Fit.Measured > 0 {
		thick = j.Fit.Measured
	}
	if thick > 0 {
		t = min(t, taperShare*thick)
	}
	return math.Round(t*1000) / 1000
}
