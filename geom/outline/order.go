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
func (b *builder) order() {
	s := b.sheet
	outs := s.Outlines
	b.locateAside()
	common := map[int32]int{} // outline -> how many of its pieces bound another outline too
	for _, s := range b.shared {
		common[s.a]++
		common[s.b]++
	}
	for i := range outs {
		if b.isOut(int32(i)) {
			continue
		}
		if outs[i].Hole() {
			outs[i].reverse()
		}
		outs[i].fromCorner()
	}
	var outer []int32
	holes := make([][]int32, len(outs))
	for i := range outs {
		if b.isOut(int32(i)) {
			continue
		}
		if !outs[i].Hole() {
			outer = append(outer, int32(i))
		} else if p := outs[i].Parent; p >= 0 {
			holes[p] = append(holes[p], int32(i))
		}
	}
	readingOrder(outer, func(i int32) geom.Box { return outs[i].Box })
	pos := make([]int32, len(outs)) // old outline -> new
	sorted := make([]Outline, 0, len(outs))
	put := func(i int32) int32 {
		pos[i] = int32(len(sorted))
		sorted = append(sorted, outs[i])
		return pos[i]
	}
	partOf := make([]int32, len(outs)) // old outline -> part
	for k, i := range outer {
		readingOrder(holes[i], func(j int32) geom.Box { return outs[j].Box })
		p := Part{Outer: put(i), Area: outs[i].Area, Box: outs[i].Box, Doubt: outs[i].Doubt, Enclosed: b.enclosed(i, common), Tangled: outs[i].Tangled}
		m := outs[i].Centroid.Mul(outs[i].Area)
		partOf[i] = int32(k)
		for _, h := range holes[i] {
			p.Holes = append(p.Holes, put(h))
			p.Area -= outs[h].Area
			m = m.Sub(outs[h].Centroid.Mul(outs[h].Area))
			partOf[h] = int32(k)
		}
		if p.Area > 0 {
			p.Centroid = m.Mul(1 / p.Area)
		} else {
			p.Centroid = outs[i].Centroid
		}
		s.Parts = append(s.Parts, p)
	}
	for i := range outs {
		if b.isOut(int32(i)) {
			pos[i], partOf[i] = -1, -1
			continue
		}
		o := &sorted[pos[i]]
		o.Part = partOf[i]
		if o.Parent >= 0 {
			o.Parent = pos[o.Parent]
		}
	}
	toPart := func(o int32) int32 {
		if o < 0 {
			return -1
		}
		return partOf[o]
	}
	b.tellAside(toPart)
	s.Outlines = sorted
	b.markTwins(pos)
	for k := range s.Open {
		s.Open[k].Part = toPart(s.Open[k].Part)
	}
	for k := range s.Etch {
		s.Etch[k].Part = toPart(s.Etch[k].Part)
	}
	for k := range s.Noted {
		s.Noted[k].Part = toPart(s.Noted[k].Part)
	}
	for k := range s.Gaps {
		if o := s.Gaps[k].Outline; o >= 0 {
			s.Gaps[k].Outline = pos[o]
		}
	}
	for k := range s.Shared {
		x := &s.Shared[k]
		x.PartA, x.PartB = toPart(x.PartA), toPart(x.PartB)
		if x.PartA > x.PartB {
			x.PartA, x.PartB = x.PartB, x.PartA
		}
	}
	slices.SortFunc(s.Gaps, func(x, y Gap) int {
		return cmp.Or(cmp.Compare(y.At.Y, x.At.Y), cmp.Compare(x.At.X, y.At.X))
	})
	slices.SortFunc(s.Shared, func(x, y Shared) int {
		return cmp.Or(cmp.Compare(x.PartA, y.PartA), cmp.Compare(x.PartB, y.PartB), cmp.Compare(y.At.Y, x.At.Y), cmp.Compare(x.At.X, y.At.X))
	})
	slices.SortFunc(s.Strays, func(x, y Stray) int { return cmp.Compare(x.Stroke, y.Stroke) })
}

// enclosed reports whether every drawn piece of outline i, or of one around it,
// bounds another outline too.
func (b *builder) enclosed(i int32, common map[int32]int) bool {
	for ; i >= 0; i = b.sheet.Outlines[i].Parent {
		n := common[i]
		if n == 0 || b.sheet.Outlines[i].Hole() { // between holes there is nothing but waste
			continue
		}
		for _, f := range b.sheet.Outlines[i].Flags {
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

// readingOrder sorts row by row from the top left. A row is what has its middle
// above the lower edge of the row's topmost member. Places are compared in steps
// of 0.1 micrometre, so that the rounding of the writing program decides nothing.
func readingOrder(ids []int32, exact func(int32) geom.Box) {
	step := func(p geom.Point) geom.Point {
		return geom.Pt(math.Round(p.X*1e4)/1e4, math.Round(p.Y*1e4)/1e4)
	}
	box := func(i int32) geom.Box {
		b := exact(i)
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
