package outline

import (
	"math"
	"slices"

	"sluice/geom"
)

// graph is edges that can be walked: the half-edges that run from each node, and
// how many of them still stand. It is worked on where it is made, in pairGaps
// and in rings, and handed to nobody else.
type graph struct {
	*noding
	edges
	first []int32  // by node, and one more: where its half-edges begin in halfs
	halfs []halfID // compressed rows, as of a sparse matrix
	gone  []bool   // by seg: taken out
	deg   []int32  // by node: half-edges that stand
}

// link gathers the half-edges at each of so many nodes. Of segs that are gone
// already there are none.
func link(n *noding, e edges, gone []bool, nodes int) *graph {
	g := &graph{noding: n, edges: e, gone: make([]bool, len(e.segs)), deg: make([]int32, nodes), first: make([]int32, nodes+1)}
	g.segs, g.bridges = slices.Clip(e.segs), slices.Clip(e.bridges) // what is added is the graph's own
	copy(g.gone, gone)
	for k := range g.segs {
		if !g.gone[k] {
			g.deg[g.segs[k].n0]++
			g.deg[g.segs[k].n1]++
		}
	}
	for i, d := range g.deg {
		g.first[i+1] = g.first[i] + d
	}
	g.halfs = make([]halfID, g.first[nodes])
	fill := slices.Clone(g.first)
	for k := range segID(len(g.segs)) {
		if g.gone[k] {
			continue
		}
		for _, h := range k.halfs() {
			n := g.nodeOf(h)
			g.halfs[fill[n]] = h
			fill[n]++
		}
	}
	return g
}

// take takes a seg out.
func (g *graph) take(s segID) {
	g.gone[s] = true
	g.deg[g.segs[s].n0]--
	g.deg[g.segs[s].n1]--
}

// leaves lists the nodes with one end, ascending.
func (g *graph) leaves() (out []nodeID) {
	for n, d := range g.deg {
		if d == 1 {
			out = append(out, nodeID(n))
		}
	}
	return out
}

// onward returns the half-edge other than from that runs from a node with no more
// than two ends left, -1 if there is none.
func (g *graph) onward(node nodeID, from halfID) halfID {
	for _, h := range g.halfs[g.first[node]:g.first[node+1]] {
		if h != from && !g.gone[h.seg()] {
			return h
		}
	}
	return -1
}

// around lists the half-edges that run from a node.
func (g *graph) around(n nodeID) (hs []halfID) {
	for _, h := range g.halfs[g.first[n]:g.first[n+1]] {
		if !g.gone[h.seg()] {
			hs = append(hs, h)
		}
	}
	return hs
}

// chain is a run of half-edges from a free end to another free end, or to a
// junction.
type chain struct {
	halfs  []halfID // in the direction of travel
	from   nodeID   // leaf
	to     nodeID   // leaf or junction
	free   bool     // to is a leaf too
	length float64
	stray  bool
}

// last returns the half-edge that runs back from the far end of a chain.
func (c *chain) last() halfID { return c.halfs[len(c.halfs)-1].twin() }

// walk follows the only way on from node along half-edge h.
func (g *graph) walk(node nodeID, h halfID) chain {
	c := chain{from: node}
	for {
		c.halfs = append(c.halfs, h)
		p := g.shape(h.seg())
		c.length += p.Length()
		c.to = g.nodeOf(h.twin())
		if g.deg[c.to] != 2 {
			c.free = g.deg[c.to] == 1
			return c
		}
		h = g.onward(c.to, h.twin())
		if h < 0 || h == c.halfs[0] {
			return c // round a ring
		}
	}
}

// component gathers the segs connected with a node, ascending.
func (g *graph) component(start nodeID, seen []bool) (segs []segID) {
	in := map[nodeID]bool{start: true}
	queue := []nodeID{start}
	for k := 0; k < len(queue); k++ {
		for _, h := range g.around(queue[k]) {
			if !seen[h.seg()] {
				seen[h.seg()] = true
				segs = append(segs, h.seg())
			}
			if m := g.nodeOf(h.twin()); !in[m] {
				in[m] = true
				queue = append(queue, m)
			}
		}
	}
	slices.Sort(segs)
	return segs
}

// crossesAtCorner reports whether the two pieces that meet at a corner lie on
// opposite sides of the piece that the corner touches.
func (g *graph) crossesAtCorner(c contact) (geom.Point, pieceID, bool) {
	hs := g.around(c.node)
	if len(hs) != 2 {
		return geom.Point{}, 0, false
	}
	on := g.piece(c.on)
	side := func(h halfID) float64 {
		s := g.along(h)
		q := s.At(min(0.5, max(0.05, 20*g.o.Join/s.Length())))
		if on.R == 0 {
			return on.B.Sub(on.A).Unit().Cross(q.Sub(on.A))
		}
		return on.R - q.Dist(on.C)
	}
	x, y := side(hs[0]), side(hs[1])
	return g.at[c.node], c.end.piece(), x*y < 0 && min(math.Abs(x), math.Abs(y)) > g.o.Join
}
