package tab

import (
	"cmp"
	"slices"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// Tab is one breakaway tab on an outline.
type Tab struct {
	Outline int32      // index in Sheet.Outlines
	S0, S1  float64    // the gap along the outline, mm; S1 passes the length where the gap runs over the start
	At      geom.Point // the middle of the gap, on the outline
	Given   string     // the wishes given up for it, "" if none
}

// Gap returns the length of the drawn gap along the outline, mm.
func (t Tab) Gap() float64 { return t.S1 - t.S0 }

// snap is how near, mm, a split may come to an end of a piece before it is taken
// to be there: no slivers of rounding.
const snap = 4e-10

// Hold returns the changes that leave a tab on its outline path uncut. A rest of a
// stroke of at most join, mm, goes with the tab.
func (t Tab) Hold(d *drawing.Drawing, path outline.Path, join float64) []fix.Op {
	held := Stretch(path, t.S0, t.S1)
	var ops []fix.Op
	for k, src := range held.Src {
		if src >= 0 { // else a bridge: nothing is cut there
			ops = append(ops, fix.TakePiece(d, src, &held.Pieces[k], drawing.AsTab, join)...)
		}
	}
	return ops
}

// Stretch returns the stretch of a closed path from s0 to s1, mm along it, where
// s1 passes the length if it runs over the start. One as long as the path is all
// of it. Stretches that follow on from each other share their ends bit for bit.
func Stretch(path outline.Path, s0, s1 float64) outline.Path {
	length := path.Pieces.Length()
	if s1-s0 >= length {
		return path
	}
	c := newCutter(path, length)
	return c.between(c.find(offset(s0, length)), c.find(offset(s1, length)))
}

// cutter takes stretches out of a path.
type cutter struct {
	path   outline.Path
	at     []float64 // start of each piece, and the length at the end
	length float64
}

func newCutter(path outline.Path, length float64) *cutter {
	c := &cutter{path: path, at: make([]float64, 1, len(path.Pieces)+1), length: length}
	for i := range path.Pieces {
		c.at = append(c.at, c.at[i]+path.Pieces[i].Length())
	}
	return c
}

// place is a position on a path: a share of one of its pieces.
type place struct {
	piece int
	t     float64
}

// find returns the place at arc length s, in [0, length]. A place near the end
// of a piece is the start of the next.
func (c *cutter) find(s float64) place {
	i, _ := slices.BinarySearchFunc(c.at[1:], s, func(end, s float64) int { return cmp.Compare(end, s) })
	n := len(c.path.Pieces)
	for i < n && c.at[i+1]-s <= snap {
		i++
	}
	if i >= n {
		return place{0, 0}
	}
	l := c.at[i+1] - c.at[i]
	t := (s - c.at[i]) / l
	if s-c.at[i] <= snap || !(t > 0) {
		t = 0
	}
	return place{i, t}
}

// between returns the stretch from a on to b, which are not the same.
func (c *cutter) between(a, b place) outline.Path {
	var out outline.Path
	add := func(i int, t0, t1 float64) {
		if t0 < t1 {
			c.append(&out, i, t0, t1)
		}
	}
	if a.piece == b.piece && a.t < b.t {
		add(a.piece, a.t, b.t)
		return out
	}
	n := len(c.path.Pieces)
	add(a.piece, a.t, 1)
	for i := (a.piece + 1) % n; i != b.piece; i = (i + 1) % n {
		add(i, 0, 1)
	}
	add(b.piece, 0, b.t)
	return out
}

func (c *cutter) append(out *outline.Path, i int, t0, t1 float64) {
	p := c.path.Pieces[i]
	if t0 > 0 || t1 < 1 {
		p = p.Sub(t0, t1)
	}
	src, flag := int32(-1), outline.Flag(0)
	if i < len(c.path.Src) {
		src = c.path.Src[i]
	}
	if i < len(c.path.Flags) {
		flag = c.path.Flags[i]
	}
	out.Pieces = append(out.Pieces, p)
	out.Src = append(out.Src, src)
	out.Flags = append(out.Flags, flag)
}

// pointAt returns the point at arc length s.
func (c *cutter) pointAt(s float64) geom.Point {
	a := c.find(offset(s, c.length))
	return c.path.Pieces[a.piece].At(a.t)
}
