package outline

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"sluice/geom"
)

// seg is a stretch of a piece between two nodes; piece < 0 is bridge number
// ^piece.
type seg struct {
	piece  pieceID
	part   bool // only the stretch t0..t1
	t0, t1 float64
	n0, n1 nodeID
}

// lostRun is a stretch of a piece that repeats the piece twin.
type lostRun struct {
	t0, t1 float64
	twin   pieceID
	u0, u1 float64
	apart  float64
}

// noding is the third stage: pieces less what repeats others, split into segs at
// the nodes where ends meet their inside (noding, as geometry libraries call it).
type noding struct {
	edges
	at       []geom.Point // by node
	repeatOf []pieceID    // as placed
	specks   []Stray
	lost     map[pieceID][]lostRun // by piece: stretches that repeat another
	crosses  []crossHit            // where insides cross, and make no node
	contacts []contact
}

// node makes segs of the pieces. Wherever pieces lie on each other exactly one
// stays; free ends that meet the inside of a piece split it.
func (p *placed) node(ctx context.Context) (*noding, error) {
	met, err := p.meet(ctx)
	if err != nil {
		return nil, err
	}
	w := noder{placed: p, lost: p.resolveRepeats(met.repeats)}
	w.layOut()
	w.splitAtContacts(met.contacts)
	crosses := w.splitChords(met.crosses)
	for i := range met.contacts {
		met.contacts[i].node = p.nodes.Find(p.endNode[met.contacts[i].end])
	}
	return &noding{
		edges: edges{chosen: p.chosen, segs: w.segs}, at: p.nodes.At,
		repeatOf: p.repeatOf, specks: p.specks, lost: w.lost, crosses: crosses, contacts: met.contacts,
	}, nil
}

// noder is the work on segs until they are settled.
type noder struct {
	*placed
	segs []seg
	lost map[pieceID][]lostRun
	ties []tied
}

// tied asks for node to lie on piece on at share t.
type tied struct {
	node nodeID
	on   pieceID
	t    float64
}

// outranks reports whether piece i stays where i and j lie on each other: the
// longer one, or else the earlier.
func (c *chosen) outranks(i, j pieceID) bool {
	li, lj := c.piece(i).Length(), c.piece(j).Length()
	if d := li - lj; d > c.o.Same || d < -c.o.Same {
		return d > 0
	}
	return i < j
}

// resolveRepeats decides which stretches go. A piece loses what any higher
// ranked piece covers, so that wherever pieces lie on each other exactly one,
// the highest in rank, stays.
func (c *chosen) resolveRepeats(hits []repeatHit) map[pieceID][]lostRun {
	lost := map[pieceID][]lostRun{}
	for _, h := range hits {
		r := lostRun{t0: h.T0, t1: h.T1, twin: h.j, u0: h.U0, u1: h.U1, apart: h.Apart}
		loser := h.i
		if c.outranks(h.i, h.j) {
			loser = h.j
			r = lostRun{t0: h.U0, t1: h.U1, twin: h.i, u0: h.T0, u1: h.T1, apart: h.Apart}
			if r.t0 > r.t1 {
				r.t0, r.t1, r.u0, r.u1 = r.t1, r.t0, r.u1, r.u0
			}
		}
		lost[loser] = append(lost[loser], r)
	}
	for i, runs := range lost {
		// Stretches that begin or end within reach of the piece's own end take
		// that end with them.
		slack := 2 * c.o.Same / c.piece(i).Length()
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
	return lost
}

// merged returns the union of the lost stretches of piece i as disjoint shares,
// each with the twin that covers most of it.
func (c *chosen) merged(i pieceID, lost []lostRun) []lostRun {
	var out []lostRun
	slack := c.o.Same / c.piece(i).Length()
	for _, r := range lost {
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

// layOut makes segs of what stays of each piece.
func (w *noder) layOut() {
	w.segs = make([]seg, 0, len(w.live))
	for _, i := range w.live {
		if _, ok := w.lost[i]; !ok {
			w.segs = append(w.segs, seg{piece: i, n0: w.endNode[i.start()], n1: w.endNode[i.end()]})
		}
	}
	for _, i := range slices.Sorted(maps.Keys(w.lost)) {
		w.keepRest(i)
	}
	w.rename()
}

// rename gives segs the nodes that stand for theirs by now.
func (w *noder) rename() {
	for k := range w.segs {
		s := &w.segs[k]
		s.n0, s.n1 = w.nodes.Find(s.n0), w.nodes.Find(s.n1)
	}
}

// keepRest keeps what is left of a piece between its lost stretches and ties
// their ends to the pieces that cover them.
func (w *noder) keepRest(i pieceID) {
	least := w.o.Join / w.piece(i).Length()
	from, node := 0.0, w.endNode[i.start()]
	for _, r := range w.merged(i, w.lost[i]) {
		n0 := w.tie(i, r.t0)
		if r.t0-from > least {
			w.segs = append(w.segs, seg{piece: i, part: true, t0: from, t1: r.t0, n0: node, n1: n0})
		}
		from, node = r.t1, w.tie(i, r.t1)
	}
	if 1-from > least {
		w.segs = append(w.segs, seg{piece: i, part: true, t0: from, t1: 1, n0: node, n1: w.endNode[i.end()]})
	}
}

// tie returns the node of piece i at share t, where a lost stretch begins or
// ends, tied to the highest ranked piece that covers the place.
func (w *noder) tie(i pieceID, t float64) nodeID {
	var best *lostRun
	for k := range w.lost[i] {
		r := &w.lost[i][k]
		if r.t0 <= t && t <= r.t1 && (best == nil || w.outranks(r.twin, best.twin)) {
			best = r
		}
	}
	var node nodeID
	switch {
	case t == 0:
		node = w.endNode[i.start()]
	case t == 1:
		node = w.endNode[i.end()]
	default:
		node = w.nodes.Place(w.piece(i).At(t))
	}
	if best == nil {
		return node
	}
	u := best.u0
	if best.t1 > best.t0 {
		u += (best.u1 - best.u0) * (t - best.t0) / (best.t1 - best.t0)
	}
	u = min(1, max(0, u))
	on := w.piece(best.twin)
	slack := 2 * w.o.Same / on.Length()
	switch {
	case !on.IsCircle() && u <= slack:
		w.nodes.Union(node, w.endNode[best.twin.start()])
	case !on.IsCircle() && u >= 1-slack:
		w.nodes.Union(node, w.endNode[best.twin.end()])
	default:
		w.ties = append(w.ties, tied{node, best.twin, u})
	}
	return node
}

// degrees counts the segs that end at each node.
func (w *noder) degrees() []int32 {
	deg := make([]int32, len(w.nodes.At))
	for k := range w.segs {
		deg[w.nodes.Find(w.segs[k].n0)]++
		deg[w.nodes.Find(w.segs[k].n1)]++
	}
	return deg
}

// splitAtContacts splits pieces where a free end, or what is left of a repeat,
// meets their inside. A corner that merely touches another outline splits
// nothing: both outlines stay whole.
func (w *noder) splitAtContacts(contacts []contact) {
	deg := w.degrees()
	var cuts []cut
	for _, l := range w.ties {
		n := w.nodes.Find(l.node)
		if w.piece(l.on).IsCircle() && n == w.nodes.Find(w.endNode[l.on.start()]) {
			continue // where the circle starts anyway
		}
		if deg[n] > 0 {
			cuts = append(cuts, cut{l.on, l.t, n})
		}
	}
	for _, c := range contacts {
		n := w.nodes.Find(w.endNode[c.end])
		if deg[n] == 1 && !w.meetsLeaf(c, deg) {
			cuts = append(cuts, cut{c.on, c.t, n})
		}
	}
	w.split(cuts)
}

// meetsLeaf reports whether the end of a contact lies so near to a free end of
// the piece it meets that the two make a gap, not a T-joint.
func (w *noder) meetsLeaf(c contact, deg []int32) bool {
	x := w.piece(c.end.piece()).A
	if c.end.isB() {
		x = w.piece(c.end.piece()).B
	}
	leaf := func(p geom.Point, e pieceEnd) bool {
		return x.Dist(p) <= w.o.Gap && deg[w.nodes.Find(w.endNode[e])] == 1
	}
	return leaf(w.piece(c.on).A, c.on.start()) || leaf(w.piece(c.on).B, c.on.end())
}

// splitChords splits lines that cross each other where each runs from outline
// to outline: a sheet parted by long lines is a net of common edges, not a set
// of outlines that cross. It returns the crossings that are left.
func (w *noder) splitChords(crosses []crossHit) (left []crossHit) {
	if len(crosses) == 0 {
		return nil
	}
	deg := w.degrees()
	chord := func(i pieceID) bool {
		a, b := w.endNode[i.start()], w.endNode[i.end()]
		return w.lost[i] == nil && a != b && deg[w.nodes.Find(a)] > 2 && deg[w.nodes.Find(b)] > 2
	}
	var cuts []cut
	for _, c := range crosses {
		if !chord(c.i) || !chord(c.j) {
			left = append(left, c)
			continue
		}
		n := w.nodes.Find(w.nodes.Place(c.p))
		_, t := w.piece(c.i).Nearest(c.p)
		_, u := w.piece(c.j).Nearest(c.p)
		cuts = append(cuts, cut{c.i, t, n}, cut{c.j, u, n})
	}
	w.split(cuts)
	return left
}

// split splits segs at the cuts.
func (w *noder) split(cuts []cut) {
	if len(cuts) == 0 {
		return
	}
	at := byPiece(cuts)
	old := w.segs
	w.segs = make([]seg, 0, len(old)+len(cuts))
	for _, s := range old {
		w.segs = w.splitSeg(w.segs, s, at[s.piece], func(n, m nodeID) { w.nodes.Union(n, m) })
	}
	w.rename()
}

// cut asks for a piece to be split at a share.
type cut struct {
	piece pieceID
	t     float64
	node  nodeID
}

// byPiece returns the cuts of each piece in the order of their shares.
func byPiece(cuts []cut) map[pieceID][]cut {
	slices.SortFunc(cuts, func(x, y cut) int {
		return cmp.Or(cmp.Compare(x.piece, y.piece), cmp.Compare(x.t, y.t), cmp.Compare(x.node, y.node))
	})
	at := map[pieceID][]cut{}
	for _, c := range cuts {
		at[c.piece] = append(at[c.piece], c)
	}
	return at
}

// splitSeg appends the parts of a seg between cuts. A cut at an end of the seg
// parts nothing: then same is told that its node is that end's.
func (c *chosen) splitSeg(dst []seg, s seg, cuts []cut, same func(n, m nodeID)) []seg {
	if len(cuts) == 0 {
		return append(dst, s)
	}
	p := c.piece(s.piece)
	if !s.part {
		s.part, s.t0, s.t1 = true, 0, 1
		if p.IsCircle() {
			// Opened at its cuts: its drawn start is no place of its own.
			for k, x := range cuts {
				n := cuts[(k+1)%len(cuts)]
				if n.t <= x.t {
					n.t++ // past the drawn start
				}
				dst = append(dst, seg{piece: s.piece, part: true, t0: x.t, t1: n.t, n0: x.node, n1: n.node})
			}
			return dst
		}
	}
	least := c.o.Join / p.Length()
	for _, x := range cuts {
		switch {
		case x.t >= s.t0-least && x.t <= s.t0+least:
			same(x.node, s.n0)
		case x.t >= s.t1-least && x.t <= s.t1+least:
			same(x.node, s.n1)
		case x.t > s.t0+least && x.t < s.t1-least:
			left := s
			left.t1, left.n1 = x.t, x.node
			dst = append(dst, left)
			s.t0, s.n0 = x.t, x.node
		}
	}
	return append(dst, s)
}

// lies reports whether piece i still stands at p.
func (n *noding) lies(i pieceID, p geom.Point) bool {
	runs := n.lost[i]
	if len(runs) == 0 {
		return true
	}
	_, t := n.piece(i).Nearest(p)
	return !slices.ContainsFunc(runs, func(r lostRun) bool { return r.t0 <= t && t <= r.t1 })
}
