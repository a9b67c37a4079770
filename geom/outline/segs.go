package outline

import (
	"cmp"
	"slices"

	"sluice/geom"
)

// outranks reports whether piece i stays where i and j lie on each other: the
// longer one, or else the earlier.
func (b *builder) outranks(i, j pieceID) bool {
	li, lj := b.piece(i).Length(), b.piece(j).Length()
	if d := li - lj; d > b.o.Same || d < -b.o.Same {
		return d > 0
	}
	return i < j
}

// resolveRepeats decides which stretches go. A piece loses what any higher
// ranked piece covers, so that wherever pieces lie on each other exactly one,
// the highest in rank, stays.
func (b *builder) resolveRepeats() {
	b.lost = map[pieceID][]lostRun{}
	for _, h := range b.met.repeats {
		r := lostRun{t0: h.T0, t1: h.T1, twin: h.j, u0: h.U0, u1: h.U1, apart: h.Apart}
		loser := h.i
		if b.outranks(h.i, h.j) {
			loser = h.j
			r = lostRun{t0: h.U0, t1: h.U1, twin: h.i, u0: h.T0, u1: h.T1, apart: h.Apart}
			if r.t0 > r.t1 {
				r.t0, r.t1, r.u0, r.u1 = r.t1, r.t0, r.u1, r.u0
			}
		}
		b.lost[loser] = append(b.lost[loser], r)
	}
	for i, runs := range b.lost {
		// Stretches that begin or end within reach of the piece's own end take
		// that end with them.
		slack := 2 * b.o.Same / b.piece(i).Length()
		for k := range runs {
			if runs[k].t0 < slack {
				runs[k].t0 = 0
			}
			if runs[k].t1 > 1-slack {
				runs[k].t1 = 1
			}
		}
		slices.SortFunc(runs, func(x, y lostRun) int {
			return cmp.Or(cmp.Compare(x.t0, y.t0), cmp.Compare(x.t1, y.t1), cmp.Compare(x.twin, y.twin))
		})
	}
}

// losers lists the pieces with lost stretches, ascending.
func (b *builder) losers() []pieceID {
	ids := make([]pieceID, 0, len(b.lost))
	for i := range b.lost {
		ids = append(ids, i)
	}
	slices.Sort(ids)
	return ids
}

// merged returns the union of the lost stretches of a piece as disjoint shares,
// each with the twin that covers most of it.
func (b *builder) merged(i pieceID) []lostRun {
	var out []lostRun
	slack := b.o.Same / b.piece(i).Length()
	for _, r := range b.lost[i] {
		if n := len(out); n > 0 && r.t0 <= out[n-1].t1+slack {
			o := &out[n-1]
			if r.t1-r.t0 > o.t1-o.t0 {
				o.twin = r.twin
			}
			o.t1, o.apart = max(o.t1, r.t1), max(o.apart, r.apart)
			continue
		}
		out = append(out, r)
	}
	return out
}

// makeSegs lays out what stays of each piece.
func (b *builder) makeSegs() {
	b.segs = make([]seg, 0, len(b.live))
	for _, i := range b.live {
		if _, ok := b.lost[i]; !ok {
			b.segs = append(b.segs, seg{piece: i, n0: b.ends[2*i], n1: b.ends[2*i+1]})
		}
	}
	for _, i := range b.losers() {
		b.keepRest(i)
	}
	for k := range b.segs {
		s := &b.segs[k]
		s.n0, s.n1 = b.nodes.Find(s.n0), b.nodes.Find(s.n1)
	}
}

// keepRest keeps what is left of a piece between its lost stretches and ties
// their ends to the pieces that cover them.
func (b *builder) keepRest(i pieceID) {
	p := b.piece(i)
	least := b.o.Join / p.Length()
	from, node := 0.0, b.ends[2*i]
	for _, r := range b.merged(i) {
		n0 := b.tie(i, r.t0)
		if r.t0-from > least {
			b.segs = append(b.segs, seg{piece: i, part: true, t0: from, t1: r.t0, n0: node, n1: n0})
		}
		from, node = r.t1, b.tie(i, r.t1)
	}
	if 1-from > least {
		b.segs = append(b.segs, seg{piece: i, part: true, t0: from, t1: 1, n0: node, n1: b.ends[2*i+1]})
	}
}

// tie returns the node of piece i at share t, where a lost stretch begins or
// ends, tied to the highest ranked piece that covers the place.
func (b *builder) tie(i pieceID, t float64) nodeID {
	var best *lostRun
	for k := range b.lost[i] {
		r := &b.lost[i][k]
		if r.t0 <= t && t <= r.t1 && (best == nil || b.outranks(r.twin, best.twin)) {
			best = r
		}
	}
	var node nodeID
	switch {
	case t == 0:
		node = b.ends[2*i]
	case t == 1:
		node = b.ends[2*i+1]
	default:
		node = b.nodes.Place(b.piece(i).At(t))
	}
	if best == nil {
		return node
	}
	u := best.u0
	if best.t1 > best.t0 {
		u += (best.u1 - best.u0) * (t - best.t0) / (best.t1 - best.t0)
	}
	u = min(1, max(0, u))
	w := best.twin
	slack := 2 * b.o.Same / b.piece(w).Length()
	switch {
	case b.piece(w).IsCircle():
		b.links = append(b.links, link{node, w, u})
	case u <= slack:
		b.nodes.Union(node, b.ends[2*w])
	case u >= 1-slack:
		b.nodes.Union(node, b.ends[2*w+1])
	default:
		b.links = append(b.links, link{node, w, u})
	}
	return node
}

// cut asks for a piece to be split at a share.
type cut struct {
	piece pieceID
	t     float64
	node  nodeID
}

// splitAtContacts splits pieces where a free end, or what is left of a repeat,
// meets their inside. A corner that merely touches another outline splits
// nothing: both outlines stay whole.
func (b *builder) splitAtContacts() {
	deg := b.degrees()
	var cuts []cut
	for _, l := range b.links {
		n := b.nodes.Find(l.node)
		if b.piece(l.on).IsCircle() && n == b.nodes.Find(b.ends[2*l.on]) {
			continue // where the circle starts anyway
		}
		if deg[n] > 0 {
			cuts = append(cuts, cut{l.on, l.t, n})
		}
	}
	for _, c := range b.met.contacts {
		n := b.nodes.Find(b.ends[c.end])
		if deg[n] == 1 && !b.meetsLeaf(c, deg) {
			cuts = append(cuts, cut{c.on, c.t, n})
		}
	}
	b.split(cuts)
}

// meetsLeaf reports whether the end of a contact lies so near to a free end of
// the piece it meets that the two make a gap, not a T-joint.
func (b *builder) meetsLeaf(c contact, deg []int32) bool {
	p := b.piece(c.end.piece())
	x := p.A
	if c.end.isB() {
		x = p.B
	}
	q := b.piece(c.on)
	return x.Dist(q.A) <= b.o.Gap && deg[b.nodes.Find(b.ends[2*c.on])] == 1 ||
		x.Dist(q.B) <= b.o.Gap && deg[b.nodes.Find(b.ends[2*c.on+1])] == 1
}

// splitChords splits lines that cross each other where each runs from outline
// to outline: a sheet parted by long lines is a net of common edges, not a set
// of outlines that cross.
func (b *builder) splitChords() {
	if len(b.met.crosses) == 0 {
		return
	}
	deg := b.degrees()
	chord := func(i pieceID) bool {
		return b.lost[i] == nil && b.ends[2*i] != b.ends[2*i+1] &&
			deg[b.nodes.Find(b.ends[2*i])] > 2 && deg[b.nodes.Find(b.ends[2*i+1])] > 2
	}
	var cuts []cut
	var left []crossHit
	for _, c := range b.met.crosses {
		if !chord(c.i) || !chord(c.j) {
			left = append(left, c)
			continue
		}
		n := b.nodes.Find(b.nodes.Place(c.p))
		_, t := b.piece(c.i).Nearest(c.p)
		_, u := b.piece(c.j).Nearest(c.p)
		cuts = append(cuts, cut{c.i, t, n}, cut{c.j, u, n})
	}
	b.met.crosses = left
	b.split(cuts)
}

// split splits segs at the cuts.
func (b *builder) split(cuts []cut) {
	if len(cuts) == 0 {
		return
	}
	slices.SortFunc(cuts, func(x, y cut) int {
		return cmp.Or(cmp.Compare(x.piece, y.piece), cmp.Compare(x.t, y.t), cmp.Compare(x.node, y.node))
	})
	byPiece := map[pieceID][]cut{}
	for _, c := range cuts {
		byPiece[c.piece] = append(byPiece[c.piece], c)
	}
	old := b.segs
	b.segs = make([]seg, 0, len(old)+len(cuts))
	for _, s := range old {
		cs := byPiece[s.piece]
		if len(cs) == 0 {
			b.segs = append(b.segs, s)
			continue
		}
		b.splitSeg(s, cs)
	}
	for k := range b.segs {
		s := &b.segs[k]
		s.n0, s.n1 = b.nodes.Find(s.n0), b.nodes.Find(s.n1)
	}
}

func (b *builder) splitSeg(s seg, cs []cut) {
	p := b.piece(s.piece)
	if !s.part {
		s.part, s.t0, s.t1 = true, 0, 1
		if p.IsCircle() {
			b.splitCircle(s, cs)
			return
		}
	}
	least := b.o.Join / p.Length()
	for _, c := range cs {
		if c.t <= s.t0+least || c.t >= s.t1-least {
			// At an end: the node there is the same place.
			if c.t >= s.t0-least && c.t <= s.t0+least {
				b.nodes.Union(c.node, s.n0)
			} else if c.t >= s.t1-least && c.t <= s.t1+least {
				b.nodes.Union(c.node, s.n1)
			}
			continue
		}
		left := s
		left.t1, left.n1 = c.t, c.node
		b.segs = append(b.segs, left)
		s.t0, s.n0 = c.t, c.node
	}
	b.segs = append(b.segs, s)
}

// splitCircle opens a full circle at its cuts; its drawn start is no place of
// its own.
func (b *builder) splitCircle(s seg, cs []cut) {
	for k, c := range cs {
		n := cs[(k+1)%len(cs)]
		t1 := n.t
		if t1 <= c.t {
			t1++ // past the drawn start
		}
		b.segs = append(b.segs, seg{piece: s.piece, part: true, t0: c.t, t1: t1, n0: c.node, n1: n.node})
	}
}

func (b *builder) degrees() []int32 {
	deg := make([]int32, len(b.nodes.At))
	for k := range b.segs {
		s := &b.segs[k]
		deg[b.nodes.Find(s.n0)]++
		deg[b.nodes.Find(s.n1)]++
	}
	return deg
}

// shape returns the geometry of a seg.
func (b *builder) shape(s *seg) geom.Piece {
	if s.piece < 0 {
		return b.bridges[^s.piece]
	}
	p := b.piece(s.piece)
	if !s.part || (s.t0 == 0 && s.t1 == 1) {
		return *p
	}
	return p.Sub(s.t0, s.t1)
}

// link gathers the half-segments at each node.
func (b *builder) link() {
	b.deg = b.degrees()
	n := len(b.deg)
	b.first = make([]int32, n+1)
	for i, d := range b.deg {
		b.first[i+1] = b.first[i] + d
	}
	b.halfs = make([]halfID, b.first[n])
	fill := make([]int32, n)
	for k := range b.segs {
		s := &b.segs[k]
		for e, node := range [2]nodeID{s.n0, s.n1} {
			b.halfs[b.first[node]+fill[node]] = halfID(2*k + e)
			fill[node]++
		}
	}
	b.gone = make([]bool, len(b.segs))
}

// nodeOf returns the node at a half-segment's own end.
func (b *builder) nodeOf(h halfID) nodeID {
	if !h.isBack() {
		return b.segs[h.seg()].n0
	}
	return b.segs[h.seg()].n1
}

// onward returns the half-segment that goes on from node, other than from, when
// the node has exactly two ends left.
func (b *builder) onward(node nodeID, from halfID) halfID {
	for _, h := range b.halfs[b.first[node]:b.first[node+1]] {
		if h != from && !b.gone[h.seg()] {
			return h
		}
	}
	return -1
}

// end names the stroke end at a half-segment's own end.
func (b *builder) end(h halfID) End {
	s := &b.segs[h.seg()]
	if s.piece < 0 {
		return End{Stroke: -1}
	}
	return End{Stroke: int32(b.act[s.piece]), AtB: h.isBack()}
}

// newNode adds a node at a place where there is none.
func (b *builder) newNode(p geom.Point) nodeID {
	b.nodes.At = append(b.nodes.At, p)
	return b.nodes.Add()
}
