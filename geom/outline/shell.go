package outline

import (
	"cmp"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// shell is an outline that is almost closed: gaps, wider than free ends look for
// each other or with other ends in between, that are small against what they
// close. What lies in it is to stay in it while judging.
type shell struct {
	nodes [][2]nodeID  // of the free ends on either side of each gap
	segs  [][2]segID   // the segs at them
	at    []geom.Point // the ends, two for each gap
}

// findShells looks for shells among what no bridge has closed. Their gaps are
// told as ever; whether they are bridged is decided once it is known that they
// lie in nothing else (shellsInNothing): inside a part an open path is a mark.
func (b *builder) findShells(ends []freeEnd, closed []bool) {
	n := b.joinedNets(ends)
	pairs := n.pairs(b, ends, closed)
	// Nets and pairs make a graph; what hangs on it by one pair closes nothing.
	deg := map[nodeID]int{}
	on := map[nodeID][]int{} // net -> pairs
	for k, p := range pairs {
		for _, e := range [2]endID{p.a, p.b} {
			deg[n.of(e)]++
			on[n.of(e)] = append(on[n.of(e)], k)
		}
	}
	dead := make([]bool, len(pairs))
	var leaves []nodeID
	for k := range pairs {
		for _, e := range [2]endID{pairs[k].a, pairs[k].b} {
			if deg[n.of(e)] == 1 {
				leaves = append(leaves, n.of(e))
			}
		}
	}
	for len(leaves) > 0 {
		net := leaves[len(leaves)-1]
		leaves = leaves[:len(leaves)-1]
		for _, k := range on[net] {
			if dead[k] || deg[net] != 1 {
				continue
			}
			dead[k] = true
			for _, e := range [2]endID{pairs[k].a, pairs[k].b} {
				if m := n.of(e); m != net {
					if deg[m]--; deg[m] == 1 {
						leaves = append(leaves, m)
					}
				}
			}
			deg[net]--
		}
	}
	seen := make([]bool, len(pairs))
	for k := range pairs {
		if dead[k] || seen[k] {
			continue
		}
		var group []pair
		nets := map[nodeID]bool{}
		queue := []int{k}
		seen[k] = true
		for len(queue) > 0 {
			p := pairs[queue[0]]
			queue = queue[1:]
			group = append(group, p)
			for _, e := range [2]endID{p.a, p.b} {
				nets[n.of(e)] = true
				for _, next := range on[n.of(e)] {
					if !seen[next] && !dead[next] {
						seen[next] = true
						queue = append(queue, next)
					}
				}
			}
		}
		if n.almostClosed(b, ends, group, nets) {
			b.addShell(ends, group)
		}
	}
}

func (b *builder) addShell(ends []freeEnd, group []pair) {
	s := shell{}
	for _, p := range group {
		e, f := &ends[p.a], &ends[p.b]
		s.nodes = append(s.nodes, [2]nodeID{e.node, f.node})
		s.segs = append(s.segs, [2]segID{e.half.seg(), f.half.seg()})
		s.at = append(s.at, e.at, f.at)
	}
	b.shells = append(b.shells, s)
}

// nets are sets of segs that hang together, narrow gaps counted as closed.
type nets struct {
	sets   index.Sets[nodeID] // of nodes
	node   []nodeID           // by free end
	length map[nodeID]float64
	box    map[nodeID]geom.Box
	segs   map[nodeID][]segID
	at     map[nodeID][]segID // segs at each node of the nets that have free ends
}

// of returns the net of a free end.
func (n *nets) of(e endID) nodeID { return n.sets.Find(n.node[e]) }

// stands reports whether a chain stands on the inside of a piece with its other
// end, as a mark does on an edge.
func (b *builder) stands(c *chain) bool {
	if c.free {
		return false
	}
	own := c.halfs[len(c.halfs)-1].twin()
	on, n := pieceID(-1), 0
	for _, h := range b.halfs[b.first[c.to]:b.first[c.to+1]] {
		if h == own || b.gone[h.seg()] {
			continue
		}
		if n++; n > 1 && b.segs[h.seg()].piece != on {
			return false
		}
		on = b.segs[h.seg()].piece
	}
	return n == 2
}

// pathLooks bounds how many segs shortCut looks at. Ends between which there are
// more are far from each other along the net.
const pathLooks = 256

// shortCut reports whether a way of less than limit, mm, leads along a net from
// one node to another: a bridge between them closes nothing to speak of.
func (n *nets) shortCut(b *builder, from, to nodeID, limit float64) bool {
	type step struct {
		node nodeID
		way  float64
	}
	best := map[nodeID]float64{from: 0}
	queue := []step{{from, 0}}
	for looks := 0; len(queue) > 0 && looks < pathLooks; {
		k := 0
		for i := range queue {
			if queue[i].way < queue[k].way {
				k = i
			}
		}
		s := queue[k]
		queue = slices.Delete(queue, k, k+1)
		if s.node == to {
			return true
		}
		if s.way > best[s.node] {
			continue
		}
		for _, g := range n.at[s.node] {
			looks++
			p := b.shape(&b.segs[g])
			next := step{b.segs[g].n0 + b.segs[g].n1 - s.node, s.way + p.Length()}
			if old, ok := best[next.node]; next.way < limit && (!ok || next.way < old) {
				best[next.node] = next.way
				queue = append(queue, next)
			}
		}
	}
	return false
}

func (b *builder) joinedNets(ends []freeEnd) *nets {
	n := &nets{sets: index.NewSets[nodeID](len(b.nodes.At)), node: make([]nodeID, len(ends)), length: map[nodeID]float64{}, box: map[nodeID]geom.Box{}, segs: map[nodeID][]segID{}, at: map[nodeID][]segID{}}
	gone := func(k int) bool { return k < len(b.gone) && b.gone[k] }
	for k := range b.segs {
		if !gone(k) {
			n.sets.Union(b.segs[k].n0, b.segs[k].n1)
		}
	}
	wanted := map[nodeID]bool{}
	for i := range ends {
		n.node[i] = ends[i].node
		if !b.chains[ends[i].chain].stray {
			wanted[n.sets.Find(ends[i].node)] = true
		}
	}
	for k := range b.segs {
		r := n.sets.Find(b.segs[k].n0)
		if gone(k) || !wanted[r] {
			continue
		}
		p := b.shape(&b.segs[k])
		if _, ok := n.box[r]; !ok {
			n.box[r] = geom.NoBox()
		}
		n.length[r] += p.Length()
		n.box[r] = n.box[r].Union(p.Box())
		n.segs[r] = append(n.segs[r], segID(k))
		n.at[b.segs[k].n0] = append(n.at[b.segs[k].n0], segID(k))
		n.at[b.segs[k].n1] = append(n.at[b.segs[k].n1], segID(k))
	}
	return n
}

// pairs puts together free ends that are near against the size of the nets on
// which they hang, those first that cost least: the distance, more where they do
// not go on into each other.
func (n *nets) pairs(b *builder, ends []freeEnd, closed []bool) []pair {
	// As with narrower gaps; more candidates are looked at, since letters and the
	// like may lie near a gap.
	const nearest, looks = 4, 64
	may := make([]bool, len(ends))
	for i := range ends {
		e := &ends[i]
		narrow := e.onto != nil || e.mate >= 0 && e.at.Dist(ends[e.mate].at) <= b.o.Gap
		may[i] = !narrow && !closed[e.chain] && !b.chains[e.chain].stray && !b.stands(&b.chains[e.chain]) && n.length[n.of(endID(i))] > bridgedShare*b.o.Gap
	}
	tree := newEndTree(ends, func(i endID) bool { return may[i] })
	var all []pair
	for i := range ends {
		if !may[i] {
			continue
		}
		e, count, seen := &ends[i], 0, 0
		size := n.length[n.of(endID(i))]
		tree.visit(ends, endID(i), func(j endID, d float64) bool {
			if seen++; bridgedShare*d > size || count >= nearest || seen > looks {
				return false
			}
			if bridgedShare*d <= n.length[n.of(j)] && !n.shortCut(b, e.node, ends[j].node, bridgedShare*d) {
				count++
				all = append(all, pair{min(endID(i), j), max(endID(i), j), d * (1 + b.misfit(e, &ends[j], d, d))})
			}
			return true
		})
	}
	slices.SortFunc(all, func(x, y pair) int {
		return cmp.Or(cmp.Compare(x.d, y.d), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b))
	})
	var out []pair
	for _, p := range all {
		if may[p.a] && may[p.b] {
			may[p.a], may[p.b] = false, false
			out = append(out, p)
		}
	}
	return out
}

// almostClosed reports whether the gaps of a group of pairs take at most an
// eighth of what they close, and no bridge meets the nets.
func (n *nets) almostClosed(b *builder, ends []freeEnd, group []pair, in map[nodeID]bool) bool {
	var length, gaps float64
	box := geom.NoBox()
	for net := range in {
		box = box.Union(n.box[net])
	}
	order := make([]nodeID, 0, len(in))
	for net := range in {
		order = append(order, net)
	}
	slices.Sort(order)
	var bridges []geom.Piece
	for _, p := range group {
		q := geom.Line(ends[p.a].at, ends[p.b].at)
		gaps += q.Length()
		bridges = append(bridges, q)
	}
	for _, net := range order {
		length += n.length[net]
	}
	if bridgedShare*gaps > min(length, 2*(box.W()+box.H())) {
		return false
	}
	meets := b.bridgeMeets(bridges)
	for _, net := range order {
		for _, s := range n.segs[net] {
			if p := b.shape(&b.segs[s]); meets(&p) {
				return false
			}
		}
	}
	return true
}

// shellsInNothing returns the shells that lie in no outline, and forgets all.
func (b *builder) shellsInNothing() []shell {
	out := slices.DeleteFunc(b.shells, func(s shell) bool {
		return slices.ContainsFunc(s.at, func(p geom.Point) bool { return b.locate.around(p) >= 0 })
	})
	b.shells = nil
	return out
}

// bridge closes shells. Their outlines are to be made anew then.
func (b *builder) bridge(shells []shell) {
	for _, s := range shells {
		for k, nd := range s.nodes {
			b.shellOf[s.segs[k][0]] = int32(len(b.bridges))
			b.shellOf[s.segs[k][1]] = int32(len(b.bridges))
			b.addBridge(nd[0], nd[1], geom.Line(s.at[2*k], s.at[2*k+1]))
		}
	}
}
