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
func (b *builder) titled(i int32, n *mesh) bool {
	if b.sheet.Outlines[i].Area < (1-cellShare)*n.area {
		return false
	}
	return b.written(n, i, titleCell) > 0
}

// written counts the cells of a net, other than outline but, with text in them.
func (b *builder) written(n *mesh, but int32, room float64) int {
	count := 0
	for _, c := range n.outs {
		if c != but && !b.isOut(c) && b.textsIn(c, room) > 0 {
			count++
		}
	}
	return count
}

// textsIn counts the texts in a rectangle that is no higher than room times their
// height.
func (b *builder) textsIn(c int32, room float64) int {
	l := b.looks(c)
	o := &b.sheet.Outlines[c]
	if !l.isRectangle() {
		return 0
	}
	n := 0
	for _, t := range b.o.Texts {
		if l.wide <= room*t.Height && o.Box.Contains(t.At) && o.Pieces.Contains(t.At) {
			n++
		}
	}
	return n
}

// isCell reports whether outline i is a cell of a table: text stands in at least
// half of the cells, which leave it little room.
func (b *builder) isCell(i int32, nets map[int32]*mesh) bool {
	n := nets[i]
	if n == nil || len(b.o.Texts) == 0 {
		return false
	}
	if !n.asked {
		n.asked = true
		n.table = len(n.outs) >= leastCells && 2*b.written(n, -1, tableCell) >= len(n.outs)
	}
	return n.table
}

// takeTables takes out tables of text, wherever they are.
func (b *builder) takeTables(nets map[int32]*mesh, group int) {
	for i := range b.sheet.Outlines {
		if n := nets[int32(i)]; n != nil && !b.isOut(int32(i)) && b.isCell(int32(i), nets) {
			if group < 0 {
				group = b.aside.groups
				b.aside.groups++
			}
			for _, c := range n.outs {
				b.takeOut(c, Frame, group)
			}
		}
	}
}

// takeCells takes out the title block of frame i: what has edges in common with
// it and lies within the rectangle that both fill, and boxes of text in its
// corners.
func (b *builder) takeCells(i int32, nets map[int32]*mesh, filled bool, group int) {
	if n := nets[i]; n != nil && filled {
		for _, c := range n.outs {
			// Without text it may be a part drawn to the edge of the sheet.
			if c != i && (b.written(n, i, titleCell) > 0 || len(n.outs) > maxTouching) && len(b.aside.kids[c]) == 0 {
				b.takeOut(c, Frame, group)
			}
		}
	}
	for _, k := range b.aside.kids[i] {
		if !b.isOut(k) && b.inCorner(i, k) && b.textsIn(k, titleCell) >= 2 {
			b.takeOut(k, Frame, group)
		}
	}
}

// maxTouching is how many parts may be drawn up to the edge of a sheet; more
// rectangles along it are the fields of a frame.
const maxTouching = 12

// inCorner reports whether outline k lies in a corner of frame i.
func (b *builder) inCorner(i, k int32) bool {
	l := b.looks(i)
	near := nearBorder * l.wide
	o, c := spanAlong(b.aside.path(b, i), l.dir), spanAlong(b.sheet.Outlines[k].Pieces, l.dir)
	x := c.Min.X-o.Min.X <= near || o.Max.X-c.Max.X <= near
	y := c.Min.Y-o.Min.Y <= near || o.Max.Y-c.Max.Y <= near
	return x && y
}

// path returns the path of an outline, taken out or not.
func (a *aside) path(b *builder, i int32) geom.Path {
	if m := a.out[i]; m != nil {
		return m.path.Pieces
	}
	return b.sheet.Outlines[i].Pieces
}

// spanAlong returns the box of a path in axes of which the first is dir.
func spanAlong(p geom.Path, dir geom.Point) geom.Box {
	return p.Transform(geom.Turn(geom.Point{}, -dir.Angle())).Box()
}

// frameOf returns the group of the border to which an open path belongs as a mark
// of it: a corner mark, a centre line, a cross. It lies outside the innermost line of the
// border, or along it, and not far off. -1 if there is none.
func (b *builder) frameOf(p geom.Path) int {
	for _, f := range b.aside.frames {
		far, out, deep := false, false, 0.0
		for i := range p {
			for _, q := range [2]geom.Point{p[i].A, p[i].B} {
				far = far || f.hull.Dist(geom.BoxOf(q.Rotate(-f.dir.Angle()))) > farMarks*f.wide
				d, _ := f.path.Dist(q)
				if out = out || d <= b.o.Gap; f.path.Contains(q) {
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

// takeFrameMarks takes open paths that belong to a border out of those that do
// not close.
func (b *builder) takeFrameMarks() map[int32]bool {
	gone := map[int32]bool{}
	if len(b.aside.frames) == 0 || b.o.choice(Frame) == Keep {
		return gone
	}
	for k := range b.sheet.Open {
		o := &b.sheet.Open[k]
		if o.Part >= 0 {
			continue
		}
		if g := b.frameOf(o.Pieces); g >= 0 {
			gone[int32(k)] = true
			b.addMark(o, g, false)
		}
	}
	return gone
}

// addMark sets an open path aside as belonging to a border.
func (b *builder) addMark(o *Open, group int, written bool) {
	b.sheet.Aside = append(b.sheet.Aside, Aside{
		Outline: Outline{
			Path: o.Path, Box: o.Box, Length: o.Length, Parent: -1, Part: -1,
			Closed: o.Pieces[0].A.Dist(o.Pieces[len(o.Pieces)-1].B) <= b.o.Join,
		},
		Kind: Frame, Group: group, Written: written,
		Settled: b.o.choice(Frame) == Settle || written && b.settled(&o.Path),
	})
}

// dropFrameCrossings leaves out where outlines cross nothing but what is set
// aside.
func (b *builder) dropFrameCrossings() {
	if len(b.aside.out)+len(b.sheet.Aside) == 0 {
		return
	}
	gone := map[int32]bool{}
	for _, m := range b.aside.out {
		for _, s := range m.path.Src {
			gone[s] = true
		}
	}
	for i := range b.sheet.Aside {
		for _, s := range b.sheet.Aside[i].Src {
			gone[s] = true
		}
	}
	b.sheet.Crossings = slices.DeleteFunc(b.sheet.Crossings, func(c Crossing) bool {
		left := 0
		for _, s := range c.Strokes {
			if !gone[s] {
				left++
			}
		}
		return left < 2
	})
}
