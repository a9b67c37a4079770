package fit

import "math"

// At returns the sheet as slots have it to suit that it enters at an angle to a sheet that is
// through thick, mm; the angle is the one between the two, in degrees, and 90 is square.
//
// In the section across the line in which the two meet, the slot's sheet is a band T high, and
// the one that enters a band as thick as that is, t, whose middle runs up at the angle a. At
// any height it is t/sin a wide there, and from one face of the slot's sheet to the other it
// moves aside by T/tan a:
//
//	     /    /          t/sin a
//	────/    /─────┬──   <──>
//	   /    /      T   /
//	──/    /───────┴──/  <> T/tan a
//	 /    /
//
// Walls of a slot are upright, so that it must be t/sin a + T/|tan a| = (t + T |cos a|)/sin a
// wide: the thickness that At returns. What the sheet may be thicker or thinner counts by
// 1/sin a, and in the slot's own sheet by 1/|tan a|, when both are cut from one sheet. The
// clearance and the taper are left: they are measured across the slot.
func (t *Target) At(degrees, through float64) Target {
	out := *t
	if degrees == 0 {
		return out
	}
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	cos = math.Abs(cos)
	out.Thickness = (t.Thickness + through*cos) / sin
	out.Minus, out.Plus = t.Minus*(1+cos)/sin, t.Plus*(1+cos)/sin
	return out
}

// Foot returns how far, mm, the foot of a tab of a sheet t thick is from the place where its
// middle crosses that of the sheet which it enters at an angle (degrees): it goes halfway
// through that, T/2 measured square to it and T/2/sin a along the tab; and the corner of the
// square edge beside the tab, t/2 off the tab's middle, is lower than that by t/2 |cos a|, so
// that the foot stays as much higher.
func Foot(degrees, t, through float64) float64 {
	if degrees == 0 {
		return through / 2
	}
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return (through + t*math.Abs(cos)) / 2 / sin
}
