package fit

// Target is the sheet that slots are to suit. Lengths are mm.
type Target struct {
	Thickness float64 // nominal, or as measured
	Minus     float64 // by which the sheet may be thinner
	Plus      float64 // by which it may be thicker
	Clearance float64 // by which a slot is to be wider than the thickest sheet
	Taper     float64 // by which the jet leaves a slot narrower at the bottom
}

// Width returns the width that a slot is to have: the thickest sheet, the
// clearance and the taper of the cut.
func (t *Target) Width() float64 { return t.Thickness + t.Plus + t.Clearance + t.Taper }

// Bottom returns how wide a slot of a width is at the bottom of the sheet.
func (t *Target) Bottom(width float64) float64 { return width - t.Taper }

// Play returns what a slot of a width leaves over the thickest sheet at its
// narrowest, the bottom; below 0 the sheet does not go through.
func (t *Target) Play(width float64) float64 { return t.Bottom(width) - t.Thickness - t.Plus }

// Verdict says how a slot suits the sheet.
type Verdict int8

// Verdicts.
const (
	Tight Verdict = -1 // the sheet does not go in
	Fits  Verdict = 0
	Loose Verdict = 1 // the sheet rattles
)

// Judge tells how a slot of that width suits. It is tight where less than half
// the clearance is left for the thickest sheet, and loose where the thinnest
// sheet has a tenth of its thickness more than the clearance (a wide margin: a
// loose joint still goes together; common practice, no source).
func (t *Target) Judge(width float64) Verdict {
	switch {
	case width < t.Thickness+t.Plus+t.Taper+t.Clearance/2-1e-9:
		return Tight
	case width > t.Width()+0.1*t.Thickness+1e-9:
		return Loose
	}
	return Fits
}
