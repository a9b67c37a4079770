package outline

import (
	"sluice/geom"
	"sluice/geom/index"
)

// ring is a closed round of chains and the gaps between them.
type ring struct {
	chains []chainID
	gaps   [][2]endID // free ends on either side of each gap
	length float64    // of the chains, mm
	wide   float64    // of the gaps wider than the gap tolerance, mm
	widest float64    // mm
}

// judgeRing says whether the gaps of a ring are to be bridged, and whether it is
// a broken outline at all: else its chains may be marks that happen to lie end to
// end. What they close is measured by the smaller of its length and of the
// length of the box around it, since a spiral or a zigzag is long but closes
// little; and no bridge may meet the ring itself.
func (p *pairing) judgeRing(r *ring) (bridged, broken bool) {
	if r.wide == 0 {
		return true, true
	}
	box := geom.NoBox()
	for _, c := range r.chains {
		for _, h := range p.chains[c].halfs {
			x := p.shape(h.seg())
			box = box.Union(x.Box())
		}
	}
	size := min(r.length, 2*(box.W()+box.H()))
	if brokenShare*r.wide > size || p.tangled(r) {
		return false, false
	}
	if bridgedShare*r.wide <= size {
		return true, true
	}
	if bridgedShare*r.widest > size {
		return false, false
	}
	for _, g := range r.gaps {
		e, f := &p.ends[g[0]], &p.ends[g[1]]
		if d := e.at.Dist(f.at); d > p.o.Gap && p.misfit(e, f, d, d) > atCorner {
			return false, false
		}
	}
	return false, true
}

// tangled reports whether a bridge of a ring meets the ring elsewhere than at
// its own ends, or the ring crosses itself. Ends that run past each other in a
// narrow gap are no crossing.
func (p *pairing) tangled(r *ring) bool {
	var bridges []geom.Piece
	narrow := newSpots(4 * p.o.Gap)
	for _, g := range r.gaps {
		x := geom.Line(p.ends[g[0]].at, p.ends[g[1]].at)
		if x.Length() <= p.o.Gap {
			narrow.add(x.Mid())
		} else {
			bridges = append(bridges, x)
		}
	}
	meets := p.bridgeMeets(bridges)
	in := map[pieceID]bool{}
	for _, c := range r.chains {
		for _, h := range p.chains[c].halfs {
			if x := p.shape(h.seg()); meets(&x) {
				return true
			}
			if i := p.segs[h.seg()].piece; i >= 0 {
				in[i] = true
			}
		}
	}
	crosses := p.crossesOf()
	for i := range in {
		for _, c := range crosses[i] {
			if in[c.i] && in[c.j] && !narrow.within(c.p, 2*p.o.Gap) {
				return true
			}
		}
	}
	return false
}

// crossesOf returns the crossings of each piece.
func (p *pairing) crossesOf() map[pieceID][]crossHit {
	if p.crossAt == nil {
		p.crossAt = map[pieceID][]crossHit{}
		for _, c := range p.crosses {
			p.crossAt[c.i] = append(p.crossAt[c.i], c)
			p.crossAt[c.j] = append(p.crossAt[c.j], c)
		}
	}
	return p.crossAt
}

// bridgeMeets returns a function that reports whether a piece meets any of some
// bridges elsewhere than at its ends.
func (c *chosen) bridgeMeets(bridges []geom.Piece) func(p *geom.Piece) bool {
	boxes := make([]geom.Box, len(bridges))
	for i := range bridges {
		boxes[i] = bridges[i].Box()
	}
	tree := index.NewTree(boxes)
	return func(p *geom.Piece) bool {
		return !tree.In(p.Box().Inflate(c.o.Same), func(i int32) bool { return !c.touches(&bridges[i], p) })
	}
}

// touches reports whether piece p meets a bridge elsewhere than at its ends.
func (c *chosen) touches(bridge, p *geom.Piece) bool {
	far := func(q geom.Point) bool { return min(q.Dist(bridge.A), q.Dist(bridge.B)) > c.o.Same }
	if near := !far(p.A) || !far(p.B); near && p.IsLine() {
		// It goes on from the bridge: it meets it again only by running back along it.
		q := p.A
		if !far(p.A) {
			q = p.B
		}
		return far(q) && (bridge.Dist(q) <= c.o.Same || p.Dist(bridge.A) <= c.o.Same && p.Dist(bridge.B) <= c.o.Same)
	}
	for _, q := range [2]geom.Point{p.A, p.B} {
		if far(q) && bridge.Dist(q) <= c.o.Same {
			return true
		}
	}
	for _, x := range geom.Crossings(nil, bridge, p, c.o.Join) {
		if far(x.P) {
			return true
		}
	}
	return false
}
