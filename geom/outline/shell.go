package outline

import (
	"cmp"
	"maps"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// shell is an outline that is almost closed: gaps, wider than free ends look for
// each other or with other ends in between, that are small against what they
// close. What lies in it is to stay in it while judging.
type shell []shellGap

// shellGap is what is missing of a shell between two ends.
type shellGap struct {
	nodes [2]nodeID
	segs  [2]segID
	at    [2]geom.Point
}

// findShells looks for shells among what no bridge has closed. Their gaps are
// told as ever; whether they are bridged is decided once it is known that they
// lie in nothing else (shellsInNothing): inside a part an open path is a mark.
func (p *pairing) findShells(closed []bool) {
	n := p.joinedNets()
	pairs := n.pairs(closed)
	// Nets and pairs make a graph; what hangs on it by one pair closes nothing.
	between := make([][2]nodeID, len(pairs))
	for k, x := range pairs {
		between[k] = [2]nodeID{n.of(x.a), n.of(x.b)}
	}
	gone, _ := dangles(len(n.sets), between)
	groups := index.NewSets[nodeID](len(n.sets))
	for k, e := range between {
		if !gone[k] {
			groups.Union(e[0], e[1])
		}
	}
	of := map[nodeID][]int{} // by the net that stands for a group: its pairs
	var order []nodeID
	for k, e := range between {
		if gone[k] {
			continue
		}
		g := groups.Find(e[0])
		if of[g] == nil {
			order = append(order, g)
		}
		of[g] = append(of[g], k)
	}
	for _, g := range order {
		var s shell
		nets := map[nodeID]bool{}
		for _, k := range of[g] {
			e, f := &p.ends[pairs[k].a], &p.ends[pairs[k].b]
			s = append(s, shellGap{[2]nodeID{e.node, f.node}, [2]segID{e.half.seg(), f.half.seg()}, [2]geom.Point{e.at, f.at}})
			nets[between[k][0]], nets[between[k][1]] = true, true
		}
		if n.almostClosed(s, slices.Sorted(maps.Keys(nets))) {
			p.out.shells = append(p.out.shells, s)
		}
	}
}

// nets are sets of segs that hang together, narrow gaps counted as closed. A net
// goes by the lowest of its nodes.
type nets struct {
	*pairing
	sets   index.Sets[nodeID]
	length map[nodeID]float64
	box    map[nodeID]geom.Box
	segs   map[nodeID][]segID
	at     map[nodeID][]segID // segs at each node of the nets that have free ends
}

// of returns the net of a free end.
func (n *nets) of(e endID) nodeID { return n.sets.Find(n.ends[e].node) }

func (p *pairing) joinedNets() *nets {
	n := &nets{
		pairing: p, sets: index.NewSets[nodeID](p.out.nodes), length: map[nodeID]float64{},
		box: map[nodeID]geom.Box{}, segs: map[nodeID][]segID{}, at: map[nodeID][]segID{},
	}
	stands := func(k int) bool { return k >= len(p.gone) || !p.gone[k] }
	for k := range p.segs {
		if stands(k) {
			n.sets.Union(p.segs[k].n0, p.segs[k].n1)
		}
	}
	wanted := map[nodeID]bool{}
	for i := range p.ends {
		if !p.chains[p.ends[i].chain].stray {
			wanted[n.of(endID(i))] = true
		}
	}
	for k := range p.segs {
		r := n.sets.Find(p.segs[k].n0)
		if !stands(k) || !wanted[r] {
			continue
		}
		s := segID(k)
		x := p.shape(s)
		if _, ok := n.box[r]; !ok {
			n.box[r] = geom.NoBox()
		}
		n.length[r] += x.Length()
		n.box[r] = n.box[r].Union(x.Box())
		n.segs[r] = append(n.segs[r], s)
		for _, m := range p.nodesOf(s) {
			n.at[m] = append(n.at[m], s)
		}
	}
	return n
}

// stands reports whether a chain stands on the inside of a piece with its other
// end, as a mark does on an edge.
func (p *pairing) stands(c *chain) bool {
	if c.free {
		return false
	}
	hs := slices.DeleteFunc(p.around(c.to), func(h halfID) bool { return h == c.last() })
	return len(hs) == 2 && p.segs[hs[0].seg()].piece == p.segs[hs[1].seg()].piece
}

// shortCut reports whether a way of less than limit, mm, leads along a net from
// one node to another: a bridge between them closes nothing to speak of.
func (n *nets) shortCut(from, to nodeID, limit float64) bool {
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
			x, ends := n.shape(g), n.nodesOf(g)
			next := step{ends[0] + ends[1] - s.node, s.way + x.Length()}
			if old, ok := best[next.node]; next.way < limit && (!ok || next.way < old) {
				best[next.node] = next.way
				queue = append(queue, next)
			}
		}
	}
	return false
}

// pairs puts together free ends that are near against the size of the nets on
// which they hang, those first that cost least: the distance, more where they do
// not go on into each other.
func (n *nets) pairs(closed []bool) []pair {
	may := make([]bool, len(n.ends))
	for i := range n.ends {
		e := &n.ends[i]
		c := &n.chains[e.chain]
		may[i] = !n.narrow(e) && !closed[e.chain] && !c.stray && !n.stands(c) && n.length[n.of(endID(i))] > bridgedShare*n.o.Gap
	}
	tree := newEndTree(n.ends, func(i endID) bool { return may[i] })
	var all []pair
	for i := range endID(len(n.ends)) {
		if !may[i] {
			continue
		}
		e, count, seen := &n.ends[i], 0, 0
		size := n.length[n.of(i)]
		tree.visit(n.ends, i, func(j endID, d float64) bool {
			if seen++; bridgedShare*d > size || count >= shellMates || seen > shellLooks {
				return false
			}
			f := &n.ends[j]
			if bridgedShare*d <= n.length[n.of(j)] && !n.shortCut(e.node, f.node, bridgedShare*d) {
				count++
				all = append(all, pair{min(i, j), max(i, j), d * (1 + n.misfit(e, f, d, d))})
			}
			return true
		})
	}
	slices.SortFunc(all, func(x, y pair) int {
		return cmp.Or(cmp.Compare(x.d, y.d), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b))
	})
	var out []pair
	for _, x := range all {
		if may[x.a] && may[x.b] {
			may[x.a], may[x.b] = false, false
			out = append(out, x)
		}
	}
	return out
}

// almostClosed reports whether the gaps of a shell take at most an eighth of what
// they close, and no bridge meets the nets that it is made of.
func (n *nets) almostClosed(s shell, nets []nodeID) bool {
	var length, gaps float64
	box := geom.NoBox()
	var bridges []geom.Piece
	for _, g := range s {
		x := geom.Line(g.at[0], g.at[1])
		gaps += x.Length()
		bridges = append(bridges, x)
	}
	for _, net := range nets {
		box = box.Union(n.box[net])
		length += n.length[net]
	}
	if bridgedShare*gaps > min(length, 2*(box.W()+box.H())) {
		return false
	}
	meets := n.bridgeMeets(bridges)
	for _, net := range nets {
		for _, g := range n.segs[net] {
			if x := n.shape(g); meets(&x) {
				return false
			}
		}
	}
	return true
}

// shellsInNothing returns the shells that lie in no outline.
func (n *nested) shellsInNothing(shells []shell) (out []shell) {
	for _, s := range shells {
		in := func(g shellGap) bool { return n.locate.around(g.at[0]) >= 0 || n.locate.around(g.at[1]) >= 0 }
		if !slices.ContainsFunc(s, in) {
			out = append(out, s)
		}
	}
	return out
}

// bridge returns the stage with shells bridged too.
func (g *bridged) bridge(shells []shell) *bridged {
	out := *g
	out.segs, out.bridges = slices.Clip(g.segs), slices.Clip(g.bridges)
	out.shells, out.shellOf = nil, map[segID]int32{}
	for _, s := range shells {
		for _, x := range s {
			k := out.edges.bridge(x.nodes[0], x.nodes[1], x.at[0], x.at[1])
			out.shellOf[x.segs[0]], out.shellOf[x.segs[1]] = k, k
		}
	}
	return &out
}
