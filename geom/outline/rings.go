package outline

import (
	"math"
	"slices"
	"sync"

	"sluice/geom"
)

// rings is the fifth stage: what the edges close to when all that hangs free is
// taken away, and where it crosses.
type rings struct {
	*noding
	edges
	bridged   *bridged
	outlines  []Outline
	open      []Open          // what does not close
	openOf    map[segID]int32 // by seg: in open
	flat      map[int32]bool  // those of open that close but enclose nothing
	tangles   []Path
	shared    []sharedSeg
	bridgeOut map[int32]int32 // by bridge: the outline that it closes
	crossings []Crossing
	crossOut  map[[2]int32]bool // pairs of outlines that cross each other
}

// tracing is the work on rings until all are traced.
type tracing struct {
	*graph
	out   *rings
	block Path // room for outlines to come

	traced int // segs of outlines so far

	crossed func() map[pieceID][]crossing
}

// rings links the edges again with the bridges in place, takes out what hangs
// free, and turns what is left (every node has two ends or more) into outlines:
// plain rings as they are, rings that meet at junctions by faces.
func (g *bridged) rings() *rings {
	out := &rings{
		noding: g.noding, edges: g.edges, bridged: g,
		openOf: map[segID]int32{}, flat: map[int32]bool{}, bridgeOut: map[int32]int32{},
	}
	t := tracing{graph: link(g.noding, g.edges, g.gone, g.nodes), out: out}
	t.crossed = sync.OnceValue(t.crossingsOf)
	t.prune()
	seen := make([]bool, len(t.segs))
	// Junction nets first, so that what remains is plain rings.
	for n, d := range t.deg {
		if d > 2 {
			if h := t.onward(nodeID(n), -1); h >= 0 && !seen[h.seg()] {
				t.resolve(t.component(nodeID(n), seen))
			}
		}
	}
	var halfs []halfID
	for k := range segID(len(seen)) {
		if seen[k] || t.gone[k] {
			continue
		}
		halfs = halfs[:0]
		for h := k.ahead(); h >= 0 && !seen[h.seg()]; h = t.onward(t.nodeOf(h.twin()), h.twin()) {
			seen[h.seg()] = true
			halfs = append(halfs, h)
		}
		t.addLoop(halfs)
	}
	t.tellCrossings()
	out.pairCrossings()
	return out
}

// prune takes out dangles: what hangs free, until every node left has at least
// two ends.
func (t *tracing) prune() {
	leaves := t.leaves()
	for k := 0; k < len(leaves); k++ {
		if t.deg[leaves[k]] != 1 {
			continue
		}
		c := t.walk(leaves[k], t.onward(leaves[k], -1))
		for _, h := range c.halfs {
			t.take(h.seg())
		}
		t.addOpen(c.halfs, Open{Tail: !c.free})
		if t.deg[c.to] == 1 {
			leaves = append(leaves, c.to)
		}
	}
}

// addOpen tells half-edges as an open path.
func (t *tracing) addOpen(halfs []halfID, o Open) {
	for _, h := range halfs {
		t.appendHalf(&o.Path, h)
	}
	t.tellOpen(halfs, o)
}

func (t *tracing) tellOpen(halfs []halfID, o Open) {
	o.Part, o.Length, o.Box = -1, o.Pieces.Length(), o.Pieces.Box()
	for _, h := range halfs {
		t.out.openOf[h.seg()] = int32(len(t.out.open))
	}
	t.out.open = append(t.out.open, o)
}

// addLoop tells a closed run of half-edges as an outline and returns its number,
// or as an open path, and returns -1, where it encloses nothing.
func (t *tracing) addLoop(halfs []halfID) int32 {
	o := Outline{Path: t.room(len(halfs)), Parent: -1, Part: -1, Closed: true}
	for _, h := range halfs {
		t.appendHalf(&o.Path, h)
	}
	area, moment := o.Pieces.Moments()
	o.Length = o.Pieces.Length()
	o.Box = o.Pieces.Box()
	if math.Abs(area) <= t.o.Join*o.Length/2 {
		t.out.flat[int32(len(t.out.open))] = true
		t.out.open = append(t.out.open, Open{Path: o.Path, Part: -1, Length: o.Length, Box: o.Box})
		return -1
	}
	o.Centroid = moment.Mul(1 / area)
	if area < 0 {
		o.reverse()
	}
	o.Area = math.Abs(area)
	id := int32(len(t.out.outlines))
	before := o.Flags[len(o.Flags)-1]
	for _, f := range o.Flags {
		if f&IsTab != 0 && before&IsTab == 0 {
			o.Tabs++
		}
		before = f
	}
	if o.Tabs == 0 && before&IsTab != 0 {
		o.Tabs = 1 // nothing but tab
	}
	for _, h := range halfs {
		if k := t.segs[h.seg()].piece; k < 0 {
			o.Closed = false
			t.out.bridgeOut[int32(^k)] = id
		}
	}
	if t.traced += len(halfs); len(t.out.outlines) == cap(t.out.outlines) {
		t.out.outlines = slices.Grow(t.out.outlines, t.moreOutlines())
	}
	t.out.outlines = append(t.out.outlines, o)
	return id
}

// moreOutlines returns how many more outlines to make room for: they are large, and often
// many. It is as many as there are, until enough is traced to tell how many there will be.
func (t *tracing) moreOutlines() int {
	n := len(t.out.outlines)
	if t.traced < len(t.segs)/8 {
		return n + 16
	}
	left := float64(max(0, len(t.segs)-t.traced)) / float64(t.traced)
	return int(float64(n)*left*1.05) + n/16 + 16
}

// reverse turns a path round in place.
func (p *Path) reverse() {
	slices.Reverse(p.Pieces)
	for i := range p.Pieces {
		p.Pieces[i] = p.Pieces[i].Reverse()
	}
	slices.Reverse(p.Src)
	slices.Reverse(p.Flags)
}

// room returns an empty path with room for n pieces, cut from one block that
// all outlines share.
func (t *tracing) room(n int) Path {
	b := &t.block
	if n > len(b.Pieces) {
		size := max(n, min(len(t.segs), 1<<14))
		*b = Path{Pieces: make(geom.Path, size), Src: make([]int32, size), Flags: make([]Flag, size)}
	}
	p := Path{Pieces: b.Pieces[:0:n], Src: b.Src[:0:n], Flags: b.Flags[:0:n]}
	*b = Path{Pieces: b.Pieces[n:], Src: b.Src[n:], Flags: b.Flags[n:]}
	return p
}

// resolve deals with a net: segs that hang together, with junctions.
//
// Marks drawn from edge to edge are taken out first (folds.go). Where every node
// has an even number of ends the faces can be told apart like a chessboard, which
// gives touching outlines, inside or outside each other, their material.
// Otherwise every bounded face is an outline: neighbours drawn with a common
// edge.
func (t *tracing) resolve(segs []segID) {
	cuts := t.crossedWithin(segs)
	var f *planar
	if len(cuts) == 0 {
		f = t.planar(segs)
	}
	marks := t.netMarks(segs, f)
	switch {
	case len(marks) > 0:
		t.takeMarks(marks)
		rest := slices.DeleteFunc(slices.Clone(segs), func(s segID) bool { return t.gone[s] })
		// What is left without the marks may no longer hang together.
		for _, run := range t.runs(rest) {
			t.resolve(run)
		}
	case f == nil:
		t.tangle(segs, cuts)
	default:
		t.faces(f)
	}
}

// faces makes outlines of the faces of a net.
func (t *tracing) faces(f *planar) {
	material := f.colour()
	loopOf := make([]int32, len(f.faces))
	used := map[segID]bool{}
	for i, cycle := range f.faces {
		loopOf[i] = -1
		if !material[i] {
			continue
		}
		for _, loop := range t.simple(cycle) {
			if !f.even && t.signedArea(loop) <= 0 {
				continue // the far side of an outline told by its own face
			}
			id := t.addLoop(loop)
			for _, h := range loop {
				used[h.seg()] = true
			}
			if id >= 0 && (loopOf[i] < 0 || t.out.outlines[id].Area > t.out.outlines[loopOf[i]].Area) {
				loopOf[i] = id
			}
		}
	}
	// What bounds no outline hangs on outlines.
	left := slices.DeleteFunc(slices.Clone(f.segs), func(s segID) bool { return used[s] })
	for _, halfs := range t.trails(left) {
		t.addOpen(halfs, Open{Tail: true, Across: true})
	}
	if f.even {
		return
	}
	for _, s := range f.segs {
		l, r := f.sides(s)
		if a, b := loopOf[l], loopOf[r]; a >= 0 && b >= 0 && a != b && t.segs[s].piece >= 0 {
			t.out.shared = append(t.out.shared, sharedSeg{s, a, b})
		}
	}
}

// sharedSeg is a seg with an outline on either side.
type sharedSeg struct {
	seg  segID
	a, b int32
}

// colour says which faces are material.
func (f *planar) colour() []bool {
	mat := make([]bool, len(f.areas))
	if !f.even {
		for i, a := range f.areas {
			mat[i] = a > 0
		}
		return mat
	}
	// Chessboard from the outer face inwards.
	adj := make([][]faceID, len(f.areas))
	for _, s := range f.segs {
		l, r := f.sides(s)
		adj[l] = append(adj[l], r)
		adj[r] = append(adj[r], l)
	}
	seen := make([]bool, len(f.areas))
	seen[f.outer] = true
	queue := []faceID{f.outer}
	for k := 0; k < len(queue); k++ {
		for _, g := range adj[queue[k]] {
			if !seen[g] {
				seen[g], mat[g] = true, !mat[queue[k]]
				queue = append(queue, g)
			}
		}
	}
	return mat
}
