package outline

import (
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// use is a piece of an outline or open path that a stroke has become.
type use struct {
	open  bool
	index int32 // in Outlines or Open
	piece geom.Piece
}

// usesOf finds, for the strokes that cross others, what they have become.
func (b *builder) usesOf() map[int32][]use {
	of := map[int32][]use{}
	for _, c := range b.sheet.Crossings {
		for _, s := range c.Strokes {
			of[s] = nil
		}
	}
	if len(of) == 0 {
		return of
	}
	note := func(p *Path, open bool, index int) {
		for k, s := range p.Src {
			if list, ok := of[s]; ok {
				of[s] = append(list, use{open, int32(index), p.Pieces[k]})
			}
		}
	}
	for i := range b.sheet.Outlines {
		note(&b.sheet.Outlines[i].Path, false, i)
	}
	for i := range b.sheet.Open {
		note(&b.sheet.Open[i].Path, true, i)
	}
	return of
}

// crossedBy says of open paths that cross outlines whether they leave the part
// by it, and whether they run through a hole. A path whose end runs past the
// edge by no more than the gap tolerance does not leave the part: a bend line is
// often drawn a little too long.
func (b *builder) crossedBy() (leaves, holed map[int32]bool) {
	leaves, holed = map[int32]bool{}, map[int32]bool{}
	uses := b.usesOf()
	at := func(s int32, p geom.Point) (list []use) {
		for _, u := range uses[s] {
			if u.piece.Dist(p) <= b.o.Same {
				list = append(list, u)
			}
		}
		return list
	}
	for _, c := range b.sheet.Crossings {
		if len(c.Strokes) > star {
			continue
		}
		var all []use
		for _, s := range c.Strokes {
			all = append(all, at(s, c.At)...)
		}
		for _, u := range all {
			if !u.open {
				continue
			}
			p := b.sheet.Open[u.index].Pieces
			atEnd := min(c.At.Dist(p[0].A), c.At.Dist(p[len(p)-1].B)) <= b.o.Gap
			for _, v := range all {
				switch {
				case v.open:
				case b.sheet.Outlines[v.index].Hole():
					holed[u.index] = true
				case !atEnd:
					leaves[u.index] = true
				}
			}
		}
	}
	return leaves, holed
}

// star is the number of strokes crossing at one place above which they are not
// told apart any more: comparing each with each would take too long.
const star = 16

// dropMarkCrossings leaves out crossings at which fewer than two strokes are
// pieces of outlines: marks may cross each other, and run through holes.
func (b *builder) dropMarkCrossings() {
	uses := b.usesOf()
	b.sheet.Crossings = slices.DeleteFunc(b.sheet.Crossings, func(c Crossing) bool {
		if len(c.Strokes) > star {
			return false
		}
		cuts := 0
		for _, s := range c.Strokes {
			mark := false
			for _, u := range uses[s] {
				if u.piece.Dist(c.At) <= b.o.Same {
					mark = u.open && b.sheet.Open[u.index].Loose
					if !mark {
						break
					}
				}
			}
			if !mark {
				cuts++
			}
		}
		return cuts < 2 && len(c.Strokes) > 1
	})
}

// keepOverruns leaves out the overruns that marks have taken along.
func (b *builder) keepOverruns() {
	if len(b.sheet.Overruns) == 0 {
		return
	}
	of := map[int32][]geom.Piece{} // by stroke: what open paths hold of it
	for _, o := range b.sheet.Overruns {
		of[o.Src[0]] = nil
	}
	for i := range b.sheet.Open {
		o := &b.sheet.Open[i]
		for k, s := range o.Src {
			if list, ok := of[s]; ok {
				of[s] = append(list, o.Pieces[k])
			}
		}
	}
	b.sheet.Overruns = slices.DeleteFunc(b.sheet.Overruns, func(o Path) bool {
		return slices.ContainsFunc(of[o.Src[0]], func(p geom.Piece) bool { return p.Dist(o.Pieces[0].Mid()) <= b.o.Join })
	})
}

// ring is a closed round of chains and the gaps between them.
type ring struct {
	chains []chainID
	gaps   [][2]endID // free ends on either side of each gap
	length float64    // of the chains, mm
	wide   float64    // of the gaps wider than the gap tolerance, mm
	widest float64    // mm
}

// Share of a ring's length that its gaps may take.
const (
	bridgedShare = 8 // an eighth: bridged while judging
	brokenShare  = 3 // a third: taken for a broken outline where the ends run on into each other
)

// judgeRing says whether the gaps of a ring are to be bridged, and whether it is
// a broken outline at all: else its chains may be marks that happen to lie end to
// end. What they close is measured by the smaller of its length and of the
// length of the box around it, since a spiral or a zigzag is long but closes
// little; and no bridge may meet the ring itself.
func (b *builder) judgeRing(r *ring, ends []freeEnd) (bridged, broken bool) {
	if r.wide == 0 {
		return true, true
	}
	box := geom.NoBox()
	for _, c := range r.chains {
		for _, h := range b.chains[c].halfs {
			s := b.shape(&b.segs[h.seg()])
			box = box.Union(s.Box())
		}
	}
	size := min(r.length, 2*(box.W()+box.H()))
	if brokenShare*r.wide > size || b.tangled(r, ends) {
		return false, false
	}
	if bridgedShare*r.wide <= size {
		return true, true
	}
	if bridgedShare*r.widest > size {
		return false, false
	}
	for _, g := range r.gaps {
		e, f := &ends[g[0]], &ends[g[1]]
		if d := e.at.Dist(f.at); d > b.o.Gap && b.misfit(e, f, d, d) > runOn {
			return false, false
		}
	}
	return false, true
}

// runOn is the misfit up to which two ends go on into each other: straight, or
// to a common corner.
const runOn = 0.1

// tangled reports whether a bridge of a ring meets the ring elsewhere than at
// its own ends, or the ring crosses itself. Ends that run past each other in a
// narrow gap are no crossing.
func (b *builder) tangled(r *ring, ends []freeEnd) bool {
	var bridges []geom.Piece
	narrow := newSpots(4 * b.o.Gap)
	for _, g := range r.gaps {
		p := geom.Line(ends[g[0]].at, ends[g[1]].at)
		if p.Length() <= b.o.Gap {
			narrow.add(p.Mid())
			continue
		}
		bridges = append(bridges, p)
	}
	in := map[pieceID]bool{}
	var pieces []pieceID
	bridged, meets := b.bridgeMeets(bridges), false
	for _, c := range r.chains {
		for _, h := range b.chains[c].halfs {
			s := &b.segs[h.seg()]
			p := b.shape(s)
			if s.piece >= 0 && !in[s.piece] {
				in[s.piece] = true
				pieces = append(pieces, s.piece)
			}
			meets = meets || bridged(&p)
		}
	}
	for _, i := range pieces {
		for _, c := range b.crossesOf()[i] {
			meets = meets || in[c.i] && in[c.j] && !narrow.within(c.p, 2*b.o.Gap)
		}
	}
	return meets
}

// crossesOf returns the crossings of each piece.
func (b *builder) crossesOf() map[pieceID][]crossHit {
	if b.crossAt == nil {
		b.crossAt = map[pieceID][]crossHit{}
		for _, c := range b.met.crosses {
			b.crossAt[c.i] = append(b.crossAt[c.i], c)
			b.crossAt[c.j] = append(b.crossAt[c.j], c)
		}
	}
	return b.crossAt
}

// bridgeMeets returns a function that reports whether a piece meets any of some
// bridges elsewhere than at its ends.
func (b *builder) bridgeMeets(bridges []geom.Piece) func(p *geom.Piece) bool {
	boxes := make([]geom.Box, len(bridges))
	for i := range bridges {
		boxes[i] = bridges[i].Box()
	}
	tree := index.NewTree(boxes)
	return func(p *geom.Piece) bool {
		return !tree.In(p.Box().Inflate(b.o.Same), func(i int32) bool { return !b.touches(&bridges[i], p) })
	}
}

// touches reports whether piece p meets a bridge elsewhere than at its ends.
func (b *builder) touches(bridge, p *geom.Piece) bool {
	far := func(q geom.Point) bool { return min(q.Dist(bridge.A), q.Dist(bridge.B)) > b.o.Same }
	if near := !far(p.A) || !far(p.B); near && p.IsLine() {
		// It goes on from the bridge: it meets it again only by running back along it.
		q := p.A
		if !far(p.A) {
			q = p.B
		}
		return far(q) && (bridge.Dist(q) <= b.o.Same || p.Dist(bridge.A) <= b.o.Same && p.Dist(bridge.B) <= b.o.Same)
	}
	for _, q := range [2]geom.Point{p.A, p.B} {
		if far(q) && bridge.Dist(q) <= b.o.Same {
			return true
		}
	}
	for _, c := range geom.Crossings(nil, bridge, p, b.o.Join) {
		if far(c.P) {
			return true
		}
	}
	return false
}
