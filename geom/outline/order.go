package outline

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// order gives everything its final order and direction: parts in reading order,
// outlines by part with the outside first, each running so that material lies
// on its left and starting at its leftmost (then lowest) corner.
func (t *telling) order() {
	around := t.aroundAside()
	var outer []int32
	holes := make([][]int32, len(t.outlines))
	for i := range t.outlines {
		o := &t.outlines[i]
		if t.isOut(int32(i)) {
			continue
		}
		if !o.Hole() {
			outer = append(outer, int32(i))
		} else {
			o.reverse()
			if o.Parent >= 0 {
				holes[o.Parent] = append(holes[o.Parent], int32(i))
			}
		}
		o.fromCorner()
	}
	t.readingOrder(outer)
	pos := make([]int32, len(t.outlines)) // old outline -> new, -1 for those taken out
	for i := range pos {
		pos[i] = -1
	}
	t.Outlines = make([]Outline, 0, len(t.outlines))
	common := t.common()
	for _, i := range outer {
		t.readingOrder(holes[i])
		t.addPart(i, holes[i], pos, common)
	}
	for k := range t.Outlines {
		if o := &t.Outlines[k]; o.Parent >= 0 {
			o.Parent = pos[o.Parent]
		}
	}
	toPart := func(o int32) int32 {
		if o < 0 || pos[o] < 0 {
			return -1
		}
		return t.Outlines[pos[o]].Part
	}
	t.tellAside(around, toPart)
	t.markTwins(pos)
	for _, list := range [][]Open{t.Open, t.Etch, t.Noted} {
		for k := range list {
			list[k].Part = toPart(list[k].Part)
		}
	}
	for k := range t.Gaps {
		if o := t.Gaps[k].Outline; o >= 0 {
			t.Gaps[k].Outline = pos[o]
		}
	}
	for k := range t.Shared {
		x := &t.Shared[k]
		a, b := toPart(x.PartA), toPart(x.PartB)
		x.PartA, x.PartB = min(a, b), max(a, b)
	}
	slices.SortFunc(t.Gaps, func(x, y Gap) int {
		return cmp.Or(cmp.Compare(y.At.Y, x.At.Y), cmp.Compare(x.At.X, y.At.X))
	})
	slices.SortFunc(t.Shared, func(x, y Shared) int {
		return cmp.Or(cmp.Compare(x.PartA, y.PartA), cmp.Compare(x.PartB, y.PartB), cmp.Compare(y.At.Y, x.At.Y), cmp.Compare(x.At.X, y.At.X))
	})
	slices.SortFunc(t.Strays, func(x, y Stray) int { return cmp.Compare(x.Stroke, y.Stroke) })
}

// addPart adds the part of outline i with its holes, and gives each its place in
// pos.
func (t *telling) addPart(i int32, holes []int32, pos, common []int32) {
	put := func(k int32) int32 {
		pos[k] = int32(len(t.Outlines))
		t.Outlines = append(t.Outlines, t.outlines[k])
		t.Outlines[pos[k]].Part = int32(len(t.Parts))
		return pos[k]
	}
	o := &t.outlines[i]
	p := Part{Outer: put(i), Area: o.Area, Box: o.Box, Doubt: o.Doubt, Enclosed: t.enclosed(i, common), Tangled: o.Tangled, Centroid: o.Centroid}
	m := o.Centroid.Mul(o.Area)
	for _, k := range holes {
		h := &t.outlines[k]
		p.Holes = append(p.Holes, put(k))
		p.Area -= h.Area
		m = m.Sub(h.Centroid.Mul(h.Area))
	}
	if p.Area > 0 {
		p.Centroid = m.Mul(1 / p.Area)
	}
	t.Parts = append(t.Parts, p)
}

// common counts by outline the segs that bound another outline too.
func (a *sifted) common() []int32 {
	n := make([]int32, len(a.outlines))
	for _, s := range a.shared {
		n[s.a]++
		n[s.b]++
	}
	return n
}

// enclosed reports whether every drawn piece of outline i, or of one around it,
// bounds another outline too.
func (a *sifted) enclosed(i int32, common []int32) bool {
	for ; i >= 0; i = a.outlines[i].Parent {
		n := common[i]
		if n == 0 || a.outlines[i].Hole() { // between holes there is nothing but waste
			continue
		}
		for _, f := range a.outlines[i].Flags {
			if f&IsBridge == 0 {
				n--
			}
		}
		if n == 0 {
			return true
		}
	}
	return false
}

// readingOrder sorts outlines row by row from the top left. A row is what has its
// middle above the lower edge of the row's topmost member. Places are compared in
// steps of 0.1 micrometre, so that the rounding of the writing program decides
// nothing.
func (a *sifted) readingOrder(ids []int32) {
	step := func(p geom.Point) geom.Point {
		return geom.Pt(math.Round(p.X*1e4)/1e4, math.Round(p.Y*1e4)/1e4)
	}
	box := func(i int32) geom.Box {
		b := a.outlines[i].Box
		return geom.Box{Min: step(b.Min), Max: step(b.Max)}
	}
	slices.SortFunc(ids, func(x, y int32) int {
		bx, by := box(x), box(y)
		return cmp.Or(cmp.Compare(by.Max.Y, bx.Max.Y), cmp.Compare(bx.Min.X, by.Min.X), cmp.Compare(bx.Max.X, by.Max.X), cmp.Compare(bx.Min.Y, by.Min.Y))
	})
	for len(ids) > 0 {
		low := box(ids[0]).Min.Y
		var row, rest []int32
		n := 0
		for _, i := range ids {
			if box(i).Max.Y < low {
				break // sorted by upper edge: nothing further reaches the row
			}
			n++
			if box(i).Center().Y >= low {
				row = append(row, i)
			} else {
				rest = append(rest, i)
			}
		}
		slices.SortStableFunc(row, func(x, y int32) int { return cmp.Compare(box(x).Min.X, box(y).Min.X) })
		copy(ids, row)
		copy(ids[len(row):n], rest)
		ids = ids[len(row):]
	}
}

// fromCorner turns a closed path, in place, so that it starts at its leftmost
// corner, the lowest of those. A lone circle starts at its rightmost point.
func (p *Path) fromCorner() {
	if len(p.Pieces) == 1 {
		if c := p.Pieces[0]; c.IsCircle() {
			p.Pieces[0] = geom.Arc(c.C, c.R, 0, c.Sweep)
		}
		return
	}
	// Compared in steps of a millionth of a mm, so that rounding decides nothing.
	step := func(v float64) float64 { return math.Round(v * 1e6) }
	best := 0
	for k := range p.Pieces {
		a, c := p.Pieces[k].A, p.Pieces[best].A
		if x, y := step(a.X), step(c.X); x < y || x == y && step(a.Y) < step(c.Y) {
			best = k
		}
	}
	rotate(p.Pieces, best)
	rotate(p.Src, best)
	rotate(p.Flags, best)
}

// rotate brings element k of s to the front, keeping the cyclic order.
func rotate[T any](s []T, k int) {
	if k == 0 {
		return
	}
	slices.Reverse(s[:k])
	slices.Reverse(s[k:])
	slices.Reverse(s)
}
