package outline

import (
	"sluice/geom"
	"sluice/geom/index"
)

// gatherNotes joins the strokes put aside into paths, end to end and over gaps
// within the tolerance, and finds the part in which each lies. What is drawn
// twice is taken once. The paths do not depend on anything that is cut.
func (b *builder) gatherNotes() {
	if len(b.note) == 0 {
		return
	}
	piece := func(i int32) *geom.Piece { return &b.strokes[b.note[i]].Piece }
	repeat := wholeRepeats(len(b.note), piece, b.o.Same)
	done := make([]bool, len(b.note))
	for i := range b.note {
		done[i] = repeat[i] >= 0 || piece(int32(i)).Length() <= b.o.Join
	}
	next := b.noteLinks(piece, done)
	for i := range b.note {
		if done[i] {
			continue
		}
		start := 2 * i // the end at which the path begins
		for e := next[start]; e >= 0 && e/2 != i; e = next[start] {
			start = e ^ 1
		}
		if next[start] >= 0 {
			start = 2 * i // a ring
		}
		o := Open{Part: -1, Box: geom.NoBox()}
		for e := start; e >= 0 && !done[e/2]; e = next[e^1] {
			p := *piece(int32(e / 2))
			if e%2 == 1 {
				p = p.Reverse()
			}
			done[e/2] = true
			if n := len(o.Pieces); n > 0 && o.Pieces[n-1].B.Dist(p.A) > b.o.Join {
				o.Pieces, o.Src, o.Flags = append(o.Pieces, geom.Line(o.Pieces[n-1].B, p.A)), append(o.Src, -1), append(o.Flags, IsBridge)
			}
			o.Pieces, o.Src, o.Flags = append(o.Pieces, p), append(o.Src, int32(b.note[e/2])), append(o.Flags, 0)
			o.Length += p.Length()
			o.Box = o.Box.Union(p.Box())
		}
		if b.claimed(&o) {
			continue
		}
		o.Part = b.outer(b.locate.around(o.Pieces[0].At(inPiece)))
		o.Inside = o.Part >= 0
		b.sheet.Noted = append(b.sheet.Noted, o)
	}
}

// noteLinks returns for each end (2i and 2i+1 of stroke i) the end of another
// stroke with which it makes a joint, -1 at a free end or a fork.
func (b *builder) noteLinks(piece func(int32) *geom.Piece, done []bool) []int {
	next := make([]int, 2*len(done))
	for e := range next {
		next[e] = -1
	}
	for _, reach := range [2]float64{b.o.Join, b.o.Gap} {
		places := index.NewPoints[nodeID](reach, len(next))
		at := make([]nodeID, len(next))
		for i := range done {
			if p := piece(int32(i)); !done[i] && !p.IsCircle() {
				at[2*i], at[2*i+1] = places.Place(p.A), places.Place(p.B)
			}
		}
		ends := make([][]int, len(places.At))
		for e := range next {
			if p := piece(int32(e / 2)); !done[e/2] && !p.IsCircle() && next[e] < 0 {
				k := places.Find(at[e])
				ends[k] = append(ends[k], e)
			}
		}
		for _, s := range ends {
			if len(s) == 2 && (s[0]/2 != s[1]/2 || reach == b.o.Join) {
				next[s[0]], next[s[1]] = s[1], s[0]
			}
		}
	}
	return next
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
