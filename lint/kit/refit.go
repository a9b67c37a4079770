package kit

import (
	"fmt"
	"math"
	"slices"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/fix/fit/side"
	"sluice/geom"
	"sluice/geom/drawing"
)

// Refitted is a kit whose joints were made to suit another sheet.
type Refitted struct {
	Outlines []Redrawn // those that change, in order
	Skipped  []Skipped // outlines that could not be changed
}

// Redrawn is an outline with its joints moved.
type Redrawn struct {
	Outline int32
	Path    geom.Path
	Src     []int // piece of the outline that each piece comes from
	Slots   int   // slots and notches whose width changed
	Tabs    int   // tabs and gaps whose depth changed
	Sides   int   // sides that end on a face, and went with it
	Moved   float64
}

// Skipped is an outline left as it was, and why.
type Skipped struct {
	Outline int32
	Err     error
}

// sidesMoved is an outline whose sides are to be moved.
type sidesMoved struct {
	sides       []side.Side
	by          []float64 // out of the material, mm
	set         []bool    // by is settled
	slots, tabs int       // as in Redrawn
	butts       int       // sides that went with the face that they end on
	err         error     // a side is to move in two ways
}

// move settles by how much a side moves.
func (c *sidesMoved) move(i int, by float64) {
	if c.set[i] && math.Abs(c.by[i]-by) > 1e-9 {
		c.err = fmt.Errorf("a side is to move by %.3g and by %.3g mm", c.by[i], by)
		return
	}
	c.by[i], c.set[i] = by, true
}

// moveLine moves a side and every other that lies on the same line, out being the
// direction out of the part.
func (c *sidesMoved) moveLine(i int, out geom.Point, by float64) {
	s := &c.sides[i]
	level := s.A.Dot(out)
	for x := range c.sides {
		if q := &c.sides[x]; q.U.Dot(s.U) > sameHeading && math.Abs(q.A.Dot(out)-level) <= sameLevel {
			c.move(x, by)
		}
	}
}

// Butt is a side of a part that ends on the face of another without any joint there.
type Butt struct {
	Outline int32
	Piece   int32 // of the outline, on that side
	Into    int32 // the part that it ends on
}

// Refit moves the walls of all joints so that they suit the sheets, each sheet
// about its own middle plane: slots and notches get the width for what goes in about
// their centre line, notches keep their bottoms, tabs and fingers keep their
// lengths and become as much deeper as the sheet that they go through is thicker than the
// one it was drawn for, in step with the angle where they enter at one; sides that end on a
// face go with that. Corners keep their shape.
// The sheet is not changed.
func (k *Kit) Refit(s *Sheets, butts []Butt, o Options) *Refitted {
	moved := map[int32]*sidesMoved{}
	of := func(out int32) *sidesMoved {
		c := moved[out]
		if c == nil {
			c = &sidesMoved{sides: k.Sides(k.Sheet.Outlines[out].Pieces, o.Corner)}
			c.by, c.set = make([]float64, len(c.sides)), make([]bool, len(c.sides))
			moved[out] = c
		}
		return c
	}
	k.widenSlots(s, of)
	k.deepenTabs(s, of)
	k.moveButts(s, butts, of)
	r := &Refitted{}
	for out := range k.Sheet.Outlines {
		c := moved[int32(out)]
		if c == nil || c.slots+c.tabs+c.butts == 0 && c.err == nil {
			continue
		}
		w := Redrawn{Outline: int32(out), Slots: c.slots, Tabs: c.tabs, Sides: c.butts}
		err := c.err
		if err == nil {
			w.Path, w.Src, err = fit.Move(k.Sheet.Outlines[out].Pieces, c.sides, c.by)
		}
		if err != nil {
			r.Skipped = append(r.Skipped, Skipped{int32(out), err})
			continue
		}
		for _, b := range c.by {
			w.Moved = max(w.Moved, math.Abs(b))
		}
		r.Outlines = append(r.Outlines, w)
	}
	return r
}

// widenSlots moves the walls of slots and notches to the width for what goes in.
func (k *Kit) widenSlots(s *Sheets, of func(out int32) *sidesMoved) {
	for i := range k.Joints {
		j := &k.Joints[i]
		if j.Kind != Slot && j.Kind != Notch {
			continue
		}
		t := s.Through(k, i)
		c, wider := of(j.Outline), t.Width()-j.Width
		for _, w := range j.walls {
			c.move(w, -wider/2)
		}
		if math.Abs(wider) > 1e-9 {
			c.slots++
		}
	}
}

// grows returns by how much the sheet that an edge meets is thicker than the one it was
// drawn for, mm.
func (k *Kit) grows(s *Sheets, across map[int]int32, edge int) (drawn, by float64) {
	if len(k.Thicknesses) > 0 {
		drawn = k.Thicknesses[0].Depth
	}
	if p, ok := across[edge]; ok {
		drawn = k.PlateOf(p)
	}
	return drawn, s.Across(k, edge).Thickness - drawn
}

// deepenTabs moves both levels of edges with tabs and fingers by half of what the
// sheet is thicker than the one the kit was drawn for. What goes through several decks
// becomes deeper by all of them.
func (k *Kit) deepenTabs(s *Sheets, of func(out int32) *sidesMoved) {
	_, across := k.mates()
	finger := map[int]bool{}
	for _, e := range k.Fingers() {
		finger[e] = true
	}
	k.deepenSlanted(s, of)
	for i := range k.Edges {
		e := &k.Edges[i]
		drawn, by := k.grows(s, across, i)
		decks := 1
		if n := int(math.Round(e.Depth / drawn)); n > 1 && n <= mostLayers && within(e.Depth, float64(n)*drawn, flushLeast, flushShare) {
			decks = n
		}
		fits := func(d float64) bool { return k.asDeep(d) || within(d, float64(decks)*drawn, flushLeast, flushShare) }
		if !fits(e.Depth) || len(e.Joints) == 0 && !finger[i] || k.slants(e) {
			continue
		}
		c := of(e.Outline)
		n := len(c.sides)
		for _, st := range e.Steps {
			if !fits(st.Depth) {
				continue
			}
			inner, outer := (st.side+n-1)%n, (st.side+1)%n
			if !st.Up {
				inner, outer = outer, inner
			}
			c.moveLine(inner, e.Out, -by/2)
			c.moveLine(outer, e.Out, by/2+float64(decks-1)*by)
		}
		if by != 0 {
			c.tabs += len(e.Joints)
		}
	}
}

// slants reports whether a tab of an edge enters at an angle.
func (k *Kit) slants(e *Edge) bool {
	return slices.ContainsFunc(e.Joints, func(j int) bool { return k.Joints[j].Angle > 0 })
}

// deepenSlanted moves the feet and the ends of tabs that enter at an angle: both stay where
// they are to the middle of the sheet that the tab goes through, as that gets thicker.
func (k *Kit) deepenSlanted(s *Sheets, of func(out int32) *sidesMoved) {
	mate, _ := k.mates()
	for i := range k.Joints {
		j := &k.Joints[i]
		into, ok := mate[i]
		if j.Kind != Tab || j.Angle == 0 || !ok {
			continue
		}
		own, through := s.Of(j.Part).Thickness, s.Of(into).Thickness
		was, now := fit.Foot(j.Angle, k.PlateOf(j.Part), k.PlateOf(into)), fit.Foot(j.Angle, own, through)
		c := of(j.Outline)
		for _, foot := range j.feet {
			c.moveLine(foot, j.Out, was-now)
		}
		further := (j.Depth - was) * (through/k.PlateOf(into) - 1)
		c.moveLine(j.bottom, j.Out, further)
		if was != now {
			c.tabs++
		}
	}
}

// moveButts moves sides that end on the face of a part with that face. A side that a joint
// has moved stays where it is.
func (k *Kit) moveButts(s *Sheets, butts []Butt, of func(out int32) *sidesMoved) {
	for _, b := range butts {
		by := (s.Of(b.Into).Thickness - k.PlateOf(b.Into)) / 2
		c := of(b.Outline)
		for i := range c.sides {
			q := &c.sides[i]
			if q.Holds(int(b.Piece), len(k.Sheet.Outlines[b.Outline].Pieces)) && !c.set[i] {
				c.move(i, -by)
				if by != 0 {
					c.butts++
				}
			}
		}
	}
}

// Fix returns the refit as one repair that lands whole or not at all, with an
// edit for each part. Outlines that cannot be redrawn, and why, are added to
// Skipped; then the repair is empty, since half a refit is none.
func (r *Refitted) Fix(k *Kit, d *drawing.Drawing, names []string) fix.Fix {
	f := fix.Fix{Safety: fix.Choice}
	uses := fit.UsesOf(k.Sheet)
	byPart := map[int32]int{}
	var count [][3]int // slots, tabs and sides, by edit
	for _, w := range r.Outlines {
		o := &k.Sheet.Outlines[w.Outline]
		ops, err := fit.Redraw(d, o, w.Path, w.Src, uses)
		if err != nil {
			r.Skipped = append(r.Skipped, Skipped{w.Outline, err})
			continue
		}
		n, ok := byPart[o.Part]
		if !ok {
			n = len(f.Edits)
			byPart[o.Part] = n
			count = append(count, [3]int{})
			e := fix.Edit{Kind: "refit-slots", Rule: "slot-thickness", At: k.Sheet.Parts[o.Part].Box.Center()}
			if int(o.Part) < len(names) {
				e.Part = names[o.Part]
			}
			f.Edits = append(f.Edits, e)
		}
		e := &f.Edits[n]
		e.Ops = append(e.Ops, ops...)
		e.Moved = max(e.Moved, w.Moved)
		count[n][0] += w.Slots
		count[n][1] += w.Tabs
		count[n][2] += w.Sides
		e.Note = fmt.Sprintf("%d slots and notches, %d tabs and gaps made to suit the sheet", count[n][0], count[n][1])
		if m := count[n][2]; m > 0 {
			e.Note += fmt.Sprintf("; %s moved with the faces they end on", counted(m, "side"))
		}
	}
	if len(r.Skipped) > 0 {
		f.Edits = nil
	}
	return f
}
