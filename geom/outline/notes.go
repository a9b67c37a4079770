package outline

import "sluice/geom"

// gatherNotes joins the strokes put aside into paths, end to end, and finds the
// part in which each lies. What is drawn twice is taken once. The paths do not
// depend on anything that is cut.
func (b *builder) gatherNotes() {
	if len(b.note) == 0 {
		return
	}
	piece := func(i int) *geom.Piece { return &b.strokes[b.note[i]].Piece }
	repeat := wholeRepeats(len(b.note), piece, b.o.Same)
	nodes := newNodes(b.o.Join, 2*len(b.note))
	at := make([]int32, 2*len(b.note)) // node of each end
	for i := range b.note {
		at[2*i], at[2*i+1] = nodes.place(piece(i).A), nodes.place(piece(i).B)
	}
	ends := map[int32][]int{} // ends at each node; end 2i is the A end of stroke i
	done := make([]bool, len(b.note))
	for i := range b.note {
		if done[i] = repeat[i] >= 0 || piece(i).Length() <= b.o.Join; done[i] {
			continue
		}
		if piece(i).IsCircle() {
			continue
		}
		for e := 2 * i; e <= 2*i+1; e++ {
			at[e] = nodes.find(at[e])
			ends[at[e]] = append(ends[at[e]], e)
		}
	}
	// onward returns the end that follows on end e, -1 at a free end or a fork.
	onward := func(e int) int {
		switch s := ends[at[e]]; {
		case len(s) != 2:
			return -1
		case s[0] == e:
			return s[1]
		default:
			return s[0]
		}
	}
	for i := range b.note {
		if done[i] {
			continue
		}
		start := 2 * i // the end at which the path begins
		if !piece(i).IsCircle() {
			for e := onward(start); e >= 0 && e/2 != i; e = onward(start) {
				start = e ^ 1
			}
			if onward(start) >= 0 {
				start = 2 * i // a ring
			}
		}
		o := Open{Part: -1, Box: geom.NoBox()}
		for e := start; e >= 0 && !done[e/2]; {
			p := *piece(e / 2)
			if e%2 == 1 {
				p = p.Reverse()
			}
			done[e/2] = true
			o.Pieces, o.Src, o.Flags = append(o.Pieces, p), append(o.Src, b.note[e/2]), append(o.Flags, 0)
			o.Length += p.Length()
			o.Box = o.Box.Union(p.Box())
			if p.IsCircle() {
				break
			}
			e = onward(e ^ 1)
		}
		if b.claimed(&o) {
			continue
		}
		o.Part = b.outer(b.locate.around(o.Pieces[0].At(inPiece)))
		o.Inside = o.Part >= 0
		b.sheet.Noted = append(b.sheet.Noted, o)
	}
}

// inPiece is the share of a piece at which it is asked where it lies: no round
// number, so that rays from it seldom pass through corners.
const inPiece = 0.38196601125010515

// outer returns the outermost outline that an outline belongs to as a hole, or
// itself; -1 for -1.
func (b *builder) outer(o int32) int32 {
	if o >= 0 && b.sheet.Outlines[o].Hole() {
		return b.sheet.Outlines[o].Parent
	}
	return o
}
