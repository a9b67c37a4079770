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
func (b *builder) findSteps() {
	b.forgetMarks()
	outs := b.sheet.Outlines
	for i := range outs {
		if !outs[i].Hole() || b.isOut(int32(i)) {
			continue
		}
		group := -1
		for o := int32(i); ; {
			c, ok := b.stepIn(o)
			if !ok {
				break
			}
			if group < 0 {
				group = b.aside.groups
				b.aside.groups++
			}
			b.takeOut(o, Step, group)
			o = c
		}
	}
}

// stepIn returns the hole around which outline o is only a step.
func (b *builder) stepIn(o int32) (inner int32, ok bool) {
	if len(b.aside.kids[o]) != 1 {
		return -1, false
	}
	c := b.aside.kids[o][0]
	if len(b.aside.kids[c]) > 1 || !b.concentric(o, c) {
		return -1, false
	}
	out, in := b.looks(o), b.looks(c)
	gap := min(out.wide-in.wide, out.long-in.long) / 2
	if gap < leastStep {
		return -1, false
	}
	if gap < 2*b.o.Kerf && in.filled > 0.75 && sameForm(&out, &in) {
		return c, true // no part could be cut free in it
	}
	switch {
	case !paired(&out, &in), in.wide > stepBore:
		return -1, false
	case in.isRound() && in.wide <= screwHole && out.isRound():
	case out.wide > stepWidest:
		return -1, false
	}
	if b.ringSet(o, in.wide) || b.isRing(o, c, gap) {
		return -1, false
	}
	return c, true
}

// concentric reports whether two outlines have one centre.
func (b *builder) concentric(o, c int32) bool {
	x, y := &b.sheet.Outlines[o], &b.sheet.Outlines[c]
	return x.Centroid.Dist(y.Centroid) <= max(centred, centredShare*b.looks(o).wide)
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
func (b *builder) ringSet(o int32, inner float64) bool {
	p := b.sheet.Outlines[o].Parent
	if p < 0 || inner <= screwHole || !b.concentric(p, o) {
		return false
	}
	return b.looks(p).wide < 2*b.looks(o).wide
}

// isRing reports whether c is the outside of a ring that may be a part nested in
// hole o: it has a bore of its own, is wide enough to be handled, and can be cut.
func (b *builder) isRing(o, c int32, gap float64) bool {
	if len(b.aside.kids[c]) == 0 || b.looks(c).wide < smallRing || gap < 2*b.o.Kerf {
		return false
	}
	bore := b.looks(b.aside.kids[c][0])
	return (b.looks(c).wide-bore.wide)/2 >= max(ringWeb, 1.5*b.o.Kerf)
}
