package layout

import (
	"maps"
	"math"
	"slices"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// Move is one part of a sheet and the movement it makes (no mirror, no scale).
type Move struct {
	Part int
	T    geom.Transform
}

// Moves returns the movements of a spread sheet, one for each part that moves.
func (m *Moves) Moves() []Move {
	var out []Move
	for i, d := range m.Shift {
		if d != (geom.Point{}) {
			out = append(out, Move{i, geom.Shift(d)})
		}
	}
	return out
}

// Moves returns the movements of a laid sheet, item k being part k (see Items).
func (l *Laid) Moves() []Move {
	out := make([]Move, len(l.Placed))
	for i, p := range l.Placed {
		out[i] = Move{p.Item, p.Transform()}
	}
	return out
}

// Edits returns the changes that move parts, one edit for each of moves, made by
// told, with the marks, texts and points that lie on the part or beside it within
// reach (mm). Edges common to two parts are drawn once for each. A part may be
// moved more than once (copies). With rest, what is not moved stays where it is;
// without it, it is taken out. What is tangled (outline.Sheet.Tangles) stays or
// goes with the rest: a part that it bounds is not to be moved. Curves of d must
// have been settled: the strokes that stand for them take their place.
//
// The edits belong together: no one of them can be made without the others.
func Edits(d *drawing.Drawing, s *outline.Sheet, moves []Move, reach float64, rest bool, told func(*Move) fix.Edit) []fix.Edit {
	r := &redraw{d: d, s: s, w: belongings(d, s, reach), gone: map[int32]bool{}}
	moved := map[int]bool{}
	for i := range moves {
		moved[moves[i].Part] = true
	}
	var first []fix.Op // what goes, and what stays of it
	if rest {
		first = r.takeOut(moved)
	} else {
		first = r.takeOutAll()
	}
	for i := range d.Curves {
		first = append(first, fix.Op{Kind: fix.SettleCurve, Index: int32(i)})
	}
	edits := make([]fix.Edit, len(moves))
	for i := range moves {
		edits[i] = told(&moves[i])
		if i == 0 {
			edits[i].Ops = first
		}
		edits[i].Ops = append(edits[i].Ops, r.copy(&moves[i], rest)...)
	}
	return edits
}

// redraw moves the parts of one sheet.
type redraw struct {
	d    *drawing.Drawing
	s    *outline.Sheet
	w    *owned
	gone map[int32]bool // strokes taken out
}

// takeOutAll returns the changes that take everything out.
func (r *redraw) takeOutAll() (ops []fix.Op) {
	for i := range r.d.Strokes {
		ops = append(ops, fix.Op{Kind: fix.Drop, Stroke: int32(i)})
	}
	for i := range r.d.Texts {
		ops = append(ops, fix.Op{Kind: fix.DropText, Index: int32(i)})
	}
	for i := range r.d.Points {
		ops = append(ops, fix.Op{Kind: fix.DropPoint, Index: int32(i)})
	}
	return ops
}

// takeOut returns the changes that take out the strokes that moved parts are
// drawn with, and put back what of them belongs to others.
func (r *redraw) takeOut(moved map[int]bool) (ops []fix.Op) {
	for k := range moved {
		for _, p := range r.paths(k) {
			for _, src := range p.Src {
				if src >= 0 && r.w.drawn[src] {
					r.gone[src] = true
				}
			}
		}
	}
	for i := range r.s.Overlaps { // what repeats an edge that moves
		if o := &r.s.Overlaps[i]; r.gone[o.Twin] {
			r.gone[o.Stroke] = r.w.drawn[o.Stroke]
		}
	}
	for i := range r.s.Shared {
		if e := &r.s.Shared[i]; slices.ContainsFunc(e.Strokes, func(src int32) bool { return r.gone[src] }) {
			for _, src := range e.Extra {
				r.gone[src] = r.w.drawn[src]
			}
		}
	}
	for _, src := range slices.Sorted(maps.Keys(r.gone)) {
		if !r.gone[src] {
			continue // tangled: stays
		}
		ops = append(ops, fix.Op{Kind: fix.Drop, Stroke: src})
	}
	var stay []drawing.Stroke
	for k := -1; k < len(r.s.Parts); k++ {
		if moved[k] {
			continue
		}
		for _, p := range r.paths(k) {
			for i := range p.Pieces {
				if p.Src[i] >= 0 && r.gone[p.Src[i]] && p.Flags[i]&outline.IsBridge == 0 {
					st := r.d.Strokes[p.Src[i]]
					st.Piece = p.Pieces[i]
					stay = append(stay, st)
				}
			}
		}
	}
	if len(stay) > 0 {
		ops = append(ops, fix.Op{Kind: fix.Add, With: stay})
	}
	return ops
}

// paths returns what part k is drawn with; -1 is what belongs to none.
func (r *redraw) paths(k int) []*outline.Path {
	var out []*outline.Path
	if k >= 0 {
		part := &r.s.Parts[k]
		if !part.Tangled {
			out = append(out, &r.s.Outlines[part.Outer].Path)
		}
		for _, h := range part.Holes {
			out = append(out, &r.s.Outlines[h].Path)
		}
	}
	for _, o := range r.w.paths[k] {
		out = append(out, &o.Path)
	}
	return out
}

// copy returns the changes that put a part where it is moved. A drawing of which
// the rest stays has its texts and points moved, else they are copied.
func (r *redraw) copy(m *Move, rest bool) (ops []fix.Op) {
	still := m.T == geom.Identity()
	var strokes []drawing.Stroke
	for _, p := range r.paths(m.Part) {
		for i := range p.Pieces {
			if p.Src[i] < 0 || p.Flags[i]&outline.IsBridge != 0 {
				continue
			}
			st := r.d.Strokes[p.Src[i]]
			if st.Piece = p.Pieces[i]; !still {
				st.Piece, st.Made = st.Piece.Transform(m.T), drawing.Edited
			}
			strokes = append(strokes, st)
		}
	}
	ops = append(ops, fix.Op{Kind: fix.Add, With: strokes})
	text, point := fix.AddText, fix.AddPoint
	if rest {
		text, point = fix.ReplaceText, fix.MovePoint
	}
	turn := math.Atan2(m.T.YX, m.T.XX)
	for _, i := range r.w.texts[m.Part] {
		t := r.d.Texts[i]
		t.At, t.Angle = m.T.Apply(t.At), t.Angle+turn
		ops = append(ops, fix.Op{Kind: text, Index: int32(i), Text: &t})
	}
	for _, i := range r.w.points[m.Part] {
		ops = append(ops, fix.Op{Kind: point, Index: int32(i), To: m.T.Apply(r.d.Points[i].At)})
	}
	return ops
}

// Loose returns the entities of d, ascending, that have a stroke, text or point
// that belongs to no part of the sheet: what Edits takes out or, with rest,
// leaves where it is.
func Loose(d *drawing.Drawing, s *outline.Sheet, reach float64) []int32 {
	w := belongings(d, s, reach)
	var out []int32
	for i := range d.Strokes {
		if !w.drawn[i] {
			out = append(out, d.Strokes[i].Entity)
		}
	}
	for _, o := range w.paths[-1] {
		for _, i := range o.Src {
			if i >= 0 {
				out = append(out, d.Strokes[i].Entity)
			}
		}
	}
	for _, i := range w.texts[-1] {
		out = append(out, d.Texts[i].Entity)
	}
	for _, i := range w.points[-1] {
		out = append(out, d.Points[i].Entity)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// owned lists what goes with each part; -1 is none.
type owned struct {
	paths  map[int][]*outline.Open
	texts  map[int][]int
	points map[int][]int
	drawn  []bool // by stroke: it belongs to an outline or a path, or repeats one
}

func belongings(d *drawing.Drawing, s *outline.Sheet, reach float64) *owned {
	w := &owned{map[int][]*outline.Open{}, map[int][]int{}, map[int][]int{}, make([]bool, len(d.Strokes))}
	mark := func(src []int32) {
		for _, i := range src {
			if i >= 0 {
				w.drawn[i] = true
			}
		}
	}
	for i := range s.Outlines {
		mark(s.Outlines[i].Src)
	}
	for i := range s.Overlaps {
		mark([]int32{s.Overlaps[i].Stroke})
	}
	for i := range s.Shared {
		mark(s.Shared[i].Strokes)
		mark(s.Shared[i].Extra)
	}
	for _, list := range [][]outline.Open{s.Open, s.Etch, s.Noted} {
		for i := range list {
			o := &list[i]
			mark(o.Src)
			k := int(o.Part)
			if k < 0 {
				k = beside(s, o.Box, reach)
			}
			w.paths[k] = append(w.paths[k], o)
		}
	}
	aside := s.AsidePaths()
	for i := range aside { // a border belongs to no part, however near one lies
		mark(aside[i].Src)
		w.paths[int(aside[i].Part)] = append(w.paths[int(aside[i].Part)], &aside[i])
	}
	for i := range s.Tangles { // stays as it is: see Tangled
		for _, k := range s.Tangles[i].Src {
			if k >= 0 {
				w.drawn[k] = false
			}
		}
	}
	at := func(q geom.Point) int {
		if k := s.PartAt(q); k >= 0 {
			return k
		}
		return beside(s, geom.BoxOf(q), reach)
	}
	for i := range d.Texts {
		k := at(d.Texts[i].At)
		w.texts[k] = append(w.texts[k], i)
	}
	for i := range d.Points {
		k := at(d.Points[i].At)
		w.points[k] = append(w.points[k], i)
	}
	return w
}

// beside returns the part nearest to a box, by the line of its outside, -1 if
// none comes within reach.
func beside(s *outline.Sheet, b geom.Box, reach float64) int {
	best, at := reach, -1
	for k := range s.Parts {
		part := &s.Parts[k]
		if part.Box.Dist(b) >= best {
			continue
		}
		if d, _ := s.Outlines[part.Outer].Pieces.Dist(b.Center()); d < best {
			best, at = d, k
		}
	}
	return at
}

// Items returns an item, of count one, for each part of a sheet: item k is part
// k. Those of one form, such as copies drawn side by side, share the work of the
// search all the same.
func Items(s *outline.Sheet, name func(part int) string) []Item {
	items := make([]Item, len(s.Parts))
	for k := range s.Parts {
		p := &s.Parts[k]
		items[k] = Item{Name: name(k), Outer: s.Outlines[p.Outer].Pieces, Count: 1}
		for _, h := range p.Holes {
			items[k].Holes = append(items[k].Holes, s.Outlines[h].Pieces)
		}
	}
	return items
}
