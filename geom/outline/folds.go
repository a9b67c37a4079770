package outline

import (
	"sluice/geom"
)

// netMarks returns those of some segs, which hang together, that are marks drawn
// from edge to edge; none where it cannot be told from common edges of parts. f
// is their faces, nil where they cross each other.
func (t *tracing) netMarks(segs []segID, f *planar) []segID {
	if marks := t.otherKinds(segs, f); len(marks) > 0 || f == nil {
		return marks
	}
	return t.folds(f)
}

// kind is what a person draws unlike things with.
type kind struct {
	layer int32
	color int16
}

// kindOf returns the kind of a seg. Colours tell nothing where layers are taken
// together.
func (t *tracing) kindOf(s segID) kind {
	st := &t.strokes[t.strokeOf(s)]
	k := kind{layer: t.o.Layer(st)}
	if t.o.Colors {
		k.color = st.Color
	}
	return k
}

// otherKinds finds bend lines and the like by their layer or colour. Where some
// kinds close by themselves within the net and others do not, what hangs free
// within those others is a mark on the outlines of the first, if it lies within
// them. The rings that such a kind has are outlines like any others. Tabs and
// bridges go with all kinds.
func (t *tracing) otherKinds(segs []segID, f *planar) []segID {
	common := func(s segID) bool { return t.segs[s].piece < 0 || t.tab[t.segs[s].piece] }
	ends := map[kind]map[nodeID]int{} // node -> ends there
	for _, s := range segs {
		if !common(s) && ends[t.kindOf(s)] == nil {
			ends[t.kindOf(s)] = map[nodeID]int{}
		}
	}
	if len(ends) < 2 {
		return nil
	}
	for _, s := range segs {
		for k, at := range ends {
			if common(s) || t.kindOf(s) == k {
				at[t.segs[s].n0]++
				at[t.segs[s].n1]++
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
	// Each kind by itself: what others have at a node does not hold it.
	type place struct {
		kind kind
		node nodeID
	}
	vertex := map[place]int32{}
	var own []segID
	var edges [][2]int32
	for _, s := range segs {
		if common(s) || !open[t.kindOf(s)] {
			continue
		}
		var e [2]int32
		for k, n := range t.nodesOf(s) {
			p := place{t.kindOf(s), n}
			if _, ok := vertex[p]; !ok {
				vertex[p] = int32(len(vertex))
			}
			e[k] = vertex[p]
		}
		own, edges = append(own, s), append(edges, e)
	}
	gone, _ := dangles(len(vertex), edges)
	var marks []segID
	for k, s := range own {
		if gone[k] {
			marks = append(marks, s)
		}
	}
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
func (t *tracing) folds(f *planar) []segID {
	closed := t.closedCurves(f)
	base := map[segID]bool{} // segs that bound the net, or are part of something closed
	for _, s := range f.segs {
		base[s] = f.outside(s) || t.segs[s].piece >= 0 && closed[t.curve(s)]
	}
	var list []fold
	in := map[segID]int{} // seg -> fold
	for _, s := range f.segs {
		for _, h := range s.halfs() {
			if _, ok := in[s]; ok || base[s] || t.deg[t.nodeOf(h)] == 2 {
				continue
			}
			c := t.walk(t.nodeOf(h), h)
			for _, k := range c.halfs {
				in[k.seg()] = len(list)
			}
			list = append(list, fold{c.halfs, t.isFold(c.halfs, f, base, closed)})
		}
	}
	t.dropBounding(f, list, in)
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
func (t *tracing) dropBounding(f *planar, list []fold, in map[segID]int) {
	for changed := true; changed; {
		changed = false
		bounds := map[strokeID]bool{}
		for _, s := range f.segs {
			if k, ok := in[s]; t.segs[s].piece >= 0 && (!ok || !list[k].good) {
				bounds[t.curve(s)] = true
			}
		}
		for k := range list {
			for _, h := range list[k].halfs {
				if list[k].good && t.segs[h.seg()].piece >= 0 && bounds[t.curve(h.seg())] {
					list[k].good, changed = false, true
				}
			}
		}
	}
}

// closedCurves returns the curves of a net that close by themselves.
func (t *tracing) closedCurves(f *planar) map[strokeID]bool {
	type at struct {
		curve strokeID
		node  nodeID
	}
	odd := map[at]bool{}
	for _, s := range f.segs {
		if t.segs[s].piece < 0 {
			continue
		}
		for _, n := range t.nodesOf(s) {
			k := at{t.curve(s), n}
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
func (t *tracing) isFold(halfs []halfID, f *planar, base map[segID]bool, closed map[strokeID]bool) bool {
	last := halfs[len(halfs)-1].twin()
	x := t.footing(t.nodeOf(halfs[0]), base, closed)
	y := t.footing(t.nodeOf(last), base, closed)
	switch {
	case !t.straight(halfs):
		return false
	case x.inside && y.inside && t.chamfers(halfs, f):
		return false
	case x.curve >= 0 && x.curve == y.curve:
		return true
	}
	return !x.broken && !y.broken && (x.inside || y.inside)
}

// footing looks at the two segs of base that meet at a node.
func (t *tracing) footing(n nodeID, base map[segID]bool, closed map[strokeID]bool) footing {
	var on []halfID
	for _, h := range t.around(n) {
		if base[h.seg()] {
			on = append(on, h)
		}
	}
	if len(on) != 2 {
		return footing{broken: true, curve: -1}
	}
	g, h := on[0].seg(), on[1].seg()
	if t.segs[g].piece < 0 || t.segs[h].piece < 0 {
		return footing{broken: true, curve: -1}
	}
	ft := footing{inside: t.segs[g].piece == t.segs[h].piece, curve: -1}
	if c := t.curve(g); c == t.curve(h) && closed[c] {
		ft.curve = c
	}
	p, q := t.along(on[0]), t.along(on[1])
	ft.broken = !ft.inside && p.TangentAt(0).Dot(q.TangentAt(0)) < -inLine
	return ft
}

// inLine is the cosine of the angle, 2.5 degrees, within which two pieces count
// as running on straight: drawings are rounded to a few digits.
const inLine = 0.999

// straight reports whether a chain lies within same of one line and goes along
// it one way.
func (t *tracing) straight(halfs []halfID) bool {
	from, to := t.endPoint(halfs[0]), t.endPoint(halfs[len(halfs)-1].twin())
	whole := geom.Line(from, to)
	dir := to.Sub(from)
	for _, h := range halfs {
		p := t.along(h)
		if !p.IsLine() || whole.Dist(p.A) > t.o.Same || whole.Dist(p.B) > t.o.Same || p.B.Sub(p.A).Dot(dir) < 0 {
			return false
		}
	}
	return true
}

// chamfers reports whether a chain cuts a triangle off.
func (t *tracing) chamfers(halfs []halfID, f *planar) bool {
	in := map[segID]bool{}
	for _, h := range halfs {
		in[h.seg()] = true
	}
	for _, face := range [2]faceID{f.faceOf[halfs[0]], f.faceOf[halfs[0].twin()]} {
		runs := 0
		var before geom.Point
		arc := false
		for _, h := range f.faces[face] {
			p := t.along(h)
			if arc = arc || !p.IsLine(); arc {
				break
			}
			if d := p.TangentAt(0); d.Dot(before) < inLine {
				runs, before = runs+1, d
			}
		}
		// The cycle may begin within a run, which is then counted twice.
		if c := f.faces[face]; len(c) > 0 && runs > 1 {
			first, last := t.along(c[0]), t.along(c[len(c)-1])
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

// takeMarks takes segs out of the net and tells them as open paths. At nodes
// where several meet, those that run on straight are one path.
func (t *tracing) takeMarks(marks []segID) {
	for _, s := range marks {
		t.take(s)
	}
	at := t.halfsAt(marks)
	onward := func(h halfID) halfID {
		hs := at[t.nodeOf(h)]
		if len(hs) == 2 && hs[0].seg() != hs[1].seg() && t.deg[t.nodeOf(h)] == 0 {
			return hs[0] + hs[1] - h
		}
		p := t.along(h)
		best, next := -inLine, halfID(-1)
		for _, k := range hs {
			q := t.along(k)
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
		o := Open{Tail: true, Across: true}
		var halfs []halfID
		for k := h; k >= 0 && !done[k.seg()]; {
			done[k.seg()] = true
			halfs = append(halfs, k)
			// With what runs past an outline: of a mark nothing is cut back.
			whole := t.segs[k.seg()]
			if x, ok := t.out.bridged.untrimmed[k.seg()]; ok {
				whole.t0, whole.t1 = x[0], x[1]
			}
			t.appendSeg(&o.Path, whole, k.isBack())
			next := onward(k.twin())
			if next >= 0 && onward(next) != k.twin() {
				break
			}
			k = next
		}
		t.tellOpen(halfs, o)
	}
}
