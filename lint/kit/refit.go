package kit

import (
	"fmt"
	"math"

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

// Refit moves the walls of all joints so that they suit the target, each sheet
// about its own middle plane: slots and notches get the target's width about
// their centre line, notches keep their bottoms, tabs and fingers keep their
// lengths and become as much deeper as the sheet is thicker than the one the kit
// was drawn for. Corners keep their shape. The sheet is not changed.
func (k *Kit) Refit(t *fit.Target, o Options) *Refitted {
	moved := map[int32]*sidesMoved{}
	of := func(out int32) *sidesMoved {
		c := moved[out]
		if c == nil {
			c = &sidesMoved{sides: side.Of(k.Sheet.Outlines[out].Pieces, o.Corner)}
			c.by, c.set = make([]float64, len(c.sides)), make([]bool, len(c.sides))
			moved[out] = c
		}
		return c
	}
	k.widenSlots(t, of)
	k.deepenTabs(t, of)
	r := &Refitted{}
	for out := range k.Sheet.Outlines {
		c := moved[int32(out)]
		if c == nil || c.slots+c.tabs == 0 && c.err == nil {
			continue
		}
		w := Redrawn{Outline: int32(out), Slots: c.slots, Tabs: c.tabs}
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

// widenSlots moves the walls of slots and notches to the target's width.
func (k *Kit) widenSlots(t *fit.Target, of func(out int32) *sidesMoved) {
	for i := range k.Joints {
		j := &k.Joints[i]
		if j.Kind != Slot && j.Kind != Notch {
			continue
		}
		c, wider := of(j.Outline), t.Width()-j.Width
		for _, w := range j.walls {
			c.move(w, -wider/2)
		}
		if math.Abs(wider) > 1e-9 {
			c.slots++
		}
	}
}

// deepenTabs moves both levels of edges with tabs and fingers by half of what the
// sheet is thicker than the one the kit was drawn for.
func (k *Kit) deepenTabs(t *fit.Target, of func(out int32) *sidesMoved) {
	drawn := 0.0
	if len(k.Thicknesses) > 0 {
		drawn = k.Thicknesses[0].Depth
	}
	half := (t.Thickness - drawn) / 2
	finger := map[int]bool{}
	for _, e := range k.Fingers() {
		finger[e] = true
	}
	for i := range k.Edges {
		e := &k.Edges[i]
		if !k.asDeep(e.Depth) || len(e.Joints) == 0 && !finger[i] {
			continue
		}
		c := of(e.Outline)
		n := len(c.sides)
		for _, st := range e.Steps {
			if !k.asDeep(st.Depth) {
				continue
			}
			inner, outer := (st.side+n-1)%n, (st.side+1)%n
			if !st.Up {
				inner, outer = outer, inner
			}
			c.moveLine(inner, e.Out, -half)
			c.moveLine(outer, e.Out, half)
		}
		if half != 0 {
			c.tabs += len(e.Joints)
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
	var count [][2]int // slots and tabs, by edit
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
			count = append(count, [2]int{})
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
		e.Note = fmt.Sprintf("%d slots and notches, %d tabs and gaps made to suit the sheet", count[n][0], count[n][1])
	}
	if len(r.Skipped) > 0 {
		f.Edits = nil
	}
	return f
}
