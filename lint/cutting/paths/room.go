package paths

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/outline"
)

// Room reports whether every path of an outline has a clear place to pierce and
// lead in, other leads left aside, and a place where one is missing. An outline
// that has no path has no use for one.
func (f *Finder) Room(i int) (at geom.Point, ok bool) {
	if f.plainRoom(i) {
		return at, true
	}
	cuts, _ := f.cutsOf(i)
	for k := range cuts {
		if cuts[k].NoRoom {
			return cuts[k].Start(), false
		}
	}
	return at, true
}

// plainRoom finds room without making paths, which is all that most outlines
// without tabs need.
func (f *Finder) plainRoom(i int) bool {
	o := &f.sheet.Outlines[i]
	if o.Tabs > 0 || !o.Closed {
		return false
	}
	// A circle of the area over the length fits into any outline, and its
	// centre will do.
	clamped := f.nearClamp(o)
	if o.Hole() && !clamped && !f.nested[i] && o.Area >= pierceShare*f.p.Kerf*o.Length {
		return true
	}
	if o.Depth == 0 && !clamped && f.openSide(o) {
		return true
	}
	d := f.p.Kerf / 2
	for k, s := range candidates(o.Pieces, f.p.Kerf) {
		if k == 6 {
			break
		}
		t := o.Pieces[s.piece].TangentAt(s.t)
		p := o.Pieces[s.piece].At(s.t).Add(rightOf(t).Mul(d))
		if f.usable(lineLead(p, t, f.p.lead(), math.Pi/2), int32(i), nil) {
			// The mouth of a pocket could still be too narrow for the kerf; that is
			// a slot, and told as one.
			return true
		}
	}
	return false
}

// nearClamp reports whether a lead of an outline could come near a clamp zone.
func (f *Finder) nearClamp(o *outline.Outline) bool {
	reach := o.Box.Inflate(f.p.lead() + 2*f.p.Kerf)
	return slices.ContainsFunc(f.p.Clamps, reach.Overlaps)
}

// openSide reports whether the strip along one side of an outline's box, as wide
// as a lead with all it keeps clear of, meets nothing else: there the lead can
// start from the outermost place of the outline.
func (f *Finder) openSide(o *outline.Outline) bool {
	if f.boxes == nil {
		var boxes []geom.Box
		for i := range f.sheet.Outlines {
			if f.sheet.Outlines[i].Depth == 0 {
				boxes = append(boxes, f.sheet.Outlines[i].Box)
			}
		}
		for i := range f.sheet.Open {
			boxes = append(boxes, f.sheet.Open[i].Box)
		}
		f.boxes = index.NewTree(boxes)
	}
	reach := f.p.lead() + 2*f.p.Kerf + f.p.Kerf + f.p.Margin
	b := o.Box
	side := 2*f.p.Kerf + f.p.Margin
	for _, strip := range [4]geom.Box{
		{Min: geom.Pt(b.Min.X-side, b.Min.Y-reach), Max: geom.Pt(b.Max.X+side, b.Min.Y)},
		{Min: geom.Pt(b.Min.X-side, b.Max.Y), Max: geom.Pt(b.Max.X+side, b.Max.Y+reach)},
		{Min: geom.Pt(b.Min.X-reach, b.Min.Y-side), Max: geom.Pt(b.Min.X, b.Max.Y+side)},
		{Min: geom.Pt(b.Max.X, b.Min.Y-side), Max: geom.Pt(b.Max.X+reach, b.Max.Y+side)},
	} {
		met := 0 // the outline's own box is one
		if f.boxes.In(strip, func(int32) bool { met++; return met < 2 }) {
			return true
		}
	}
	return false
}
