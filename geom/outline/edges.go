package outline

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// edges are segs and bridges between nodes. What runs along a seg one way is a
// half-edge.
type edges struct {
	*chosen
	segs    []seg
	bridges []geom.Piece
}

// shape returns the geometry of a seg.
func (g *edges) shape(s segID) geom.Piece { return g.shapeOf(&g.segs[s]) }

func (g *edges) shapeOf(s *seg) geom.Piece {
	if s.piece < 0 {
		return g.bridges[^s.piece]
	}
	p := g.piece(s.piece)
	if !s.part || (s.t0 == 0 && s.t1 == 1) {
		return *p
	}
	return p.Sub(s.t0, s.t1)
}

// along returns the geometry of a half-edge, run from its own end.
func (g *edges) along(h halfID) geom.Piece {
	p := g.shape(h.seg())
	if h.isBack() {
		return p.Reverse()
	}
	return p
}

// nodesOf returns the nodes at both ends of a seg.
func (g *edges) nodesOf(s segID) [2]nodeID { return [2]nodeID{g.segs[s].n0, g.segs[s].n1} }

// nodeOf returns the node from which a half-edge runs.
func (g *edges) nodeOf(h halfID) nodeID {
	if h.isBack() {
		return g.segs[h.seg()].n1
	}
	return g.segs[h.seg()].n0
}

// end names the stroke end from which a half-edge runs.
func (g *edges) end(h halfID) End {
	s := &g.segs[h.seg()]
	if s.piece < 0 {
		return End{Stroke: -1}
	}
	return End{Stroke: g.strokeOf(h.seg()), AtB: h.isBack()}
}

// endPoint returns the place from which a half-edge runs.
func (g *edges) endPoint(h halfID) geom.Point {
	p := g.shape(h.seg())
	if h.isBack() {
		return p.B
	}
	return p.A
}

// strokeOf returns the stroke of a seg that is no bridge.
func (g *edges) strokeOf(s segID) int32 { return int32(g.act[g.segs[s].piece]) }

// curve names the curve, drawn by one entity end to end, to which a seg belongs.
func (g *edges) curve(s segID) strokeID { return g.curves()[g.act[g.segs[s].piece]] }

// add appends a piece to a path.
func (p *Path) add(q geom.Piece, src int32, f Flag) {
	p.Pieces, p.Src, p.Flags = append(p.Pieces, q), append(p.Src, src), append(p.Flags, f)
}

// appendHalf adds a half-edge to a path.
func (g *edges) appendHalf(p *Path, h halfID) { g.appendSeg(p, g.segs[h.seg()], h.isBack()) }

func (g *edges) appendSeg(p *Path, s seg, back bool) {
	shape := g.shapeOf(&s)
	if back {
		shape = shape.Reverse()
	}
	switch {
	case s.piece < 0:
		p.add(shape, -1, IsBridge)
	case g.tab[s.piece]:
		p.add(shape, int32(g.act[s.piece]), IsTab)
	default:
		p.add(shape, int32(g.act[s.piece]), 0)
	}
}

// halfsAt lists the half-edges of segs by the node from which they run.
func (g *edges) halfsAt(segs []segID) map[nodeID][]halfID {
	at := make(map[nodeID][]halfID, 2*len(segs))
	for _, s := range segs {
		for _, h := range s.halfs() {
			at[g.nodeOf(h)] = append(at[g.nodeOf(h)], h)
		}
	}
	return at
}

// runs parts segs, ascending, into sets that hang together by their nodes.
func (g *edges) runs(segs []segID) [][]segID {
	first := map[nodeID]int32{}
	sets := index.NewSets[int32](len(segs))
	for k, s := range segs {
		for _, n := range g.nodesOf(s) {
			if j, ok := first[n]; ok {
				sets.Union(j, int32(k))
			} else {
				first[n] = int32(k)
			}
		}
	}
	var out [][]segID
	for _, group := range sets.Groups() {
		run := make([]segID, len(group))
		for i, k := range group {
			run[i] = segs[k]
		}
		out = append(out, run)
	}
	return out
}

// trails lays segs out in paths of half-edges, each seg once, that part where
// more than two of the segs meet, so that every path runs on from piece to piece.
func (g *edges) trails(segs []segID) [][]halfID {
	at := g.halfsAt(segs)
	used := make(map[segID]bool, len(segs))
	walk := func(h halfID) (out []halfID) {
		for !used[h.seg()] {
			used[h.seg()] = true
			out = append(out, h)
			hs := at[g.nodeOf(h.twin())]
			if len(hs) != 2 {
				break
			}
			h = hs[0] + hs[1] - h.twin()
		}
		return out
	}
	var out [][]halfID
	for _, s := range segs { // from ends and forks first; what is left then is rings
		for _, h := range s.halfs() {
			if !used[s] && len(at[g.nodeOf(h)]) != 2 {
				out = append(out, walk(h))
			}
		}
	}
	for _, s := range segs {
		if !used[s] {
			out = append(out, walk(s.ahead()))
		}
	}
	return out
}

// dangles reports which edges of a graph lie on no ring of it, edges between
// rings left aside: taking away, again and again, what ends at a vertex by itself
// leaves the others. deg is what is left at each of the n vertices.
func dangles[V ~int32](n int, edges [][2]V) (gone []bool, deg []int32) {
	deg = make([]int32, n)
	for _, e := range edges {
		deg[e[0]]++
		deg[e[1]]++
	}
	// first: where the edges of each vertex begin in at.
	first := make([]int32, n+1)
	for v, d := range deg {
		first[v+1] = first[v] + d
	}
	at, fill := make([]int32, first[n]), slices.Clone(first)
	for k, e := range edges {
		for _, v := range e {
			at[fill[v]] = int32(k)
			fill[v]++
		}
	}
	gone = make([]bool, len(edges))
	for v := range deg {
		for leaf := V(v); deg[leaf] == 1; {
			for _, k := range at[first[leaf]:first[leaf+1]] {
				if !gone[k] {
					gone[k] = true
					deg[leaf]--
					leaf = edges[k][0] + edges[k][1] - leaf
					deg[leaf]--
					break
				}
			}
		}
	}
	return gone, deg
}

// planar finds the faces of segs that hang together and cross nowhere, as a
// doubly connected edge list does by its next pointers: the cycles of half-edges
// around them, each face on the left of its cycle.
func (g *edges) planar(segs []segID) *planar {
	f := &planar{segs: segs, even: true, faceOf: make(map[halfID]faceID, 2*len(segs))}
	at := g.halfsAt(segs)
	next := make(map[halfID]halfID, 2*len(segs)) // by half-edge that arrives: the one that leaves clockwise of it
	for _, hs := range at {
		g.sortAround(hs)
		f.even = f.even && len(hs)%2 == 0
		for k, h := range hs {
			next[h.twin()] = hs[(k+len(hs)-1)%len(hs)]
		}
	}
	for _, s := range segs {
		for _, h0 := range s.halfs() {
			if _, ok := f.faceOf[h0]; ok {
				continue
			}
			var cycle []halfID
			for h := h0; len(cycle) == 0 || h != h0; h = next[h] {
				f.faceOf[h] = faceID(len(f.faces))
				cycle = append(cycle, h)
			}
			f.faces = append(f.faces, cycle)
			f.areas = append(f.areas, g.signedArea(cycle))
		}
	}
	for i, a := range f.areas {
		if a < f.areas[f.outer] {
			f.outer = faceID(i)
		}
	}
	return f
}

// planar is a set of segs with the faces between them.
type planar struct {
	segs   []segID
	faceOf map[halfID]faceID // the face on its left
	faces  [][]halfID
	areas  []float64 // signed: that of the far outside is below 0
	outer  faceID    // the far outside
	even   bool      // every node has an even number of ends
}

// sides returns the faces on the left and on the right of a seg.
func (f *planar) sides(s segID) (left, right faceID) { return f.faceOf[s.ahead()], f.faceOf[s.back()] }

// outside reports whether a seg borders on the far outside.
func (f *planar) outside(s segID) bool {
	l, r := f.sides(s)
	return f.areas[l] <= 0 || f.areas[r] <= 0
}

// sortAround puts half-edges at a node in counter-clockwise order of their
// direction, those that leave in the same direction by how far they curve left.
func (g *edges) sortAround(hs []halfID) {
	type ray struct {
		h        halfID
		dir, cur float64
	}
	rays := make([]ray, len(hs))
	for k, h := range hs {
		p := g.along(h)
		rays[k] = ray{h, p.TangentAt(0).Angle(), p.Curvature()}
		if rays[k].dir > math.Pi-1e-9 {
			rays[k].dir -= 2 * math.Pi // one name for due west
		}
	}
	slices.SortFunc(rays, func(x, y ray) int {
		if math.Abs(x.dir-y.dir) > 1e-7 {
			return cmp.Compare(x.dir, y.dir)
		}
		return cmp.Or(cmp.Compare(x.cur, y.cur), cmp.Compare(x.dir, y.dir), cmp.Compare(x.h, y.h))
	})
	for k := range rays {
		hs[k] = rays[k].h
	}
}

// simple splits a face's cycle, which may pass a node more than once, into
// cycles that do not. What only runs along a seg and back is left out.
func (g *edges) simple(cycle []halfID) (out [][]halfID) {
	keep := func(loop []halfID) {
		if len(loop) != 2 || loop[0].seg() != loop[1].seg() {
			out = append(out, loop)
		}
	}
	var stack []halfID
	pos := map[nodeID]int{} // where in the stack the half-edge that leaves a node stands
	for _, h := range cycle {
		n := g.nodeOf(h)
		if k, ok := pos[n]; ok {
			loop := slices.Clone(stack[k:])
			for _, x := range loop {
				delete(pos, g.nodeOf(x))
			}
			stack = stack[:k]
			keep(loop)
		}
		pos[n] = len(stack)
		stack = append(stack, h)
	}
	keep(stack)
	return out
}

// signedArea returns the area to the left of a closed run of half-edges, mm2.
func (g *edges) signedArea(loop []halfID) (a float64) {
	o := g.endPoint(loop[0])
	for _, h := range loop {
		p := g.along(h)
		a += p.Area2(o)
	}
	return a / 2
}
