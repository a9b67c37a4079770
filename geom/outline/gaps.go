package outline

import (
	"sluice/geom"
)

// bridged is the fourth stage: what is missing between free ends, and bridges
// where it is little enough to close an outline while judging.
type bridged struct {
	*noding
	edges           // segs as they are where ends land on them, and bridges
	nodes    int    // number of nodes
	gone     []bool // by seg: told as a stray
	gaps     []Gap
	gapSegs  [][2]segID // by gap: the segs at its ends, -1
	bridgeAt []int32    // by gap: its bridge, -1
	shells   []shell    // outlines that are almost closed, until it is known where they lie
	strays   []Stray

	ringish   map[segID]bool       // of a chain that a few gaps keep from closing
	overruns  []Path               // what is cut back of ends that run past the piece on which they land
	untrimmed map[segID][2]float64 // shares of those segs before
	shellOf   map[segID]int32      // segs at gaps of shells that are bridged: the bridge
}

// pairing is the work on free ends until they are all told.
type pairing struct {
	*graph
	chains []chain
	ends   []freeEnd
	endsOf [][2]endID // by chain: its free ends, -1
	out    *bridged

	splitOff map[segID][]segID      // segs split off others by ends that land on them
	crossAt  map[pieceID][]crossHit // crossings of each piece, once asked for
}

// freeEnd is a leaf: one end of a chain.
type freeEnd struct {
	chain chainID
	far   bool // the chain's to end
	node  nodeID
	half  halfID // that runs from it
	at    geom.Point
	out   geom.Point // unit direction in which it would run on
	mate  endID      // free end paired with it, -1
	onto  *landing   // the inside of a piece on which it is to end, nil
}

// narrow reports whether an end is dealt with within the gap tolerance.
func (p *pairing) narrow(e *freeEnd) bool {
	return e.onto != nil || e.mate >= 0 && e.at.Dist(p.ends[e.mate].at) <= p.o.Gap
}

// pairGaps pairs free ends: within the gap tolerance all together, so that the
// pairs cost least (mates.go); then ends that stop just short of the inside of a
// piece (lands.go); wider ones nearest first. Gaps that close an outline are
// bridged: all within the tolerance, and wider ones where what they close is
// much longer than what is missing, so that holes stay holes while judging.
func (n *noding) pairGaps() *bridged {
	out := &bridged{
		noding: n, edges: n.edges, nodes: len(n.at), shellOf: map[segID]int32{},
		ringish: map[segID]bool{}, untrimmed: map[segID][2]float64{},
	}
	g := link(n, n.edges, nil, len(n.at))
	leaves := g.leaves()
	if len(leaves) == 0 {
		return out
	}
	p := pairing{graph: g, out: out, splitOff: map[segID][]segID{}}
	p.findEnds(leaves)
	g.segs = append(make([]seg, 0, len(g.segs)+len(p.ends)), g.segs...)
	near := newEndTree(p.ends, func(endID) bool { return true })
	pairs := p.neighbours(near)
	p.matchWithin(pairs, p.o.Gap)
	p.landEnds()
	p.markStrays()
	p.markTails()
	p.takeNearest(pairs)
	closed := p.wideCycles()
	p.bridgeAll(near, closed)
	p.findShells(closed)
	out.edges, out.gone = p.edges, p.gone
	return out
}

// findEnds walks from every leaf until it meets a leaf or a junction, and lists
// the free ends of these chains.
func (p *pairing) findEnds(leaves []nodeID) {
	add := func(k int, far bool, node nodeID, h halfID) endID {
		s := p.along(h).Reverse()
		p.ends = append(p.ends, freeEnd{chain: chainID(k), far: far, node: node, half: h, at: s.B, out: s.TangentAt(1), mate: -1})
		return endID(len(p.ends) - 1)
	}
	for _, n := range leaves {
		c := p.walk(n, p.onward(n, -1))
		if c.free && c.to < c.from {
			continue // already told from its other end
		}
		k := len(p.chains)
		p.chains = append(p.chains, c)
		of := [2]endID{add(k, false, c.from, c.halfs[0]), -1}
		if c.free {
			of[1] = add(k, true, c.to, c.last())
		}
		p.endsOf = append(p.endsOf, of)
	}
}

// takeNearest pairs what is left, up to the search distance, nearest first.
func (p *pairing) takeNearest(pairs []pair) {
	for _, x := range pairs {
		if p.mayPair(x) {
			p.ends[x.a].mate, p.ends[x.b].mate = x.b, x.a
		}
	}
}

// mayPair reports whether two ends are still to be paired and may be.
func (p *pairing) mayPair(x pair) bool {
	e, f := &p.ends[x.a], &p.ends[x.b]
	if e.mate >= 0 || f.mate >= 0 || e.onto != nil || f.onto != nil {
		return false
	}
	c := &p.chains[e.chain]
	if c.stray || p.chains[f.chain].stray {
		return false
	}
	return e.chain != f.chain || p.closesItself(c, x.d)
}

// closesItself reports whether a gap of width d between a chain's own ends is
// small enough, against its length, to be meant as closed.
func (p *pairing) closesItself(c *chain, d float64) bool {
	if ownShare*d > c.length {
		return false
	}
	i := p.segs[c.halfs[0].seg()].piece
	return len(c.halfs) > 1 || i >= 0 && !p.piece(i).IsLine()
}

// tied tells of each chain whether one of its ends is dealt with.
func (p *pairing) tied() []bool {
	tied := make([]bool, len(p.chains))
	for i := range p.ends {
		e := &p.ends[i]
		tied[e.chain] = tied[e.chain] || e.mate >= 0 || e.onto != nil
	}
	return tied
}

// markStrays sets aside free chains shorter than the kerf that no gap ties to
// anything.
func (p *pairing) markStrays() {
	tied := p.tied()
	for k := range p.chains {
		if c := &p.chains[k]; c.free && !tied[k] && c.length < p.o.Kerf {
			p.setAside(c)
		}
	}
}

// setAside takes a chain out and tells it as strays.
func (p *pairing) setAside(c *chain) {
	c.stray = true
	seen := int32(-1)
	for _, h := range c.halfs {
		p.gone[h.seg()] = true
		s, x := &p.segs[h.seg()], p.shape(h.seg())
		st := Stray{Stroke: p.strokeOf(h.seg()), At: x.Mid(), Length: x.Length(), Tail: !c.free}
		if s.part && !c.free {
			st.Part, st.T0, st.T1 = true, s.t0, s.t1
		} else if st.Stroke == seen {
			continue
		}
		seen = st.Stroke
		p.out.strays = append(p.out.strays, st)
	}
	p.deg[c.from]--
	p.deg[c.to]--
}

// bridgeAll tells a gap for every free end and puts bridges where outlines close.
func (p *pairing) bridgeAll(near endTree, closed []bool) {
	for i := range endID(len(p.ends)) {
		e := &p.ends[i]
		if p.chains[e.chain].stray || e.mate >= 0 && e.mate < i {
			continue
		}
		segs, bridge := [2]segID{e.half.seg(), -1}, int32(-1)
		g := Gap{At: e.at, A: e.at, B: e.at, EndA: p.end(e.half), EndB: End{Stroke: -1}, Outline: -1}
		switch {
		case e.onto != nil:
			g.B, g.EndB, g.Inside, g.Partner = e.onto.at, End{Stroke: p.strokeOf(e.onto.seg)}, true, true
			if g.Bridged = !p.trim(e); g.Bridged {
				bridge = p.bridge(e.node, p.land(e.onto), g.A, g.B)
			}
		case e.mate >= 0:
			f := &p.ends[e.mate]
			segs[1] = f.half.seg()
			g.B, g.EndB, g.Partner = f.at, p.end(f.half), true
			if g.Bridged = p.narrow(e) || closed[e.chain]; g.Bridged {
				bridge = p.bridge(e.node, f.node, g.A, g.B)
			}
		}
		if g.Partner {
			g.Width, g.At = g.A.Dist(g.B), g.A.Mid(g.B)
		}
		if e.onto == nil && !p.narrow(e) {
			g.Near = near.nearest(p.ends, i)
		}
		p.out.gaps = append(p.out.gaps, g)
		p.out.gapSegs = append(p.out.gapSegs, segs)
		p.out.bridgeAt = append(p.out.bridgeAt, bridge)
	}
}

// bridge adds a straight seg between two nodes and returns its number.
func (g *edges) bridge(n0, n1 nodeID, a, b geom.Point) int32 {
	k := int32(len(g.bridges))
	g.bridges = append(g.bridges, geom.Line(a, b))
	g.segs = append(g.segs, seg{piece: ^pieceID(k), n0: n0, n1: n1})
	return k
}

// wideCycles finds chains that pairs join into a closed ring whose wide gaps are
// small against what they close, and notes the chains of broken outlines.
func (p *pairing) wideCycles() (closed []bool) {
	closed = make([]bool, len(p.chains))
	seen := make([]bool, len(p.chains))
	for k := range chainID(len(p.chains)) {
		if seen[k] || p.chains[k].stray {
			continue
		}
		r, ok := p.roundFrom(k, seen)
		if !ok {
			continue
		}
		bridged, broken := p.judgeRing(r)
		for _, c := range r.chains {
			closed[c] = bridged
			if broken {
				for _, h := range p.chains[c].halfs {
					p.out.ringish[h.seg()] = true
				}
			}
		}
	}
	return closed
}

// roundFrom follows chains and the gaps between them from the far end of chain k
// and reports whether they come back to its start.
func (p *pairing) roundFrom(k chainID, seen []bool) (*ring, bool) {
	r := &ring{}
	for cur, side := k, 1; ; {
		seen[cur] = true
		r.chains = append(r.chains, cur)
		r.length += p.chains[cur].length
		e := p.endsOf[cur][side]
		if e < 0 || p.ends[e].mate < 0 {
			return r, false
		}
		f := &p.ends[p.ends[e].mate]
		r.gaps = append(r.gaps, [2]endID{e, p.ends[e].mate})
		if d := p.ends[e].at.Dist(f.at); d > p.o.Gap {
			r.wide += d
			r.widest = max(r.widest, d)
		}
		if f.chain == k {
			return r, !f.far
		}
		if seen[f.chain] {
			return r, false
		}
		cur, side = f.chain, 1
		if f.far {
			side = 0
		}
	}
}
