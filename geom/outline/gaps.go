package outline

import "sluice/geom"

// chain is a run of segs from a free end to another free end, or to a junction.
type chain struct {
	halfs  []halfID // first half of each seg in the direction of travel
	from   nodeID   // leaf node
	to     nodeID   // leaf or junction node
	free   bool     // to is a leaf too
	length float64
	stray  bool
}

// findOpenChains walks from every leaf until it meets a leaf or a junction.
func (b *builder) findOpenChains() {
	for node, d := range b.deg {
		if d != 1 {
			continue
		}
		h := b.onward(nodeID(node), -1)
		c := b.walk(nodeID(node), h)
		if c.free && c.to < c.from {
			continue // already told from its other end
		}
		b.chains = append(b.chains, c)
	}
}

// walk follows the only way on from node along half-segment h.
func (b *builder) walk(node nodeID, h halfID) chain {
	c := chain{from: node}
	for {
		c.halfs = append(c.halfs, h)
		s := b.shape(&b.segs[h.seg()])
		c.length += s.Length()
		far := h.twin()
		c.to = b.nodeOf(far)
		if b.deg[c.to] != 2 {
			c.free = b.deg[c.to] == 1
			return c
		}
		h = b.onward(c.to, far)
		if h < 0 || h == c.halfs[0] {
			return c // round a ring
		}
	}
}

// freeEnd is a leaf: one end of a chain.
type freeEnd struct {
	chain chainID
	far   bool // the chain's to end
	node  nodeID
	half  halfID // half-segment whose own end it is
	at    geom.Point
	out   geom.Point // unit direction in which it would run on
	mate  endID      // free end paired with it, -1
	onto  *landing   // the inside of a piece on which it is to end, nil
}

// pairGaps pairs free ends: within the gap tolerance all together, so that the
// pairs cost least (mates.go); then ends that stop just short of the inside of a
// piece (lands.go); wider ones nearest first. Gaps that close an outline are
// bridged: all within the tolerance, and wider ones where what they close is
// much longer than what is missing, so that holes stay holes while judging.
func (b *builder) pairGaps() {
	ends := b.freeEnds()
	if len(ends) == 0 {
		return
	}
	near := newEndTree(ends, func(endID) bool { return true })
	cand := b.neighbours(ends, near)
	b.matchWithin(ends, cand, b.o.Gap)
	b.landEnds(ends)
	b.markStrays(ends)
	b.markTails(ends)
	b.takeNearest(ends, cand)
	b.bridgeAll(ends, near)
}

// freeEnds lists the ends of the open chains.
func (b *builder) freeEnds() []freeEnd {
	var ends []freeEnd
	add := func(k int, far bool, node nodeID, h halfID) {
		e := freeEnd{chain: chainID(k), far: far, node: node, half: h, at: b.endPoint(h), mate: -1}
		s := b.shape(&b.segs[h.seg()])
		if !h.isBack() {
			s = s.Reverse()
		}
		e.out = s.TangentAt(1)
		ends = append(ends, e)
	}
	for k := range b.chains {
		c := &b.chains[k]
		add(k, false, c.from, c.halfs[0])
		if c.free {
			add(k, true, c.to, c.halfs[len(c.halfs)-1].twin())
		}
	}
	return ends
}

// takeNearest pairs what is left, up to the search distance, nearest first.
func (b *builder) takeNearest(ends []freeEnd, cand []pair) {
	for _, p := range cand {
		if b.mayPair(ends, p) {
			ends[p.a].mate, ends[p.b].mate = p.b, p.a
		}
	}
}

// mayPair reports whether two ends are still to be paired and may be.
func (b *builder) mayPair(ends []freeEnd, p pair) bool {
	e, f := &ends[p.a], &ends[p.b]
	if e.mate >= 0 || f.mate >= 0 || e.onto != nil || f.onto != nil {
		return false
	}
	c := &b.chains[e.chain]
	if c.stray || b.chains[f.chain].stray {
		return false
	}
	return e.chain != f.chain || b.closesItself(c, p.d)
}

// closesItself reports whether a gap of width d between a chain's own ends is
// small enough, against its length, to be meant as closed.
func (b *builder) closesItself(c *chain, d float64) bool {
	return len(c.halfs) > 1 && 3*d <= c.length || len(c.halfs) == 1 && 3*d <= c.length && b.segs[c.halfs[0].seg()].piece >= 0 && !b.piece(b.segs[c.halfs[0].seg()].piece).IsLine()
}

// markStrays sets aside free chains shorter than the kerf that no gap ties to
// anything.
func (b *builder) markStrays(ends []freeEnd) {
	tied := make([]bool, len(b.chains))
	for i := range ends {
		if ends[i].mate >= 0 || ends[i].onto != nil {
			tied[ends[i].chain] = true
		}
	}
	for k := range b.chains {
		if c := &b.chains[k]; c.free && !tied[k] && c.length < b.o.Kerf {
			b.setAside(c)
		}
	}
}

// setAside takes a chain out and tells it as strays.
func (b *builder) setAside(c *chain) {
	c.stray = true
	seen := int32(-1)
	for _, h := range c.halfs {
		b.gone[h.seg()] = true
		s := &b.segs[h.seg()]
		sh := b.shape(s)
		st := Stray{Stroke: int32(b.act[s.piece]), At: sh.Mid(), Length: sh.Length(), Tail: !c.free}
		if s.part && !c.free {
			st.Part, st.T0, st.T1 = true, s.t0, s.t1
		} else if st.Stroke == seen {
			continue
		}
		seen = st.Stroke
		b.sheet.Strays = append(b.sheet.Strays, st)
	}
	b.deg[c.from]--
	b.deg[c.to]--
}

// endPoint returns the place of a half-segment's own end.
func (b *builder) endPoint(h halfID) geom.Point {
	s := b.shape(&b.segs[h.seg()])
	if !h.isBack() {
		return s.A
	}
	return s.B
}

// bridgeAll records a gap for every free end and puts bridges where outlines
// close.
func (b *builder) bridgeAll(ends []freeEnd, near endTree) {
	at := make([][2]endID, len(b.chains)) // free ends of each chain
	for k := range at {
		at[k] = [2]endID{-1, -1}
	}
	for i := range ends {
		if ends[i].far {
			at[ends[i].chain][1] = endID(i)
		} else {
			at[ends[i].chain][0] = endID(i)
		}
	}
	wide := b.wideCycles(ends, at)
	for i := range ends {
		e := &ends[i]
		c := &b.chains[e.chain]
		if c.stray || e.mate >= 0 && e.mate < endID(i) {
			continue
		}
		segs := [2]segID{e.half.seg(), -1}
		g := Gap{At: e.at, A: e.at, B: e.at, EndA: b.end(e.half), EndB: End{Stroke: -1}, Outline: -1}
		if e.onto != nil {
			g.B, g.EndB, g.Inside, g.Partner = e.onto.at, End{Stroke: int32(b.act[b.segs[e.onto.seg].piece])}, true, true
			g.Width, g.At = g.A.Dist(g.B), g.A.Mid(g.B)
			if !b.trim(e) {
				g.Bridged = true
				b.addBridge(e.node, b.land(e.onto), geom.Line(g.A, g.B))
			}
			b.sheet.Gaps = append(b.sheet.Gaps, g)
			b.gapSegs = append(b.gapSegs, segs)
			continue
		}
		if e.mate < 0 {
			g.Near = near.nearest(ends, endID(i))
			b.sheet.Gaps = append(b.sheet.Gaps, g)
			b.gapSegs = append(b.gapSegs, segs)
			continue
		}
		f := &ends[e.mate]
		segs[1] = f.half.seg()
		g.B, g.EndB, g.Partner = f.at, b.end(f.half), true
		g.Width = g.A.Dist(g.B)
		g.At = g.A.Mid(g.B)
		if g.Width > b.o.Gap {
			g.Near = near.nearest(ends, endID(i))
		}
		if g.Width <= b.o.Gap || wide[e.chain] {
			g.Bridged = true
			b.addBridge(e.node, f.node, geom.Line(g.A, g.B))
		}
		b.sheet.Gaps = append(b.sheet.Gaps, g)
		b.gapSegs = append(b.gapSegs, segs)
	}
	b.findShells(ends, wide)
}

// wideCycles finds chains that pairs join into a closed ring whose wide gaps are
// small against what they close, and notes the chains of broken outlines.
func (b *builder) wideCycles(ends []freeEnd, at [][2]endID) []bool {
	ok := make([]bool, len(b.chains))
	seen := make([]bool, len(b.chains))
	for k := range b.chains {
		if seen[k] || b.chains[k].stray {
			continue
		}
		r, closed := b.roundFrom(chainID(k), ends, at, seen)
		if !closed {
			continue
		}
		bridged, broken := b.judgeRing(r, ends)
		for _, c := range r.chains {
			ok[c] = bridged
			if broken {
				for _, h := range b.chains[c].halfs {
					b.ringish[h.seg()] = true
				}
			}
		}
	}
	return ok
}

// roundFrom follows chains and the gaps between them from the far end of chain k
// and reports whether they come back to its start.
func (b *builder) roundFrom(k chainID, ends []freeEnd, at [][2]endID, seen []bool) (*ring, bool) {
	r := &ring{}
	for cur, side := k, 1; ; {
		seen[cur] = true
		r.chains = append(r.chains, cur)
		r.length += b.chains[cur].length
		e := at[cur][side]
		if e < 0 || ends[e].mate < 0 {
			return r, false
		}
		f := ends[e].mate
		r.gaps = append(r.gaps, [2]endID{e, f})
		if d := ends[e].at.Dist(ends[f].at); d > b.o.Gap {
			r.wide += d
			r.widest = max(r.widest, d)
		}
		next := ends[f].chain
		if next == k {
			return r, !ends[f].far
		}
		if seen[next] {
			return r, false
		}
		cur, side = next, 1
		if ends[f].far {
			side = 0
		}
	}
}

// addBridge adds a straight seg between two nodes.
func (b *builder) addBridge(n0, n1 nodeID, p geom.Piece) {
	b.bridges = append(b.bridges, p)
	b.segs = append(b.segs, seg{piece: ^pieceID(len(b.bridges) - 1), n0: n0, n1: n1})
}

// pruneTails links again with the bridges in place and takes out what still
// hangs free, until every node left has at least two ends.
func (b *builder) pruneTails() {
	gone := b.gone
	b.link()
	copy(b.gone, gone)
	for i := range b.deg {
		b.deg[i] = 0
	}
	for k := range b.segs {
		if !b.gone[k] {
			b.deg[b.segs[k].n0]++
			b.deg[b.segs[k].n1]++
		}
	}
	var leaves []nodeID
	for n, d := range b.deg {
		if d == 1 {
			leaves = append(leaves, nodeID(n))
		}
	}
	for len(leaves) > 0 {
		n := leaves[0]
		leaves = leaves[1:]
		if b.deg[n] != 1 {
			continue
		}
		c := b.walk(n, b.onward(n, -1))
		for _, h := range c.halfs {
			b.gone[h.seg()] = true
			b.deg[b.segs[h.seg()].n0]--
			b.deg[b.segs[h.seg()].n1]--
		}
		b.sheet.Open = append(b.sheet.Open, b.openPath(c))
		if b.deg[c.to] == 1 {
			leaves = append(leaves, c.to)
		}
	}
}

// openPath turns a chain into the next open path of the sheet.
func (b *builder) openPath(c chain) Open {
	o := Open{Part: -1, Tail: !c.free, Length: c.length, Box: geom.NoBox()}
	for _, h := range c.halfs {
		b.appendHalf(&o.Path, h)
	}
	o.Box = o.Pieces.Box()
	for _, h := range c.halfs {
		b.openOf[h.seg()] = int32(len(b.sheet.Open))
	}
	return o
}

// appendHalf adds a seg to a path, run from the half's own end.
func (b *builder) appendHalf(p *Path, h halfID) {
	s := &b.segs[h.seg()]
	shape := b.shape(s)
	if h.isBack() {
		shape = shape.Reverse()
	}
	src, flag := int32(-1), IsBridge
	if s.piece >= 0 {
		src, flag = int32(b.act[s.piece]), 0
		if b.tab[s.piece] {
			flag = IsTab
		}
	}
	p.Pieces = append(p.Pieces, shape)
	p.Src = append(p.Src, src)
	p.Flags = append(p.Flags, flag)
}
