package outline

import (
	"math"

	"sluice/geom"
)

// landing is a place on a seg at which a free end is to end.
type landing struct {
	seg segID
	t   float64 // share of the seg
	at  geom.Point
	d   float64 // mm from the end
}

type landKey struct {
	chain chainID
	seg   segID
}

// landEnds finds, for ends without a mate, the inside of a piece within the gap
// tolerance towards which they run, as a partition that stops short of the edge
// does. The other end of their chain must be tied already: a path that is free at
// both ends may be a mark.
func (b *builder) landEnds(ends []freeEnd) {
	tied := make([]bool, len(b.chains))
	for k := range b.chains {
		tied[k] = !b.chains[k].free
	}
	for i := range ends {
		if ends[i].mate >= 0 {
			tied[ends[i].chain] = true
		}
	}
	look := make([]bool, len(ends))
	own := map[landKey]bool{} // chain, seg
	for i := range ends {
		e := &ends[i]
		if c := &b.chains[e.chain]; e.mate < 0 && tied[e.chain] && c.length >= b.o.Kerf {
			look[i] = true
			for _, h := range c.halfs {
				own[landKey{e.chain, h.seg()}] = true
			}
		}
	}
	if len(own) == 0 {
		return
	}
	tree := newEndTree(ends, func(i endID) bool { return look[i] })
	b.splitOff = map[segID][]segID{}
	for k := range b.segs {
		s := &b.segs[k]
		p := b.shape(s)
		box := p.Box().Inflate(b.o.Gap)
		tree.In(box, func(i int32) bool {
			e := &ends[i]
			c := &b.chains[e.chain]
			if own[landKey{e.chain, segID(k)}] {
				return true
			}
			at, t := p.Nearest(e.at)
			d := at.Dist(e.at)
			if beside := !c.free && (s.n0 == c.to || s.n1 == c.to); beside && 4*d > at.Dist(b.nodes.At[c.to]) {
				return true // it hangs on this very piece, at a slant
			}
			if d > b.o.Gap || d <= b.o.Join || e.onto != nil && d >= e.onto.d {
				return true
			}
			if head := math.Abs(e.out.Cross(p.TangentAt(t))); head < 0.3 {
				return true // it runs alongside
			}
			e.onto = &landing{segID(k), t, at, d}
			return true
		})
	}
}

// trim cuts a seg back to where it crosses the seg on which its end is to land,
// and reports whether it runs past it at all.
func (b *builder) trim(e *freeEnd) bool {
	l := e.onto
	if len(b.splitOff[e.half.seg()]) > 0 {
		return false // its end is another seg's by now
	}
	own := b.shape(&b.segs[e.half.seg()])
	found := false
	var at geom.Cross
	// Earlier landings may have split the seg.
	for _, k := range append([]segID{l.seg}, b.splitOff[l.seg]...) {
		other := b.shape(&b.segs[k])
		for _, c := range geom.Crossings(nil, &own, &other, b.o.Join) {
			if c.P.Dist(e.at) <= b.o.Gap && (!found || c.P.Dist(e.at) < at.P.Dist(e.at)) {
				at, found = c, true
			}
		}
	}
	if !found {
		return false
	}
	l.at = at.P
	node := b.land(l)
	s := &b.segs[e.half.seg()]
	if !s.part {
		s.part, s.t0, s.t1 = true, 0, 1
	}
	if _, ok := b.untrimmed[e.half.seg()]; !ok {
		b.untrimmed[e.half.seg()] = [2]float64{s.t0, s.t1}
	}
	t := s.t0 + (s.t1-s.t0)*at.T
	over := own.Sub(0, at.T)
	if !e.half.isBack() {
		s.t0, s.n0 = t, node
	} else {
		over = own.Sub(at.T, 1)
		s.t1, s.n1 = t, node
	}
	if s.piece >= 0 && over.Length() > b.o.Join {
		o := Path{Pieces: geom.Path{over}, Src: []int32{int32(b.act[s.piece])}, Flags: []Flag{0}}
		if b.tab[s.piece] {
			o.Flags[0] = IsTab
		}
		b.sheet.Overruns = append(b.sheet.Overruns, o)
	}
	return true
}

// land returns the node at a landing; the seg is split there.
func (b *builder) land(l *landing) nodeID {
	s := &b.segs[l.seg]
	p := b.shape(s)
	// Earlier landings may have split the seg: find the stretch anew.
	for _, k := range b.splitOff[l.seg] {
		if q := b.shape(&b.segs[k]); q.Dist(l.at) < p.Dist(l.at)-b.o.Join/2 {
			s, p = &b.segs[k], q
		}
	}
	_, t := p.Nearest(l.at)
	least := b.o.Join / p.Length()
	whole := p.IsCircle() && !s.part // its drawn start is no place of its own
	switch {
	case t <= least && !whole:
		return s.n0
	case t >= 1-least && !whole:
		return s.n1
	}
	node := b.newNode(l.at)
	if !s.part {
		s.part, s.t0, s.t1 = true, 0, 1
	}
	mid := s.t0 + (s.t1-s.t0)*t
	if whole {
		s.t0, s.t1, s.n0, s.n1 = mid, mid+1, node, node
		return node
	}
	right := *s
	right.t0, right.n0 = mid, node
	s.t1, s.n1 = mid, node
	b.splitOff[l.seg] = append(b.splitOff[l.seg], segID(len(b.segs)))
	b.segs = append(b.segs, right)
	return node
}

// markTails sets aside what hangs on a closed outline by one end and is shorter
// than the kerf: an end that runs past a corner, a speck on an edge.
func (b *builder) markTails(ends []freeEnd) {
	var short []*chain
	for i := range ends {
		c := &b.chains[ends[i].chain]
		if !c.free && !c.stray && c.length < b.o.Kerf && ends[i].mate < 0 && ends[i].onto == nil {
			short = append(short, c)
		}
	}
	if len(short) == 0 {
		return
	}
	core := b.coreDegrees(ends)
	for _, c := range short {
		if core[c.to] >= 2 {
			b.setAside(c)
		}
	}
}

// coreDegrees returns the degree of each node once everything that hangs free
// has been taken away, pairs of ends counted as joined.
func (b *builder) coreDegrees(ends []freeEnd) []int32 {
	deg := append([]int32(nil), b.deg...)
	gone := append([]bool(nil), b.gone...)
	mates := map[nodeID]nodeID{}
	for i := range ends {
		if e := &ends[i]; e.mate >= 0 {
			deg[e.node]++
			mates[e.node] = ends[e.mate].node
		} else if e.onto != nil {
			deg[e.node]++ // held by the piece it lands on
		}
	}
	var leaves []nodeID
	for n, d := range deg {
		if d == 1 {
			leaves = append(leaves, nodeID(n))
		}
	}
	for len(leaves) > 0 {
		n := leaves[len(leaves)-1]
		leaves = leaves[:len(leaves)-1]
		if deg[n] != 1 {
			continue
		}
		deg[n] = 0
		next := nodeID(-1)
		for _, h := range b.halfs[b.first[n]:b.first[n+1]] {
			if !gone[h.seg()] {
				gone[h.seg()] = true
				next = b.nodeOf(h.twin())
				break
			}
		}
		if next < 0 {
			if m, ok := mates[n]; ok {
				next = m
				delete(mates, m)
			}
		}
		if next < 0 {
			continue
		}
		if deg[next]--; deg[next] == 1 {
			leaves = append(leaves, next)
		}
	}
	return deg
}
