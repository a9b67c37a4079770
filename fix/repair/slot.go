package repair

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/geom"
	"sluice/geom/clear"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// What one slot takes. Unlike WidenSlots and EtchSlots, which draw a whole outline anew
// for all its slots, these change the strokes of the slot and its neighbours alone, so
// that what is offered for each of many slots stays small.

// mostRedrawn is how many pieces an outline may have to be drawn anew for a single slot,
// where its strokes are not those of its pieces.
const mostRedrawn = 400

// WidenSlot returns the edit that widens one slot to the given width, mm; ok is false
// where that cannot be done.
func WidenSlot(d *drawing.Drawing, o *outline.Outline, s *clear.Narrow, to float64, u *fit.Uses) (e fix.Edit, ok bool) {
	e = fix.Edit{
		Kind: "widen-slot", At: s.At, Moved: (to - s.Width) / 2,
		Note: fmt.Sprintf("slot %.4g mm wide widened to %.4g mm about its centre line", s.Width, to),
	}
	at, wide := widened(o.Pieces, s, to)
	if wide == nil {
		e.Ops = swallow(d, &o.Path, s, to, u)
		return e, len(e.Ops) > 0
	}
	if e.Ops, ok = reshapeAt(d, &o.Path, at, wide, u); ok && len(e.Ops) > 0 {
		return e, true
	}
	if len(o.Pieces) > mostRedrawn {
		return e, false
	}
	edits, done := WidenSlots(d, o, []clear.Narrow{*s}, to, u)
	if !done[0] {
		return e, false
	}
	return edits[0], true
}

// widened returns the pieces of a path that a slot reaches, and how they run once it is
// widened; nil where that cannot be done.
func widened(path geom.Path, s *clear.Narrow, to float64) (at []int, wide geom.Path) {
	first, second, err := wallsOf(path, s)
	if err != nil || s.Width >= to {
		return nil, nil
	}
	// The pieces beside the walls are cut back, or carried along if they are tangent
	// to a wall; those beyond stay.
	const beside = 2
	n := len(path)
	count := (second.from+second.n-first.from+n-1)%n + 1 + 2*beside
	from, whole := first.from-beside, count >= n
	if whole {
		from, count = 0, n
	}
	run, by := make(geom.Path, count), make([]float64, count)
	for k := range count {
		i := ((from+k)%n + n) % n
		at = append(at, i)
		run[k] = path[i]
		if first.has(i, n) || second.has(i, n) {
			by[k] = (to - s.Width) / 2
		}
	}
	wide, ok := spread(run, by, whole)
	if !ok {
		return nil, nil
	}
	return at, wide
}

// swallow returns the ops that widen a straight slot whose end opens into a hole no wider
// than the slot becomes: the hole goes, and the slot reaches as deep as it did; none
// where that cannot be done.
//
//	---------+                      -----------+
//	----.  .-                                  |
//	     ()     becomes
//	----'  '-                                  |
//	---------+                      -----------+
func swallow(d *drawing.Drawing, o *outline.Path, s *clear.Narrow, to float64, u *fit.Uses) []fix.Op {
	path := o.Pieces
	n := len(path)
	first, second, err := wallsOf(path, s)
	if err != nil || s.Width >= to || first.n > 1 || second.n > 1 || path[first.from].R > 0 || path[second.from].R > 0 {
		return nil
	}
	in := (second.from - first.from - 1 + n) % n // pieces of the hole
	a, b := path[first.from], path[second.from]
	if in == 0 || in+6 > n {
		return nil
	}
	dir := a.TangentAt(0)
	axis := geom.Transform{XX: dir.X, XY: dir.Y, YX: -dir.Y, YY: dir.X}
	mid := axis.Apply(a.A.Mid(b.B))
	box := geom.NoBox()
	for k := range in {
		box = box.Union(path[(first.from+1+k)%n].Transform(axis).Box())
	}
	if half := to/2 + 1e-6; box.Max.Y-mid.Y > half || mid.Y-box.Min.Y > half {
		return nil
	}
	deep := func(p geom.Point) geom.Point { return p.Add(dir.Mul(box.Max.X - axis.Apply(p).X)) }
	// The slot as if it had a flat end that deep, with what lies beside its walls.
	at := func(k int) int { return ((first.from+k)%n + n) % n }
	src := []int{at(-2), at(-1), first.from, at(1), second.from, at(in + 2), at(in + 3)}
	run := make(geom.Path, len(src))
	for k, i := range src {
		run[k] = path[i]
	}
	run[2], run[3], run[4] = geom.Line(a.A, deep(a.A)), geom.Line(deep(a.A), deep(b.B)), geom.Line(deep(b.B), b.B)
	by := (to - s.Width) / 2
	wide, ok := spread(run, []float64{0, 0, by, 0, by, 0, 0}, false)
	if !ok {
		return nil
	}
	ops, ok := reshapeAt(d, o, src, wide, u)
	if !ok {
		return nil
	}
	for k := 2; k <= in; k++ {
		if i := at(k); !whole(d, o, i) || !u.Alone(o.Src[i]) {
			return nil
		}
		ops = append(ops, fix.Op{Kind: fix.Drop, Stroke: o.Src[at(k)]})
	}
	return ops
}

// notch finds which pieces of a path lie in a notch, count of them from first, and the
// line across its mouth.
func notch(path geom.Path, s *clear.Narrow) (first, count int, mouth geom.Piece, err error) {
	a, b, err := wallsOf(path, s)
	if err != nil {
		return 0, 0, mouth, err
	}
	n := len(path)
	count = (b.from+b.n-a.from+n-1)%n + 1
	if chamber(path, s, a, b, a.from, count) {
		return 0, 0, mouth, ErrNoWalls
	}
	return a.from, count, geom.Line(path[a.from].A, path[(b.from+b.n-1)%n].B), nil
}

// EtchSlot returns the edit that takes one slot out of its outline and etches its
// centre line instead; ok is false where that cannot be done.
func EtchSlot(d *drawing.Drawing, o *outline.Outline, s *clear.Narrow, u *fit.Uses) (e fix.Edit, ok bool) {
	path := o.Pieces
	first, second, err := wallsOf(path, s)
	if err != nil {
		return e, false
	}
	n := len(path)
	a0, a1 := path[first.from].A, path[(first.from+first.n-1)%n].B
	b0, b1 := path[second.from].A, path[(second.from+second.n-1)%n].B
	count := (second.from+second.n-first.from+n-1)%n + 1
	switch {
	case chamber(path, s, first, second, first.from, count):
		return e, false
	case s.Whole:
		if chamber(path, s, first, second, second.from, (first.from+first.n-second.from+n-1)%n+1) {
			return e, false
		}
		e.Ops = DropOutline(d, &o.Path, s.At).Ops
	case !plainMouth(path, s, first, a0, b1):
		return e, false
	default:
		e.Ops = across(d, &o.Path, first.from, count, geom.Line(a0, b1), u)
	}
	if len(e.Ops) == 0 {
		if len(path) > mostRedrawn {
			return e, false
		}
		edits, done := EtchSlots(d, o, []clear.Narrow{*s}, u)
		if !done[0] {
			return e, false
		}
		return edits[0], true
	}
	st := d.Strokes[e.Ops[0].Stroke]
	e.Kind, e.At, e.Note = "etch-slot", s.At, fmt.Sprintf("slot %.4g mm wide taken out; its centre line is etched", s.Width)
	e.Ops = append(e.Ops, fix.Op{Kind: fix.Add, With: []drawing.Stroke{{
		Piece: geom.ThroughPoint(a0.Mid(b1), middleOf(path, first, second), a1.Mid(b0)),
		Layer: FindLayer(d, EtchLayer), Entity: st.Entity, Made: drawing.Edited, As: drawing.AsEtch,
	}}})
	return e, true
}

// mostMouth is how much wider than the notch its mouth may be, which a line closes.
const mostMouth = 3

// DropNotch returns the edit that closes a notch straight across its mouth; ok is false
// where that cannot be done.
func DropNotch(d *drawing.Drawing, o *outline.Outline, s *clear.Narrow, u *fit.Uses) (e fix.Edit, ok bool) {
	first, count, mouth, err := notch(o.Pieces, s)
	if err != nil || mouth.Length() > mostMouth*s.Width+0.01 || mouth.Length() < 1e-6 {
		return e, false
	}
	e = fix.Edit{
		Kind: "drop-slot", At: s.At, Note: fmt.Sprintf("notch %.4g mm wide left out: closed across its mouth, %.4g mm", s.Width, mouth.Length()),
		Ops: across(d, &o.Path, first, count, mouth, u),
	}
	return e, len(e.Ops) > 0
}

// across returns the ops that put a line in the place of count pieces of an outline
// from first on; none where their strokes draw something else too.
func across(d *drawing.Drawing, o *outline.Path, first, count int, line geom.Piece, u *fit.Uses) (ops []fix.Op) {
	for k := range count {
		if i := (first + k) % len(o.Pieces); !whole(d, o, i) || !u.Alone(o.Src[i]) {
			return nil
		}
	}
	return instead(d, o, first, count, line)
}

// reshapeAt returns what puts other pieces in the place of those of an outline, at says
// which, one for one; ok is false where a stroke is part of something else too, or a gap
// is still open. u is nil where that is known.
func reshapeAt(d *drawing.Drawing, o *outline.Path, at []int, to geom.Path, u *fit.Uses) (ops []fix.Op, ok bool) {
	for k, i := range at {
		if to[k] == o.Pieces[i] {
			continue
		}
		if !whole(d, o, i) || u != nil && !u.Alone(o.Src[i]) {
			return nil, false
		}
		st := d.Strokes[o.Src[i]]
		p := to[k]
		if !p.IsCircle() && o.Pieces[i].A.Dist2(st.A) > o.Pieces[i].B.Dist2(st.A) {
			p = p.Reverse()
		}
		st.Piece, st.Made = p, drawing.Edited
		ops = append(ops, fix.Op{Kind: fix.Replace, Stroke: o.Src[i], With: []drawing.Stroke{st}})
	}
	return ops, true
}
