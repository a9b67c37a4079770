package outline

import "sluice/geom/index"

// placed is the second stage: pieces whose ends are nodes, and which of them
// repeat others whole.
type placed struct {
	*chosen
	nodes    *index.Points[nodeID]
	endNode  []nodeID  // by pieceEnd
	repeatOf []pieceID // by piece: the piece it repeats whole, or -1
	live     []pieceID // pieces that are no whole repeats, ascending
	specks   []Stray   // pieces whose ends are one place
}

// place takes ends within the joining tolerance as one node, and finds pieces
// that are drawn more than once.
func (c *chosen) place() *placed {
	p := &placed{chosen: c}
	done := make(chan struct{})
	go func() {
		p.repeatOf = wholeRepeats(len(c.act), c.piece, c.o.Same)
		close(done)
	}()
	p.nodes = index.NewPoints[nodeID](c.o.Join, len(c.act))
	p.endNode = make([]nodeID, 2*len(c.act))
	for i := range pieceID(len(c.act)) {
		x := c.piece(i)
		p.endNode[i.start()] = p.nodes.Place(x.A)
		p.endNode[i.end()] = p.nodes.Place(x.B)
	}
	<-done
	p.dropShortRepeats()
	for i := range pieceID(len(c.act)) {
		if p.repeatOf[i] >= 0 {
			continue
		}
		if x := c.piece(i); x.Length() <= 4*c.o.Join && p.nodes.Same(p.endNode[i.start()], p.endNode[i.end()]) {
			// Both ends are one place: it has no length worth the name.
			p.specks = append(p.specks, Stray{Stroke: int32(c.act[i]), At: x.Mid(), Length: x.Length()})
			continue
		}
		p.live = append(p.live, i)
	}
	for i, j := range p.repeatOf {
		if j >= 0 {
			p.hangOnTwin(pieceID(i), j)
		}
	}
	for e := range p.endNode {
		p.endNode[e] = p.nodes.Find(p.endNode[e])
	}
	return p
}

// hangOnTwin takes the ends of a repeat, which may lie up to same away, for those
// of its twin: what hung on the one hangs on the other.
func (p *placed) hangOnTwin(i, twin pieceID) {
	x, y := p.piece(i), p.piece(twin)
	if x.IsCircle() {
		return
	}
	a, b := twin.start(), twin.end()
	if x.A.Dist2(y.A) > x.A.Dist2(y.B) {
		a, b = b, a
	}
	p.nodes.Union(p.endNode[i.start()], p.endNode[a])
	p.nodes.Union(p.endNode[i.end()], p.endNode[b])
}

// dropShortRepeats finds repeats among pieces so short that wholeRepeats must
// compare them more strictly than others: two that join the same two nodes and
// lie within same of each other are one piece drawn twice.
func (p *placed) dropShortRepeats() {
	first := map[[2]nodeID]pieceID{}
	for i := range pieceID(len(p.act)) {
		x := p.piece(i)
		if p.repeatOf[i] >= 0 || x.Length() >= 8*p.o.Same {
			continue
		}
		n, m := p.nodes.Find(p.endNode[i.start()]), p.nodes.Find(p.endNode[i.end()])
		if n == m {
			continue
		}
		k := [2]nodeID{min(n, m), max(n, m)}
		if j, ok := first[k]; !ok {
			first[k] = i
		} else if x.Mid().Dist(p.piece(j).Mid()) <= p.o.Same {
			p.repeatOf[i] = j
		}
	}
}
