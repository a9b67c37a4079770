package outline

import (
	"slices"

	"sluice/geom"
)

// netMarks returns those of some segs, which hang together, that are marks drawn
// from edge to edge; none where it cannot be told from common edges of parts.
func (b *builder) netMarks(segs []segID) []segID {
	var f *net
	if len(b.crossedWithin(segs)) == 0 {
		f = b.netOf(segs)
	}
	if marks := b.otherKinds(segs, f); len(marks) > 0 || f == nil {
		return marks
	}
	return b.folds(f)
}

// net is segs that hang together and cross each other nowhere, with their faces.
type net struct {
	segs   []segID
	faceOf map[halfID]faceID // by half-segment: the face on its left
	faces  [][]halfID
	areas  []float64 // that of the far outside is below 0
}

func (b *builder) netOf(segs []segID) *net {
	f := &net{segs: segs}
	f.faceOf, f.faces, f.areas, _ = b.planar(segs)
	return f
}

// outside reports whether a seg borders on the far outside.
func (f *net) outside(s segID) bool {
	return f.areas[f.faceOf[s.ahead()]] <= 0 || f.areas[f.faceOf[s.back()]] <= 0
}

// along returns the geometry of a half-segment, run from its own end.
func (b *builder) along(h halfID) geom.Piece {
	p := b.shape(&b.segs[h.seg()])
	if h.isBack() {
		p = p.Reverse()
	}
	return p
}

// kind is what a person draws unlike things with.
type kind struct {
	layer int32
	color int16
}

// kindOf returns the kind of a seg. Colours tell nothing where layers are taken
// together.
func (b *builder) kindOf(s segID) kind {
	st := &b.strokes[b.act[b.segs[s].piece]]
	k := kind{layer: b.o.Layer(st)}
	if b.o.Colors {
		k.color = st.Color
	}
	return k
}

// otherKinds finds bend lines and the like by their layer or colour. Where some
// kinds close by themselves within the net and others do not, what hangs free
// within those others is a mark on the outlines of the first, if it lies within
// them. The rings that such a kind has are outlines like any others. Tabs and
// bridges go with all kinds.
func (b *builder) otherKinds(segs []segID, f *net) []segID {
	common := func(s segID) bool { return b.segs[s].piece < 0 || b.tab[b.segs[s].piece] }
	ends := map[kind]map[nodeID]int{} // node -> ends there
	for _, s := range segs {
		if !common(s) && ends[b.kindOf(s)] == nil {
			ends[b.kindOf(s)] = map[nodeID]int{}
		}
	}
	if len(ends) < 2 {
		return nil
	}
	for _, s := range segs {
		for k, at := range ends {
			if common(s) || b.kindOf(s) == k {
				at[b.segs[s].n0]++
				at[b.segs[s].n1]++
			}
		}
	}
	open := map[kind]bool{}
	for k, at := range ends {
		for _, n := range at {
			if n == 1 {
				open[k] = true
			}
		}
	}
	if len(open) == 0 || len(open) == len(ends) {
		return nil
	}
	group := map[kind]int32{}
	marks := b.danglesWithin(segs, func(s segID) int32 {
		if common(s) || !open[b.kindOf(s)] {
			return -1
		}
		k := b.kindOf(s)
		if _, ok := group[k]; !ok {
			group[k] = int32(len(group))
		}
		return group[k]
	})
	for _, s := range marks {
		if f != nil && f.outside(s) {
			return nil
		}
	}
	return marks
}

// fold is a chain of segs within a net.
type fold struct {
	halfs []halfID
	good  bool // it is a mark from edge to edge
}

// folds finds bend lines among chains drawn like the outline itself: straight
// from edge to edge, met by nothing on the way, of curves that bound nothing.
// Lines that part a sheet into neighbours look much the same; a chain is a fold
// only where
//
//   - both its ends lie on one closed curve, which was therefore drawn as the
//     whole outline, or
//   - an end meets the inside of a piece, so that the outline was drawn past it,
//     and the other does so too or meets a corner. An outline that is parted just
//     where the chain ends was drawn for two parts.
//
// A chain that cuts off a corner between two insides may be a chamfer and stays
// in doubt.
func (b *builder) folds(f *net) []segID {
	closed := b.closedCurves(f)
	base := map[segID]bool{} // segs that bound the net, or are part of something closed
	for _, s := range f.segs {
		base[s] = f.outside(s) || b.segs[s].piece >= 0 && closed[b.curve(s)]
	}
	var list []fold
	in := map[segID]int{} // seg -> fold
	for _, s := range f.segs {
		for _, h := range s.halfs() {
			if _, ok := in[s]; ok || base[s] || b.deg[b.nodeOf(h)] == 2 {
				continue
			}
			c := b.walk(b.nodeOf(h), h)
			for _, k := range c.halfs {
				in[k.seg()] = len(list)
			}
			list = append(list, fold{c.halfs, b.isFold(c.halfs, f, base, closed)})
		}
	}
	b.dropBounding(f, list, in)
	var marks []segID
	for k := range list {
		if list[k].good {
			for _, h := range list[k].halfs {
				marks = append(marks, h.seg())
			}
		}
	}
	return marks
}

// dropBounding takes back folds whose curve is more than folds: what bounds
// something elsewhere is no mark.
func (b *builder) dropBounding(f *net, list []fold, in map[segID]int) {
	for changed := true; changed; {
		changed = false
		bounds := map[strokeID]bool{}
		for _, s := range f.segs {
			if k, ok := in[s]; b.segs[s].piece >= 0 && (!ok || !list[k].good) {
				bounds[b.curve(s)] = true
			}
		}
		for k := range list {
			for _, h := range list[k].halfs {
				if list[k].good && b.segs[h.seg()].piece >= 0 && bounds[b.curve(h.seg())] {
					list[k].good, changed = false, true
				}
			}
		}
	}
}

// curve names the run of strokes to which a seg belongs that one entity draws
// end to end: by its first stroke.
func (b *builder) curve(s segID) strokeID {
	if b.curveOf == nil {
		b.curveOf = make([]strokeID, len(b.strokes))
		for i := range b.strokes {
			b.curveOf[i] = strokeID(i)
			if i > 0 && b.strokes[i].Entity >= 0 && b.strokes[i].Entity == b.strokes[i-1].Entity && b.strokes[i].A.Dist(b.strokes[i-1].B) <= b.o.Join {
				b.curveOf[i] = b.curveOf[i-1]
			}
		}
	}
	return b.curveOf[b.act[b.segs[s].piece]]
}

// drawnClosed reports whether some of a path was drawn as a piece of a closed
// curve: what is closed is no mark, even where other outlines leave only some of
// it.
func (b *builder) drawnClosed(p *Path) bool {
	return slices.ContainsFunc(p.Src, func(s int32) bool { return s >= 0 && b.strokes[s].Ring })
}

// closedCurves returns the curves of a net that close by themselves.
func (b *builder) closedCurves(f *net) map[strokeID]bool {
	type at struct {
		curve strokeID
		node  nodeID
	}
	odd := map[at]bool{}
	for _, s := range f.segs {
		if b.segs[s].piece < 0 {
			continue
		}
		for _, n := range [2]nodeID{b.segs[s].n0, b.segs[s].n1} {
			k := at{b.curve(s), n}
			odd[k] = !odd[k]
		}
	}
	closed := map[strokeID]bool{}
	for k := range odd {
		closed[k.curve] = true
	}
	for k, o := range odd {
		if o {
			closed[k.curve] = false
		}
	}
	return closed
}

// footing is how an end of a chain stands on what bounds the net.
type footing struct {
	inside bool     // on the inside of a piece
	broken bool     // the outline is parted there for no other reason, or is none
	curve  strokeID // the closed curve it stands on, -1 if none
}

// isFold reports whether a chain runs straight from edge to edge and stands
// there as a mark does.
func (b *builder) isFold(halfs []halfID, f *net, base map[segID]bool, closed map[strokeID]bool) bool {
	last := halfs[len(halfs)-1].twin()
	x := b.footing(b.nodeOf(halfs[0]), base, closed)
	y := b.footing(b.nodeOf(last), base, closed)
	switch {
	case !b.straight(halfs):
		return false
	case x.inside && y.inside && b.chamfers(halfs, f):
		return false
	case x.curve >= 0 && x.curve == y.curve:
		return true
	}
	return !x.broken && !y.broken && (x.inside || y.inside)
}

// footing looks at the two segs of base that meet at a node.
func (b *builder) footing(n nodeID, base map[segID]bool, closed map[strokeID]bool) footing {
	var on []halfID
	for _, h := range b.liveHalfs(n) {
		if base[h.seg()] {
			on = append(on, h)
		}
	}
	if len(on) != 2 {
		return footing{broken: true, curve: -1}
	}
	g, h := on[0].seg(), on[1].seg()
	if b.segs[g].piece < 0 || b.segs[h].piece < 0 {
		return footing{broken: true, curve: -1}
	}
	ft := footing{inside: b.segs[g].piece == b.segs[h].piece, curve: -1}
	if c := b.curve(g); c == b.curve(h) && closed[c] {
		ft.curve = c
	}
	p, q := b.along(on[0]), b.along(on[1])
	ft.broken = !ft.inside && p.TangentAt(0).Dot(q.TangentAt(0)) < -inLine
	return ft
}

// inLine is the cosine of the angle, 2.5 degrees, within which two pieces count
// as running on straight: drawings are rounded to a few digits.
const inLine = 0.999

// straight reports whether a chain lies within same of one line and goes along
// it one way.
func (b *builder) straight(halfs []halfID) bool {
	from, to := b.endPoint(halfs[0]), b.endPoint(halfs[len(halfs)-1].twin())
	whole := geom.Line(from, to)
	dir := to.Sub(from)
	for _, h := range halfs {
		p := b.along(h)
		if !p.IsLine() || whole.Dist(p.A) > b.o.Same || whole.Dist(p.B) > b.o.Same || p.B.Sub(p.A).Dot(dir) < 0 {
			return false
		}
	}
	return true
}

// chamfers reports whether a chain cuts a triangle off.
func (b *builder) chamfers(halfs []halfID, f *net) bool {
	in := map[segID]bool{}
	for _, h := range halfs {
		in[h.seg()] = true
	}
	for _, face := range [2]faceID{f.faceOf[halfs[0]], f.faceOf[halfs[0].twin()]} {
		runs := 0
		var before geom.Point
		arc := false
		for _, h := range f.faces[face] {
			p := b.along(h)
			if arc = arc || !p.IsLine(); arc {
				break
			}
			if d := p.TangentAt(0); d.Dot(before) < inLine {
				runs, before = runs+1, d
			}
		}
		// The cycle may begin within a run, which is then counted twice.
		if c := f.faces[face]; len(c) > 0 && runs > 1 {
			first, last := b.along(c[0]), b.along(c[len(c)-1])
			if first.TangentAt(0).Dot(last.TangentAt(1)) >= inLine {
				runs--
			}
		}
		if !arc && runs == 3 {
			return true
		}
	}
	return false
}

// wholeMark turns a chain into an open path, with what runs past an outline: of a
// mark nothing is cut back.
func (b *builder) wholeMark(c chain) Open {
	for _, h := range c.halfs {
		s := &b.segs[h.seg()]
		if t, ok := b.untrimmed[h.seg()]; ok {
			defer func(was seg) { *s = was }(*s) // the builder may come by again
			s.t0, s.t1 = t[0], t[1]
		}
	}
	o := b.openPath(c)
	o.Length = o.Pieces.Length()
	return o
}

// takeMarks takes segs out of the net and tells them as open paths. At nodes
// where several meet, those that run on straight are one path.
func (b *builder) takeMarks(marks []segID) {
	at := map[nodeID][]halfID{} // node -> halves that start there
	for _, s := range marks {
		b.gone[s] = true
		b.deg[b.segs[s].n0]--
		b.deg[b.segs[s].n1]--
		at[b.segs[s].n0] = append(at[b.segs[s].n0], s.ahead())
		at[b.segs[s].n1] = append(at[b.segs[s].n1], s.back())
	}
	onward := func(h halfID) halfID {
		hs := at[b.nodeOf(h)]
		if len(hs) == 2 && hs[0].seg() != hs[1].seg() && b.deg[b.nodeOf(h)] == 0 {
			return hs[0] + hs[1] - h
		}
		p := b.along(h)
		best, next := -inLine, halfID(-1)
		for _, k := range hs {
			q := b.along(k)
			if d := q.TangentAt(0).Dot(p.TangentAt(0)); k != h && d < best {
				best, next = d, k
			}
		}
		return next
	}
	done := map[segID]bool{}
	for _, s := range marks {
		if done[s] {
			continue
		}
		h := s.ahead()
		for k := onward(h); k >= 0 && k.seg() != s && onward(k) == h; k = onward(h) {
			h = k.twin()
		}
		c := chain{}
		for k := h; k >= 0 && !done[k.seg()]; {
			done[k.seg()] = true
			c.halfs = append(c.halfs, k)
			p := b.along(k)
			c.length += p.Length()
			next := onward(k.twin())
			if next >= 0 && onward(next) != k.twin() {
				break
			}
			k = next
		}
		o := b.wholeMark(c)
		o.Tail, o.Across = true, true
		b.sheet.Open = append(b.sheet.Open, o)
	}
}
