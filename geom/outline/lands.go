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

// landEnds finds, for ends without a mate, the inside of a piece within the gap
// tolerance towards which they run, as a partition that stops short of the edge
// does. The other end of their chain must be tied already: a path that is free at
// both ends may be a mark.
func (p *pairing) landEnds() {
	type key struct {
		chain chainID
		seg   segID
	}
	own := map[key]bool{}
	tied := p.tied()
	tree := newEndTree(p.ends, func(i endID) bool {
		e := &p.ends[i]
		c := &p.chains[e.chain]
		if e.mate >= 0 || c.free && !tied[e.chain] || c.length < p.o.Kerf {
			return false
		}
		for _, h := range c.halfs {
			own[key{e.chain, h.seg()}] = true
		}
		return true
	})
	if len(own) == 0 {
		return
	}
	for k := range segID(len(p.segs)) {
		x := p.shape(k)
		tree.In(x.Box().Inflate(p.o.Gap), func(i int32) bool {
			if e := &p.ends[i]; !own[key{e.chain, k}] {
				p.landOn(e, k, &x)
			}
			return true
		})
	}
}

// landOn lets an end land on seg k, whose shape is x, if that is nearest of all it
// may land on.
func (p *pairing) landOn(e *freeEnd, k segID, x *geom.Piece) {
	c := &p.chains[e.chain]
	at, t := x.Nearest(e.at)
	d := at.Dist(e.at)
	hangs := !c.free && (p.segs[k].n0 == c.to || p.segs[k].n1 == c.to)
	switch {
	case hangs && slantShare*d > at.Dist(p.at[c.to]): // it hangs on this very piece, at a slant
	case d > p.o.Gap || d <= p.o.Join || e.onto != nil && d >= e.onto.d:
	case math.Abs(e.out.Cross(x.TangentAt(t))) < alongside:
	default:
		e.onto = &landing{k, t, at, d}
	}
}

// trim cuts a seg back to where it crosses the seg on which its end is to land,
// and reports whether it runs past it at all.
func (p *pairing) trim(e *freeEnd) bool {
	l := e.onto
	k := e.half.seg()
	if len(p.splitOff[k]) > 0 {
		return false // its end is another seg's by now
	}
	own := p.shape(k)
	found := false
	var at geom.Cross
	// Earlier landings may have split the seg.
	for _, on := range append([]segID{l.seg}, p.splitOff[l.seg]...) {
		other := p.shape(on)
		for _, c := range geom.Crossings(nil, &own, &other, p.o.Join) {
			if c.P.Dist(e.at) <= p.o.Gap && (!found || c.P.Dist(e.at) < at.P.Dist(e.at)) {
				at, found = c, true
			}
		}
	}
	if !found {
		return false
	}
	l.at = at.P
	node := p.land(l)
	s := &p.segs[k]
	s.whole()
	if _, ok := p.out.untrimmed[k]; !ok {
		p.out.untrimmed[k] = [2]float64{s.t0, s.t1}
	}
	t := s.t0 + (s.t1-s.t0)*at.T
	over := own.Sub(0, at.T)
	if e.half.isBack() {
		over = own.Sub(at.T, 1)
		s.t1, s.n1 = t, node
	} else {
		s.t0, s.n0 = t, node
	}
	if s.piece >= 0 && over.Length() > p.o.Join {
		var path Path
		p.appendSeg(&path, *s, false)
		path.Pieces[0] = over
		p.out.overruns = append(p.out.overruns, path)
	}
	return true
}

// whole makes a seg that is all of its piece one that is a part of it.
func (s *seg) whole() {
	if !s.part {
		s.part, s.t0, s.t1 = true, 0, 1
	}
}

// land returns the node at a landing; the seg is split there.
func (p *pairing) land(l *landing) nodeID {
	k := l.seg
	x := p.shape(k)
	// Earlier landings may have split the seg: find the stretch anew.
	for _, off := range p.splitOff[l.seg] {
		if q := p.shape(off); q.Dist(l.at) < x.Dist(l.at)-p.o.Join/2 {
			k, x = off, q
		}
	}
	s := &p.segs[k]
	_, t := x.Nearest(l.at)
	least := p.o.Join / x.Length()
	circle := x.IsCircle() && !s.part // its drawn start is no place of its own
	switch {
	case t <= least && !circle:
		return s.n0
	case t >= 1-least && !circle:
		return s.n1
	}
	node := nodeID(p.out.nodes)
	p.out.nodes++
	s.whole()
	mid := s.t0 + (s.t1-s.t0)*t
	if circle {
		s.t0, s.t1, s.n0, s.n1 = mid, mid+1, node, node
		return node
	}
	right := *s
	right.t0, right.n0 = mid, node
	s.t1, s.n1 = mid, node
	p.splitOff[l.seg] = append(p.splitOff[l.seg], segID(len(p.segs)))
	p.segs = append(p.segs, right)
	return node
}

// markTails sets aside what hangs on a closed outline by one end and is shorter
// than the kerf: an end that runs past a corner, a speck on an edge.
func (p *pairing) markTails() {
	var short []*chain
	for i := range p.ends {
		e := &p.ends[i]
		if c := &p.chains[e.chain]; !c.free && !c.stray && c.length < p.o.Kerf && e.mate < 0 && e.onto == nil {
			short = append(short, c)
		}
	}
	if len(short) == 0 {
		return
	}
	core := p.coreDegrees()
	for _, c := range short {
		if core[c.to] >= 2 {
			p.setAside(c)
		}
	}
}

// coreDegrees returns the degree of each node once everything that hangs free
// has been taken away, pairs of ends counted as joined and landings as held.
func (p *pairing) coreDegrees() []int32 {
	n := nodeID(len(p.deg))
	edges := make([][2]nodeID, 0, len(p.segs))
	for k := range segID(len(p.segs)) {
		if !p.gone[k] {
			edges = append(edges, p.nodesOf(k))
		}
	}
	for i := range p.ends {
		switch e := &p.ends[i]; {
		case e.mate > endID(i):
			edges = append(edges, [2]nodeID{e.node, p.ends[e.mate].node})
		case e.onto != nil:
			edges = append(edges, [2]nodeID{e.node, n}, [2]nodeID{n, n})
		}
	}
	_, deg := dangles(int(n)+1, edges)
	return deg
}
