package outline

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// settleOpen finds where open paths lie, tells loose marks from broken
// outlines, and gathers the paths to etch.
func (b *builder) settleOpen() {
	s := b.sheet
	ringish := make([]bool, len(s.Open))
	for seg, o := range b.openOf {
		if b.ringish[seg] {
			ringish[o] = true
		}
	}
	for _, o := range b.flat {
		ringish[o] = true
	}
	leaves, holed := b.crossedBy()
	for k := range s.Open {
		o := &s.Open[k]
		around := b.locate.around(o.Pieces[0].At(inPiece))
		if holed[int32(k)] {
			around = b.outer(around) // it runs through a hole
		}
		o.Part = around // an outline until order() turns it into a part
		o.Inside = !leaves[int32(k)] && around >= 0 && !s.Outlines[around].Hole()
		// One across that lies in nothing runs along its outline: by rounding alone.
		o.Loose = (o.Inside || o.Across && around < 0) && !ringish[k] && !b.drawnClosed(&o.Path)
	}
	framed := b.takeFrameMarks()
	b.dropMarkCrossings()
	b.keepOverruns()
	b.doubtWithin()
	s.Gaps = b.keepGaps(framed)
	b.dropFrameCrossings()
	s.Open = dropAt(s.Open, framed)
	for _, i := range b.etch {
		p := b.strokes[i].Piece
		if p.Length() <= b.o.Join {
			continue
		}
		if n := len(s.Etch); n > 0 {
			// Strokes that follow on from each other, as letters do, make one path.
			last := &s.Etch[n-1]
			if q := last.Pieces[len(last.Pieces)-1]; q.B.Dist(p.A) <= b.o.Join && b.strokes[last.Src[0]].Layer == b.strokes[i].Layer && !q.IsCircle() {
				last.Pieces, last.Src, last.Flags = append(last.Pieces, p), append(last.Src, int32(i)), append(last.Flags, 0)
				last.Length += p.Length()
				last.Box = last.Box.Union(p.Box())
				continue
			}
		}
		s.Etch = append(s.Etch, Open{
			Path: Path{Pieces: geom.Path{p}, Src: []int32{int32(i)}, Flags: []Flag{0}},
			Box:  p.Box(), Length: p.Length(), Part: b.locate.around(p.At(inPiece)),
		})
	}
	for k := range s.Etch {
		s.Etch[k].Inside = s.Etch[k].Part >= 0
	}
}

// keepGaps drops the gaps of loose marks and names the outline that each bridge
// closes.
func (b *builder) keepGaps(framed map[int32]bool) []Gap {
	loose := func(seg segID) bool {
		o, ok := b.openOf[seg]
		return ok && (b.sheet.Open[o].Loose || framed[o])
	}
	var kept []Gap
	bridge := int32(0)
	for k, g := range b.sheet.Gaps {
		if g.Bridged {
			if o, ok := b.bridgeOut[bridge]; ok {
				g.Outline = o
			}
			bridge++
		} else if n, ok := b.shellOf[b.gapSegs[k][0]]; ok {
			if o, ok := b.bridgeOut[n]; ok {
				g.Outline = o
			}
		}
		if g.Outline >= 0 && b.isOut(g.Outline) {
			continue // of a border: nothing is cut there
		}
		sa, sb := b.gapSegs[k][0], b.gapSegs[k][1]
		if g.Partner && !g.Bridged && !g.Inside {
			la, lb := loose(sa), loose(sb)
			if la && !lb {
				g.A, g.EndA = g.B, g.EndB
				sa = sb
			}
			if la != lb {
				g = Gap{At: g.A, A: g.A, B: g.A, EndA: g.EndA, EndB: End{Stroke: -1}, Outline: -1, Within: g.Within}
			}
		}
		if loose(sa) {
			continue
		}
		kept = append(kept, g)
	}
	return kept
}

// tellCrossings groups crossings by place and leaves out those that a gap
// explains (an end that overshoots) or that lie on removed repeats.
func (b *builder) tellCrossings() {
	type at struct {
		p       geom.Point
		strokes []int32
	}
	spots := index.NewPoints[nodeID](b.o.Same, len(b.met.crosses))
	byID := map[nodeID]*at{}
	var ids []nodeID
	bridged := newSpots(4 * b.o.Gap)
	for _, g := range b.sheet.Gaps {
		if g.Bridged || g.Inside {
			bridged.add(g.At)
		}
	}
	note := func(p geom.Point, i, j pieceID) {
		if bridged.within(p, 2*b.o.Gap) {
			return
		}
		id := spots.Place(p)
		a := byID[id]
		if a == nil {
			a = &at{p: p}
			byID[id] = a
			ids = append(ids, id)
		}
		a.strokes = append(a.strokes, int32(b.act[i]), int32(b.act[j]))
	}
	for _, c := range b.met.crosses {
		if b.lies(c.i, c.p) && b.lies(c.j, c.p) {
			note(c.p, c.i, c.j)
		}
	}
	for _, c := range b.met.contacts {
		if p, other, ok := b.crossesAtCorner(c); ok {
			note(p, other, c.on)
		}
	}
	for _, id := range ids {
		a := byID[id]
		slices.Sort(a.strokes)
		b.sheet.Crossings = append(b.sheet.Crossings, Crossing{At: a.p, Strokes: slices.Compact(a.strokes)})
	}
	b.pairCrossing()
	slices.SortFunc(b.sheet.Crossings, func(x, y Crossing) int {
		return cmp.Or(cmp.Compare(y.At.Y, x.At.Y), cmp.Compare(x.At.X, y.At.X))
	})
}

// pairCrossing notes which outlines cross each other.
func (b *builder) pairCrossing() {
	b.crossOut = map[[2]int32]bool{}
	if len(b.sheet.Crossings) == 0 {
		return
	}
	in := map[int32][]int32{} // stroke -> outlines that it bounds
	for _, c := range b.sheet.Crossings {
		for _, s := range c.Strokes {
			in[s] = nil
		}
	}
	for i := range b.sheet.Outlines {
		for _, s := range b.sheet.Outlines[i].Src {
			if list, ok := in[s]; ok && (len(list) == 0 || list[len(list)-1] != int32(i)) {
				in[s] = append(list, int32(i))
			}
		}
	}
	for _, c := range b.sheet.Crossings {
		if len(c.Strokes) > 16 {
			continue // a star, no nest
		}
		for _, s := range c.Strokes {
			for _, t := range c.Strokes {
				for _, i := range in[s] {
					for _, j := range in[t] {
						if i < j {
							b.crossOut[[2]int32{i, j}] = true
						}
					}
				}
			}
		}
	}
}

// lies reports whether piece i still stands at p.
func (b *builder) lies(i pieceID, p geom.Point) bool {
	runs := b.lost[i]
	if len(runs) == 0 {
		return true
	}
	_, t := b.piece(i).Nearest(p)
	for _, r := range runs {
		if r.t0 <= t && t <= r.t1 {
			return false
		}
	}
	return true
}

// crossesAtCorner reports whether the two pieces that meet at a corner lie on
// opposite sides of the piece that the corner touches.
func (b *builder) crossesAtCorner(c contact) (geom.Point, pieceID, bool) {
	n := b.nodes.Find(b.ends[c.end])
	hs := b.liveHalfs(n)
	if len(hs) != 2 {
		return geom.Point{}, 0, false
	}
	on := b.piece(c.on)
	p := b.nodes.At[n]
	side := func(h halfID) float64 {
		s := b.shape(&b.segs[h.seg()])
		if h.isBack() {
			s = s.Reverse()
		}
		l := s.Length()
		q := s.At(min(0.5, max(0.05, 20*b.o.Join/l)))
		if on.R == 0 {
			return on.B.Sub(on.A).Unit().Cross(q.Sub(on.A))
		}
		return on.R - q.Dist(on.C)
	}
	x, y := side(hs[0]), side(hs[1])
	if x*y < 0 && min(math.Abs(x), math.Abs(y)) > b.o.Join {
		return p, c.end.piece(), true
	}
	return p, 0, false
}

// tellOverlaps lists the repeats, apart from one copy of each shared edge.
func (b *builder) tellOverlaps() {
	b.tellShared()
	common := map[int32]int{} // stroke of a shared edge -> its Shared
	for k := range b.sheet.Shared {
		for _, s := range b.sheet.Shared[k].Strokes {
			common[s] = k
		}
	}
	second := make([]float64, len(b.sheet.Shared)) // length of the second drawing of each, as far as met
	add := func(o Overlap) {
		if k, ok := common[o.Twin]; ok && o.Piece.Length() > 0 {
			sh := &b.sheet.Shared[k]
			along := false
			for _, p := range sh.Pieces {
				along = along || p.Dist(o.Piece.Mid()) <= b.o.Same || o.Piece.Dist(p.Mid()) <= b.o.Same
			}
			if l := o.Piece.Length(); along && second[k]+l <= sh.Length+b.o.Same {
				second[k] += l
				sh.Extra = append(sh.Extra, o.Stroke)
				return
			}
		}
		b.sheet.Overlaps = append(b.sheet.Overlaps, o)
	}
	for i, j := range b.repeatOf {
		if j >= 0 {
			p, q := b.piece(pieceID(i)), b.piece(j)
			add(Overlap{Stroke: int32(b.act[i]), Twin: int32(b.act[j]), T1: 1, Piece: *p, Whole: true, Apart: q.Dist(p.Mid())})
		}
	}
	for _, i := range b.losers() {
		for _, r := range b.merged(i) {
			o := Overlap{Stroke: int32(b.act[i]), Twin: int32(b.act[r.twin]), T0: r.t0, T1: r.t1, Whole: r.t0 == 0 && r.t1 == 1, Apart: r.apart}
			o.Piece = b.piece(i).Sub(r.t0, r.t1)
			add(o)
		}
	}
	slices.SortFunc(b.sheet.Overlaps, func(x, y Overlap) int {
		return cmp.Or(cmp.Compare(x.Stroke, y.Stroke), cmp.Compare(x.T0, y.T0))
	})
}

// tellShared joins shared segs that run on from each other into edges. Edges
// between holes are no matter: nothing but waste lies on both sides.
func (b *builder) tellShared() {
	type key struct{ a, b int32 }
	groups := map[key][]segID{}
	var keys []key
	for _, s := range b.shared {
		k := key{min(s.a, s.b), max(s.a, s.b)}
		if b.sheet.Outlines[k.a].Hole() || b.sheet.Outlines[k.b].Hole() {
			continue
		}
		if groups[k] == nil {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], s.seg)
	}
	for _, k := range keys {
		for _, run := range b.runs(groups[k]) {
			sh := Shared{PartA: k.a, PartB: k.b}
			for _, h := range b.inRow(run) {
				p := b.shape(&b.segs[h.seg()])
				if h.isBack() {
					p = p.Reverse()
				}
				sh.Pieces = append(sh.Pieces, p)
				sh.Strokes = append(sh.Strokes, int32(b.act[b.segs[h.seg()].piece]))
				sh.Length += p.Length()
			}
			sh.At, _ = sh.Pieces.Along(sh.Length / 2)
			b.sheet.Shared = append(b.sheet.Shared, sh)
		}
	}
}

// inRow puts the segs of a run one after the other, as half-segments, from one
// of its ends to the other.
func (b *builder) inRow(run []segID) []halfID {
	at := map[nodeID][]halfID{} // node -> halves that start there
	for _, s := range run {
		at[b.segs[s].n0] = append(at[b.segs[s].n0], s.ahead())
		at[b.segs[s].n1] = append(at[b.segs[s].n1], s.back())
	}
	h := run[0].ahead()
	for _, s := range run {
		if len(at[b.segs[s].n0]) == 1 {
			h = s.ahead()
			break
		}
		if len(at[b.segs[s].n1]) == 1 {
			h = s.back()
			break
		}
	}
	var out []halfID
	used := map[segID]bool{}
	for h >= 0 && !used[h.seg()] {
		used[h.seg()] = true
		out = append(out, h)
		next := halfID(-1)
		for _, k := range at[b.nodeOf(h.twin())] {
			if !used[k.seg()] {
				next = k
				break
			}
		}
		h = next
	}
	for _, s := range run { // a run that forks keeps the rest at its end
		if !used[s] {
			out = append(out, s.ahead())
		}
	}
	return out
}

// runs parts segs into sets that hang together by their nodes.
func (b *builder) runs(segs []segID) [][]segID {
	at := map[nodeID][]segID{}
	for _, s := range segs {
		at[b.segs[s].n0] = append(at[b.segs[s].n0], s)
		at[b.segs[s].n1] = append(at[b.segs[s].n1], s)
	}
	seen := map[segID]bool{}
	var out [][]segID
	for _, s := range segs {
		if seen[s] {
			continue
		}
		seen[s] = true
		queue := []segID{s}
		for k := 0; k < len(queue); k++ {
			for _, n := range [2]nodeID{b.segs[queue[k]].n0, b.segs[queue[k]].n1} {
				for _, t := range at[n] {
					if !seen[t] {
						seen[t] = true
						queue = append(queue, t)
					}
				}
			}
		}
		slices.Sort(queue)
		out = append(out, queue)
	}
	return out
}
