package layout

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// Move is one part of a sheet and the movement it makes (no mirror, no scale).
type Move struct {
	Part int
	T    geom.Transform
}

// Moves returns the movements of a spread sheet, one for each part.
func (m *Moves) Moves() []Move {
	out := make([]Move, len(m.Shift))
	for i, d := range m.Shift {
		out[i] = Move{i, geom.Shift(d)}
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

// Redraw returns the drawing with its parts moved, each with the marks, texts
// and points that lie on it or beside it within reach (mm). Edges common to two
// parts are drawn once for each. A part may be moved more than once (copies); a
// part that is not moved is left out. With rest, strokes and texts that belong
// to no part stay where they are; without it they are left out. So does what is
// tangled (outline.Sheet.Tangles): a part that it bounds is not to be moved. d is
// not changed. Curves of d must have been settled: the result has none, only the
// strokes that stand for them.
func Redraw(d *drawing.Drawing, s *outline.Sheet, moves []Move, reach float64, rest bool) *drawing.Drawing {
	out := *d
	out.Strokes, out.Texts, out.Points, out.Curves = nil, nil, nil, nil
	w := belongings(d, s, reach)
	for _, m := range moves {
		still := m.T == geom.Identity()
		path := func(p *outline.Path) {
			for i := range p.Pieces {
				if p.Src[i] < 0 || p.Flags[i]&outline.IsBridge != 0 {
					continue
				}
				st := d.Strokes[p.Src[i]]
				if st.Piece = p.Pieces[i]; !still {
					st.Piece, st.Made = st.Piece.Transform(m.T), drawing.Edited
				}
				out.Strokes = append(out.Strokes, st)
			}
		}
		part := &s.Parts[m.Part]
		if !part.Tangled {
			path(&s.Outlines[part.Outer].Path)
		}
		for _, h := range part.Holes {
			path(&s.Outlines[h].Path)
		}
		for _, o := range w.paths[m.Part] {
			path(&o.Path)
		}
		turn := math.Atan2(m.T.YX, m.T.XX)
		for _, i := range w.texts[m.Part] {
			t := d.Texts[i]
			t.At, t.Angle = m.T.Apply(t.At), t.Angle+turn
			out.Texts = append(out.Texts, t)
		}
		for _, i := range w.points[m.Part] {
			q := d.Points[i]
			q.At = m.T.Apply(q.At)
			out.Points = append(out.Points, q)
		}
	}
	if !rest {
		return &out
	}
	for i := range d.Strokes {
		if !w.drawn[i] {
			out.Strokes = append(out.Strokes, d.Strokes[i])
		}
	}
	for _, o := range w.paths[-1] {
		for i := range o.Pieces {
			if o.Src[i] >= 0 && o.Flags[i]&outline.IsBridge == 0 {
				st := d.Strokes[o.Src[i]]
				st.Piece = o.Pieces[i]
				out.Strokes = append(out.Strokes, st)
			}
		}
	}
	for _, i := range w.texts[-1] {
		out.Texts = append(out.Texts, d.Texts[i])
	}
	for _, i := range w.points[-1] {
		out.Points = append(out.Points, d.Points[i])
	}
	return &out
}

// Loose returns the entities of d, ascending, that have a stroke, text or point
// that belongs to no part of the sheet: what Redraw leaves out or, with rest,
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
