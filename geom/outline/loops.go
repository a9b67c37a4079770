package outline

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// makeOutlines turns what is left (every node has two ends or more) into closed
// outlines: plain rings as they are, rings that meet at junctions by faces.
func (b *builder) makeOutlines() {
	seen := make([]bool, len(b.segs))
	// Junction nets first, so that what remains is plain rings.
	for n, d := range b.deg {
		if d > 2 {
			if h := b.onward(nodeID(n), -1); h >= 0 && !seen[h.seg()] {
				b.net(nodeID(n), seen)
			}
		}
	}
	for k := range seen {
		if !seen[k] && !b.gone[k] {
			b.ring(segID(k).ahead(), seen)
		}
	}
}

// ring follows a plain ring from half-segment h.
func (b *builder) ring(h halfID, seen []bool) {
	n := 0
	for k := h; !seen[k.seg()]; n++ {
		seen[k.seg()] = true
		k = b.onward(b.nodeOf(k.twin()), k.twin())
		if k < 0 {
			break
		}
	}
	b.walked = b.walked[:0]
	for k := h; len(b.walked) < n; k = b.onward(b.nodeOf(k.twin()), k.twin()) {
		b.walked = append(b.walked, k)
	}
	b.addLoop(b.walked)
}

// addLoop records a closed outline, or an open path where it encloses nothing.
func (b *builder) addLoop(halfs []halfID) int32 {
	o := Outline{Path: b.room(len(halfs)), Parent: -1, Part: -1, Closed: true}
	for _, h := range halfs {
		b.appendHalf(&o.Path, h)
	}
	area, moment := o.Pieces.Moments()
	o.Length = o.Pieces.Length()
	o.Box = o.Pieces.Box()
	if math.Abs(area) <= b.o.Join*o.Length/2 {
		b.flat = append(b.flat, int32(len(b.sheet.Open)))
		b.sheet.Open = append(b.sheet.Open, Open{Path: o.Path, Part: -1, Length: o.Length, Box: o.Box})
		return -1
	}
	o.Centroid = moment.Mul(1 / area)
	if area < 0 {
		o.reverse()
	}
	o.Area = math.Abs(area)
	inTab := false
	for k, f := range o.Flags {
		if f&IsBridge != 0 {
			o.Closed = false
		}
		if f&IsTab != 0 && !inTab {
			o.Tabs++
		}
		inTab = f&IsTab != 0
		if k == len(o.Flags)-1 && inTab && o.Flags[0]&IsTab != 0 && o.Tabs > 1 {
			o.Tabs-- // the run over the start was counted twice
		}
	}
	id := int32(len(b.sheet.Outlines))
	for _, h := range halfs {
		if k := b.segs[h.seg()].piece; k < 0 {
			b.bridgeOut[int32(^k)] = id
		}
	}
	b.sheet.Outlines = append(b.sheet.Outlines, o)
	return id
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
func (b *builder) room(n int) Path {
	if n > len(b.block.Pieces) {
		size := max(n, min(len(b.segs), 1<<14))
		b.block = Path{Pieces: make(geom.Path, size), Src: make([]int32, size), Flags: make([]Flag, size)}
	}
	p := Path{Pieces: b.block.Pieces[:0:n], Src: b.block.Src[:0:n], Flags: b.block.Flags[:0:n]}
	b.block = Path{Pieces: b.block.Pieces[n:], Src: b.block.Src[n:], Flags: b.block.Flags[n:]}
	return p
}

// net resolves one connected set of segs with junctions.
//
// Marks drawn from edge to edge are taken out first (folds.go). Where every node
// has an even number of ends the faces can be told apart like a chessboard, which
// gives touching outlines, inside or outside each other, their material.
// Otherwise every bounded face is an outline: neighbours drawn with a common
// edge.
func (b *builder) net(start nodeID, seen []bool) { b.resolve(b.component(start, seen)) }

// resolve deals with segs that hang together.
func (b *builder) resolve(segs []segID) {
	marks := b.netMarks(segs)
	if len(marks) == 0 {
		b.faces(segs)
		return
	}
	b.takeMarks(marks)
	rest := slices.DeleteFunc(slices.Clone(segs), func(s segID) bool { return b.gone[s] })
	// What is left without the marks may no longer hang together.
	for _, run := range b.runs(rest) {
		b.resolve(run)
	}
}

// faces makes outlines of the faces of segs that hang together.
func (b *builder) faces(segs []segID) {
	if cuts := b.crossedWithin(segs); len(cuts) > 0 {
		b.tangle(segs, cuts)
		return
	}
	faceOf, faces, areas, even := b.planar(segs)
	material := b.colour(segs, faceOf, areas, even)
	loopOf := make([]int32, len(faces))
	used := map[segID]bool{}
	for f, cyc := range faces {
		loopOf[f] = -1
		if !material[f] {
			continue
		}
		for _, loop := range b.simple(cyc) {
			if !even && b.signedArea(loop) <= 0 {
				continue // the far side of an outline told by its own face
			}
			id := b.addLoop(loop)
			for _, h := range loop {
				used[h.seg()] = true
			}
			if id >= 0 && (loopOf[f] < 0 || b.sheet.Outlines[id].Area > b.sheet.Outlines[loopOf[f]].Area) {
				loopOf[f] = id
			}
		}
	}
	b.leftovers(segs, used)
	if !even {
		b.noteShared(segs, faceOf, loopOf)
	}
}

// planar finds the faces of segs that hang together: the cycles of half-segments
// around them, each face on the left of its cycle, with their signed areas (that
// of the face outside is negative). even tells that every node has an even number
// of ends.
func (b *builder) planar(segs []segID) (faceOf map[halfID]faceID, faces [][]halfID, areas []float64, even bool) {
	// Rotation at each node: half-segments counter-clockwise.
	rot := map[nodeID][]halfID{}
	for _, s := range segs {
		rot[b.segs[s].n0] = append(rot[b.segs[s].n0], s.ahead())
		rot[b.segs[s].n1] = append(rot[b.segs[s].n1], s.back())
	}
	at := make(map[halfID]int, 2*len(segs)) // half -> its place in the rotation of its node
	even = true
	for _, hs := range rot {
		b.sortAround(hs)
		even = even && len(hs)%2 == 0
		for k, h := range hs {
			at[h] = k
		}
	}
	// Run along a half, arrive at its far end, turn to the clockwise neighbour.
	faceOf = make(map[halfID]faceID, 2*len(segs))
	for _, s := range segs {
		for _, h0 := range s.halfs() {
			if _, ok := faceOf[h0]; ok {
				continue
			}
			var cyc []halfID
			var area float64
			o := b.endPoint(h0)
			for h := h0; ; {
				faceOf[h] = faceID(len(faces))
				cyc = append(cyc, h)
				p := b.shape(&b.segs[h.seg()])
				if h.isBack() {
					p = p.Reverse()
				}
				area += p.Area2(o) / 2
				hs := rot[b.nodeOf(h.twin())]
				h = hs[(at[h.twin()]+len(hs)-1)%len(hs)]
				if h == h0 {
					break
				}
			}
			faces = append(faces, cyc)
			areas = append(areas, area)
		}
	}
	return faceOf, faces, areas, even
}

// component gathers the segs connected with a node, ascending.
func (b *builder) component(start nodeID, seen []bool) (segs []segID) {
	inN := map[nodeID]bool{start: true}
	queue := []nodeID{start}
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		for _, h := range b.liveHalfs(n) {
			if !seen[h.seg()] {
				seen[h.seg()] = true
				segs = append(segs, h.seg())
			}
			if m := b.nodeOf(h.twin()); !inN[m] {
				inN[m] = true
				queue = append(queue, m)
			}
		}
	}
	slices.Sort(segs)
	return segs
}

func (b *builder) liveHalfs(n nodeID) []halfID {
	var hs []halfID
	for _, h := range b.halfs[b.first[n]:b.first[n+1]] {
		if !b.gone[h.seg()] {
			hs = append(hs, h)
		}
	}
	return hs
}

// sortAround puts half-segments at a node in counter-clockwise order of their
// direction, those that leave in the same direction by how far they curve left.
func (b *builder) sortAround(hs []halfID) {
	type ray struct {
		h        halfID
		dir, cur float64
	}
	rays := make([]ray, len(hs))
	for k, h := range hs {
		p := b.shape(&b.segs[h.seg()])
		if h.isBack() {
			p = p.Reverse()
		}
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

// colour says which faces are material.
func (b *builder) colour(segs []segID, faceOf map[halfID]faceID, areas []float64, even bool) []bool {
	mat := make([]bool, len(areas))
	outer := 0
	for f, a := range areas {
		mat[f] = a > 0
		if a < areas[outer] {
			outer = f
		}
	}
	if !even {
		return mat
	}
	// Chessboard from the outer face inwards.
	adj := make([][]faceID, len(areas))
	for _, s := range segs {
		f, g := faceOf[s.ahead()], faceOf[s.back()]
		adj[f] = append(adj[f], g)
		adj[g] = append(adj[g], f)
	}
	depth := make([]int32, len(areas))
	for f := range depth {
		depth[f] = -1
	}
	depth[outer] = 0
	queue := []faceID{faceID(outer)}
	for len(queue) > 0 {
		f := queue[0]
		queue = queue[1:]
		for _, g := range adj[f] {
			if depth[g] < 0 {
				depth[g] = depth[f] + 1
				queue = append(queue, g)
			}
		}
	}
	for f := range mat {
		mat[f] = depth[f]%2 == 1
	}
	return mat
}

// simple splits a face's cycle, which may pass a node more than once, into
// cycles that do not.
func (b *builder) simple(cyc []halfID) [][]halfID {
	var out [][]halfID
	var stack []halfID
	pos := map[nodeID]int{} // node -> where in the stack the half that leaves it stands
	for _, h := range cyc {
		n := b.nodeOf(h)
		if k, ok := pos[n]; ok {
			loop := slices.Clone(stack[k:])
			for _, g := range loop {
				delete(pos, b.nodeOf(g))
			}
			stack = stack[:k]
			out = b.keepLoop(out, loop)
		}
		pos[n] = len(stack)
		stack = append(stack, h)
	}
	return b.keepLoop(out, stack)
}

// keepLoop leaves out a cycle that only runs along a seg and back.
func (b *builder) keepLoop(out [][]halfID, loop []halfID) [][]halfID {
	if len(loop) == 2 && loop[0].seg() == loop[1].seg() {
		return out
	}
	return append(out, loop)
}

func (b *builder) signedArea(loop []halfID) float64 {
	var a float64
	o := b.endPoint(loop[0])
	for _, h := range loop {
		p := b.shape(&b.segs[h.seg()])
		if h.isBack() {
			p = p.Reverse()
		}
		a += p.Area2(o)
	}
	return a / 2
}

// leftovers turns segs of a net that bound no outline into open paths.
func (b *builder) leftovers(segs []segID, used map[segID]bool) {
	var left []segID
	for _, s := range segs {
		if !used[s] {
			left = append(left, s)
		}
	}
	b.hangOn(left)
}

// hangOn records segs as open paths that hang on outlines.
func (b *builder) hangOn(segs []segID) {
	for _, halfs := range b.trails(segs) {
		c := chain{halfs: halfs}
		for _, h := range halfs {
			p := b.shape(&b.segs[h.seg()])
			c.length += p.Length()
		}
		o := b.openPath(c)
		o.Tail, o.Across = true, true
		b.sheet.Open = append(b.sheet.Open, o)
	}
}

// markTwins flags edges common to two outlines of which one is a hole's: waste
// lies on a side of them, so nothing is asked, and they are to be drawn once. pos
// gives the final place of each outline.
func (b *builder) markTwins(pos []int32) {
	outs := b.sheet.Outlines
	for _, s := range b.shared {
		i, j := pos[s.a], pos[s.b]
		if i < 0 || j < 0 || !b.o.Once && !outs[i].Hole() && !outs[j].Hole() {
			continue // one of them is set aside, or they are told as a shared edge
		}
		src, p := b.act[b.segs[s.seg].piece], b.shape(&b.segs[s.seg])
		// A face may lie on a seg that does not bound its outline.
		if k := outs[max(i, j)].find(int32(src), p); k >= 0 && outs[min(i, j)].find(int32(src), p) >= 0 {
			outs[max(i, j)].Flags[k] |= IsTwin
		}
	}
}

// find returns which piece of the path is p of stroke src, run either way, or -1.
func (o *Path) find(src int32, p geom.Piece) int {
	for k := range o.Pieces {
		q := &o.Pieces[k]
		if o.Src[k] == src && (q.A == p.A && q.B == p.B || q.A == p.B && q.B == p.A) {
			return k
		}
	}
	return -1
}

// sharedSeg is a seg with an outline on either side.
type sharedSeg struct {
	seg  segID
	a, b int32
}

// noteShared remembers the segs that bound two outlines.
func (b *builder) noteShared(segs []segID, faceOf map[halfID]faceID, loopOf []int32) {
	for _, s := range segs {
		f, g := loopOf[faceOf[s.ahead()]], loopOf[faceOf[s.back()]]
		if f >= 0 && g >= 0 && f != g && b.segs[s].piece >= 0 {
			b.shared = append(b.shared, sharedSeg{s, f, g})
		}
	}
}
