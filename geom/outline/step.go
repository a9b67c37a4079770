package outline

import "math"

// Sizes of stepped holes. From memory of ISO 273 (clearance holes) and ISO
// 15065 (countersinks): a screw M16 goes through 17.5 mm and sinks into 34 mm; up
// to M12 (13.5 mm) nothing of that size is cut as a part. The rest is common
// practice, no source.
const (
	stepBore   = 18   // mm: widest inner hole
	stepWidest = 36   // mm: widest countersink or counterbore
	screwHole  = 13.5 // mm: a disc as small is no part, however wide the hole around it
	smallRing  = 20   // mm: a ring as small is no part
	ringWeb    = 3    // mm: least width of a ring that is a part
	leastStep  = 0.1  // mm: a ring narrower is an outline drawn again, no step
	squareNut  = 1.9  // a square nut is at most so much wider than its hole
)

// How near to one centre two outlines lie: 0.1 mm, or this share of the width.
const (
	centred      = 0.1
	centredShare = 0.01
)

// findSteps takes out the outer outlines of stepped holes: countersinks,
// counterbores, recesses. The innermost stays and is the hole.
func (a *sifted) findSteps() {
	a.forgetMarks()
	outs := a.outlines
	for i := range outs {
		if !outs[i].Hole() || a.isOut(int32(i)) {
			continue
		}
		group := -1
		for o := int32(i); ; {
			c, ok := a.stepIn(o)
			if !ok {
				break
			}
			if group < 0 {
				group = a.groups
				a.groups++
			}
			a.takeOut(o, Step, group)
			o = c
		}
	}
}

// stepIn returns the hole around which outline o is only a step.
func (a *sifted) stepIn(o int32) (inner int32, ok bool) {
	if len(a.kids[o]) != 1 {
		return -1, false
	}
	c := a.kids[o][0]
	if len(a.kids[c]) > 1 || !a.concentric(o, c) {
		return -1, false
	}
	out, in := a.looks(o), a.looks(c)
	gap := min(out.wide-in.wide, out.long-in.long) / 2
	if gap < leastStep {
		return -1, false
	}
	if gap < 2*a.o.Kerf && in.filled > 0.75 && sameForm(&out, &in) {
		return c, true // no part could be cut free in it
	}
	switch {
	case !paired(&out, &in), in.wide > stepBore:
		return -1, false
	case in.isRound() && in.wide <= screwHole && out.isRound():
	case out.wide > stepWidest:
		return -1, false
	}
	if a.ringSet(o, in.wide) || a.isRing(o, c, gap) {
		return -1, false
	}
	return c, true
}

// concentric reports whether two outlines have one centre.
func (a *sifted) concentric(o, c int32) bool {
	x, y := &a.outlines[o], &a.outlines[c]
	return x.Centroid.Dist(y.Centroid) <= max(centred, centredShare*a.looks(o).wide)
}

// sameForm reports whether one could be the other, set off.
func sameForm(out, in *look) bool {
	switch {
	case out.isRound() || in.isRound():
		return out.isRound() && in.isRound()
	case out.isObround() || in.isObround():
		return out.isObround() && in.isObround()
	}
	return math.Abs(out.filled-in.filled) <= 0.05
}

// paired reports whether two outlines with one centre are a pair that holes are
// stepped with: round or many-cornered in the same, a square for a nut around a
// screw hole, a long hole in its offset.
func paired(out, in *look) bool {
	switch {
	case out.round >= hexagonal && in.round >= hexagonal:
		return true
	case out.isRectangle() && out.long <= 1.05*out.wide:
		return in.isRound() && in.wide <= screwHole && out.wide <= squareNut*in.wide
	case out.isObround() && in.isObround():
		along := math.Abs(out.dir.Cross(in.dir)) <= 0.02
		return along && math.Abs((out.long-in.long)-(out.wide-in.wide)) <= 0.1*out.wide
	}
	return false
}

// ringSet reports whether hole o with what lies in it goes on with a set of
// rings or frames that lie in each other: its part has the same centre and is
// less than twice as wide, and what lies in it is no screw hole.
func (a *sifted) ringSet(o int32, inner float64) bool {
	p := a.outlines[o].Parent
	if p < 0 || inner <= screwHole || !a.concentric(p, o) {
		return false
	}
	return a.looks(p).wide < 2*a.looks(o).wide
}

// isRing reports whether c is the outside of a ring that may be a part nested in
// hole o: it has a bore of its own, is wide enough to be handled, and can be cut.
func (a *sifted) isRing(o, c int32, gap float64) bool {
	if len(a.kids[c]) == 0 || a.looks(c).wide < smallRing || gap < 2*a.o.Kerf {
		return false
	}
	bore := a.looks(a.kids[c][0])
	return (a.looks(c).wide-bore.wide)/2 >= max(ringWeb, 1.5*a.o.Kerf)
}
