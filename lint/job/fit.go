package job

// Fit says how parts sit in each other. Lengths are mm.
type Fit struct {
	Class     string  // "own" (Clearance holds), "press", "slip" or "loose"
	Clearance float64 // added to the width of a slot that is widened or refitted, where Class is "own"
	Measured  float64 // thickness as measured; 0: the sheet's nominal one with its tolerance
	Tolerance float64 // by which the sheet may be thicker or thinner than nominal; 0: by the published tables for its material
	Taper     float64 // by which a slot is narrower at the bottom of the sheet
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
