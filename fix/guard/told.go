package guard

import (
	"math"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
)

// Tolerance is how far, mm, a cut may lie from what was drawn: the most by which
// a repair made unasked may move a good outline.
const Tolerance = 0.02

// slack covers what rounding and chords for flat arcs add to a distance, mm.
const slack = 3 * flat

// least is the length, mm, up to which a stretch that is not covered is the
// rounding of a corner.
const least = 0.01

// Limits are the job's settings that bound what a told edit may do, mm.
type Limits struct {
	Join, Same, Gap, Curve float64
	Kerf                   float64
	Hole                   float64 // below which a hole is too small to cut
	DrawnGap               float64 // of a new tab, as drawn
	Workers                int     // cores to use, 0 for all
}

// tol is how far a cut may lie from what was drawn under these limits. A job that
// takes ends or pieces further apart for one has asked for that.
func (l *Limits) tol() float64 { return max(Tolerance, l.Join, l.Same) + slack }

// change is what told edits of one kind took away and put in its place, in one
// round of repairs.
type change struct {
	kind      string
	asked     bool // a person chose it for one finding
	places    []geom.Point
	moved     float64 // as told, the largest
	gone, new []Stroke
	round     int
}

// tab is a told tab.
type tab struct {
	at    geom.Point
	gap   float64
	round int // after which it was told
}

// Guard follows one repair from what was read to what is written. Everything
// that is told while repairing is given to it with its geometry.
type Guard struct {
	limits  Limits
	base    []Stroke // what the next comparison starts from
	changes []change
	tabs    []tab
	round   int
}

// New returns a guard for a drawing as read, before any repair.
func New(read []Stroke, l Limits) *Guard { return &Guard{limits: l, base: read} }

// Clone returns a guard that knows the same and goes its own way from here.
func (g *Guard) Clone() *Guard {
	c := *g
	c.changes = append([]change(nil), g.changes...)
	c.tabs = append([]tab(nil), g.tabs...)
	return &c
}

// Edited tells the edits made to d in one round. What they take away and put in
// place is read from their operations, not from the drawing that came of them.
func (g *Guard) Edited(d *drawing.Drawing, role func(*drawing.Stroke) Role, done []fix.Edit) {
	g.round++
	stroke := func(s *drawing.Stroke) Stroke { return Stroke{s.Piece, role(s), d.LayerName(s.Layer)} }
	moved := movedPieces(d, done)
	type gathering struct {
		kind  string
		asked bool
	}
	group := map[gathering]int{} // the index of the change that gathers it
	for i := range done {
		e := &done[i]
		if e.Kind == "tab" {
			g.tabs = append(g.tabs, tab{e.At, heldLength(d, e), g.round})
			continue
		}
		c := change{kind: e.Kind, asked: e.Asked, places: []geom.Point{e.At}, moved: e.Moved, round: g.round}
		for k := range e.Ops {
			op := &e.Ops[k]
			switch op.Kind {
			case fix.Drop, fix.Replace:
				c.gone = append(c.gone, stroke(&d.Strokes[op.Stroke]))
			case fix.MoveA, fix.MoveB:
				s := stroke(&d.Strokes[op.Stroke])
				c.gone = append(c.gone, s)
				s.Piece = moved[op.Stroke]
				c.new = append(c.new, s)
			case fix.Take:
				s := d.Strokes[op.Stroke]
				s.Piece = s.Sub(op.T0, op.T1)
				c.gone = append(c.gone, stroke(&s))
				s.As = op.As
				c.new = append(c.new, stroke(&s))
			}
			for j := range op.With {
				c.new = append(c.new, stroke(&op.With[j]))
			}
		}
		at, ok := group[gathering{e.Kind, e.Asked}]
		switch {
		case !gathered[e.Kind]:
			if len(c.gone)+len(c.new) > 0 {
				g.changes = append(g.changes, c)
			}
		case !ok:
			group[gathering{e.Kind, e.Asked}] = len(g.changes)
			g.changes = append(g.changes, c)
		default:
			t := &g.changes[at]
			t.places = append(t.places, e.At)
			t.moved = max(t.moved, e.Moved)
			t.gone, t.new = append(t.gone, c.gone...), append(t.new, c.new...)
		}
	}
}

// gathered are the kinds of edit whose changes are looked at together: several of
// them land as one change of a whole outline, or move both ends of one stroke.
var gathered = map[string]bool{
	"close-gap": true, "widen-slot": true, "etch-slot": true, "relieve-corner": true, "refit-slots": true,
}

// movedPieces returns what becomes of the strokes whose ends are moved.
func movedPieces(d *drawing.Drawing, done []fix.Edit) map[int32]geom.Piece {
	type ends struct{ a, b geom.Point }
	to := map[int32]ends{}
	for i := range done {
		for _, op := range done[i].Ops {
			if op.Kind != fix.MoveA && op.Kind != fix.MoveB {
				continue
			}
			e, ok := to[op.Stroke]
			if !ok {
				p := &d.Strokes[op.Stroke].Piece
				e = ends{p.A, p.B}
			}
			if op.Kind == fix.MoveA {
				e.a = op.To
			} else {
				e.b = op.To
			}
			to[op.Stroke] = e
		}
	}
	out := make(map[int32]geom.Piece, len(to))
	for k, e := range to {
		out[k] = d.Strokes[k].Piece.WithEnds(e.a, e.b)
	}
	return out
}

// heldLength is the length, mm, that a tab is told to leave uncut.
func heldLength(d *drawing.Drawing, e *fix.Edit) float64 {
	var sum float64
	for i := range e.Ops {
		if op := &e.Ops[i]; op.Kind == fix.Take && op.As == drawing.AsTab {
			sum += (op.T1 - op.T0) * d.Strokes[op.Stroke].Length()
		}
	}
	return sum
}

// rights say what a told edit may do. Its zero value: put pieces on what it takes
// away, and nothing else.
type rights struct {
	// New cut may lie up to reach, mm, from what the edit takes away, and no
	// further than near from one of its places; no stretch of it away from what
	// was there may be longer than long.
	reach, near, long float64
	// What it takes away may go without anything in its place: not at all, where
	// something new lies within reach, or anyhow. Then no stretch may be longer
	// than dropLong and lie further than dropNear from a place.
	drop               dropping
	dropLong, dropNear float64
	marks              bool // it may put marks
	fromTabs           bool // it may cut what was left uncut
	fromNotes          bool // it may cut what was carried as a note
}

type dropping uint8

const (
	dropNothing dropping = iota
	dropReplaced
	dropAny
)

// cornerReach is how far from a corner, in kerfs, its relief may reach: a round
// hole of 0.55 kerf through the corner is 1.1 wide.
const cornerReach = 1.2

// sharpReach is how many times the shift of a wall its ends may move, where the
// wall meets the next at a sharp angle.
const sharpReach = 6

// rightsOf returns what edits of a kind may do. A kind that is not listed may do
// nothing but leave what was there.
func rightsOf(c *change, l *Limits) rights {
	inf := math.Inf(1)
	switch c.kind {
	case "close-gap":
		if c.asked { // a line of any length; pieces whose ends are moved turn a little
			return rights{reach: inf, near: inf, long: inf, drop: dropReplaced, dropLong: inf, dropNear: inf}
		}
		// Both ends run on or are cut back by no more than gap, to one place.
		return rights{reach: inf, near: l.Gap + slack, long: 2*l.Gap + slack, drop: dropAny, dropLong: l.Gap + slack, dropNear: l.Gap + slack}
	case "drop-stray":
		return rights{drop: dropAny, dropLong: l.Kerf + slack, dropNear: inf}
	case "refit-arc":
		r := max(l.Curve, c.moved) + slack
		return rights{reach: r, near: inf, long: inf, drop: dropReplaced, dropLong: inf, dropNear: inf}
	case "widen-slot", "refit-slots", "widen-hole", "shrink-hole", "smooth-detail":
		r := sharpReach*c.moved + l.tol()
		return rights{reach: r, near: inf, long: inf, drop: dropReplaced, dropLong: inf, dropNear: inf}
	case "relieve-corner":
		r := cornerReach * l.Kerf
		return rights{reach: r, near: r, long: inf, drop: dropReplaced, dropLong: inf, dropNear: r}
	case "etch-slot":
		// A slot narrower than the kerf is closed across its mouth.
		r := 2 * l.Kerf
		return rights{reach: r, near: inf, long: 2 * r, drop: dropReplaced, dropLong: inf, dropNear: inf, marks: true}
	case "drop-slot":
		if c.asked { // a narrow notch is closed across its mouth, and all of it goes
			r := 2 * l.Kerf
			return rights{reach: r, near: inf, long: 2 * r, drop: dropAny, dropLong: inf, dropNear: inf}
		}
	case "etch-drill-mark":
		return rights{drop: dropAny, dropLong: inf, dropNear: 2 * l.Hole, marks: true}
	case "fill-notch":
		if c.asked { // closed straight across, by a line as long as it is wide
			return rights{reach: inf, near: inf, long: inf, drop: dropAny, dropLong: inf, dropNear: inf}
		}
	case "make-part":
		if c.asked { // a plate where there is room
			return rights{reach: inf, near: inf, long: inf}
		}
	case "keep-copy":
		if c.asked { // the second of a part goes where there is room
			return rights{reach: inf, near: inf, long: inf, drop: dropAny, dropLong: inf, dropNear: inf}
		}
	case "cut-mark":
		return rights{reach: l.tol(), near: inf, long: inf, drop: dropReplaced, dropLong: inf, dropNear: inf, fromNotes: true}
	case "etch-mark", "note-mark", "etch-lettering", "set-aside":
		return rights{reach: l.tol(), drop: dropReplaced, dropLong: inf, dropNear: inf, marks: true}
	case "drop-mark", "drop-outline", "drop-part", "unite-outlines", "subtract-outline":
		return rights{drop: dropAny, dropLong: inf, dropNear: inf}
	case "cut-text":
		if c.asked {
			return rights{reach: inf, near: inf, long: inf}
		}
	case "etch-text", "label":
		return rights{marks: true}
	case "untab":
		return rights{drop: dropReplaced, reach: l.tol(), dropLong: inf, dropNear: inf, fromTabs: true}
	}
	return rights{}
}
