package outline

import (
	"slices"

	"sluice/geom"
)

// TextAt is a place at which text stands.
type TextAt struct {
	At     geom.Point
	Height float64 // mm
}

// How much room lettering has in the cell of a table or title block, as multiples
// of its height, and how near a border its marks are, as a share of its shorter
// side (common practice, no source).
const (
	tableCell  = 3.5
	titleCell  = 8
	nearBorder = 0.03
	farMarks   = 0.1
	leastCells = 4 // of a table by itself
)

// titled reports whether text stands in the cells beside outline i, as it does in
// the title block of a drawing frame.
func (a *sifted) titled(i int32, n *mesh) bool {
	if a.outlines[i].Area < (1-cellShare)*n.area {
		return false
	}
	return a.written(n, i, titleCell) > 0
}

// written counts the cells of a net, other than outline but, with text in them.
func (a *sifted) written(n *mesh, but int32, room float64) int {
	count := 0
	for _, c := range n.outs {
		if c != but && !a.isOut(c) && a.textsIn(c, room) > 0 {
			count++
		}
	}
	return count
}

// textsIn counts the texts in a rectangle that is no higher than room times their
// height.
func (a *sifted) textsIn(c int32, room float64) int {
	l := a.looks(c)
	o := &a.outlines[c]
	if !l.isRectangle() {
		return 0
	}
	n := 0
	for _, t := range a.o.Texts {
		if l.wide <= room*t.Height && o.Box.Contains(t.At) && o.Pieces.Contains(t.At) {
			n++
		}
	}
	return n
}

// isCell reports whether outline i is a cell of a table: text stands in at least
// half of the cells, which leave it little room.
func (a *sifted) isCell(i int32, nets map[int32]*mesh) bool {
	n := nets[i]
	if n == nil || len(a.o.Texts) == 0 {
		return false
	}
	if !n.asked {
		n.asked = true
		n.table = len(n.outs) >= leastCells && 2*a.written(n, -1, tableCell) >= len(n.outs)
	}
	return n.table
}

// takeTables takes out tables of text, wherever they are.
func (a *sifted) takeTables(nets map[int32]*mesh, group int) {
	for i := range a.outlines {
		if n := nets[int32(i)]; n != nil && !a.isOut(int32(i)) && a.isCell(int32(i), nets) {
			if group < 0 {
				group = a.groups
				a.groups++
			}
			for _, c := range n.outs {
				a.takeOut(c, Frame, group)
			}
		}
	}
}

// takeCells takes out the title block of frame i: what has edges in common with
// it and lies within the rectangle that both fill, and boxes of text in its
// corners.
func (a *sifted) takeCells(i int32, nets map[int32]*mesh, filled bool, group int) {
	if n := nets[i]; n != nil && filled {
		block := a.written(n, i, titleCell) > 0 || len(n.outs) > maxTouching || a.isBlock(i, n)
		for _, c := range n.outs {
			// Elsewhere it may be a part drawn to the edge of the sheet.
			if c != i && block && len(a.kids[c]) == 0 {
				a.takeOut(c, Frame, group)
			}
		}
	}
	for _, k := range a.kids[i] {
		if !a.isOut(k) && a.inCorner(i, k) && a.textsIn(k, titleCell) >= 2 {
			a.takeOut(k, Frame, group)
		}
	}
}

// maxTouching is how many parts may be drawn up to the edge of a sheet; more
// rectangles along it are the fields of a frame.
const maxTouching = 12

// inCorner reports whether outline k lies in a corner of frame i.
func (a *sifted) inCorner(i, k int32) bool {
	l := a.looks(i)
	near := nearBorder * l.wide
	o, c := spanAlong(a.path(i), l.dir), spanAlong(a.outlines[k].Pieces, l.dir)
	x := c.Min.X-o.Min.X <= near || o.Max.X-c.Max.X <= near
	y := c.Min.Y-o.Min.Y <= near || o.Max.Y-c.Max.Y <= near
	return x && y
}

// path returns the path of an outline, taken out or not.
func (a *sifted) path(i int32) geom.Path {
	if m := a.out[i]; m != nil {
		return m.path.Pieces
	}
	return a.outlines[i].Pieces
}

// frameOf returns the group of the border to which an open path belongs as a mark
// of it: a corner mark, a centre line, a cross. It lies outside the innermost line of the
// border, or along it, and not far off. -1 if there is none.
func (a *sifted) frameOf(p geom.Path) int {
	for _, f := range a.frames {
		far, out, deep := false, false, 0.0
		for i := range p {
			for _, q := range [2]geom.Point{p[i].A, p[i].B} {
				far = far || f.hull.Dist(geom.BoxOf(inAxes(q, f.dir))) > farMarks*f.wide
				d, _ := f.path.Dist(q)
				if out = out || d <= a.o.Gap; f.path.Contains(q) {
					deep = max(deep, d)
				} else {
					out = true
				}
			}
		}
		reach := nearBorder * f.wide
		if out { // it hangs on the border, or runs across it
			reach = farMarks * f.wide
		}
		inside := deep > reach
		if !far && !inside {
			return f.group
		}
	}
	return -1
}

// frame is a border as its marks see it.
type frame struct {
	path  geom.Path  // its innermost line
	hull  geom.Box   // of its outermost one, in axes of which the first is dir
	dir   geom.Point // along it
	wide  float64    // its shorter side
	group int
}

// takeFrameMarks finds the open paths that belong to a border, and sets them
// aside.
func (t *telling) takeFrameMarks() {
	if len(t.frames) == 0 || t.o.choice(Frame) == Keep {
		return
	}
	for k := range t.Open {
		o := &t.Open[k]
		if o.Part >= 0 {
			continue
		}
		if g := t.frameOf(o.Pieces); g >= 0 {
			t.framed[int32(k)] = true
			t.addMark(o, g, false)
		}
	}
}

// addMark sets an open path aside as belonging to a border.
func (t *telling) addMark(o *Open, group int, written bool) {
	t.Aside = append(t.Aside, Aside{
		Outline: Outline{
			Path: o.Path, Box: o.Box, Length: o.Length, Parent: -1, Part: -1,
			Closed: o.Pieces[0].A.Dist(o.Pieces[len(o.Pieces)-1].B) <= t.o.Join,
		},
		Kind: Frame, Group: group, Written: written,
		Settled: t.o.choice(Frame) == Settle || written && t.settled(&o.Path),
	})
}

// dropFrameCrossings leaves out where outlines cross nothing but what is set
// aside.
func (t *telling) dropFrameCrossings() {
	gone := map[int32]bool{}
	drop := func(p *Path) {
		for _, s := range p.Src {
			gone[s] = true
		}
	}
	for _, m := range t.out {
		drop(&m.path)
	}
	for i := range t.Aside {
		drop(&t.Aside[i].Path)
	}
	if len(gone) == 0 {
		return
	}
	t.Crossings = slices.DeleteFunc(t.Crossings, func(c Crossing) bool {
		left := 0
		for _, s := range c.Strokes {
			if !gone[s] {
				left++
			}
		}
		return left < 2
	})
}
