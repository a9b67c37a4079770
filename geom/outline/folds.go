package outline

import "sluice/geom"

// netMarks returns the segs of a net that are marks drawn from edge to edge,
// none where it cannot be told from common edges of parts.
func (b *builder) netMarks(f *faces) []int32 {
	if marks := b.otherKinds(f); len(marks) > 0 {
		return marks
	}
	return b.folds(f)
}

// kind is what a person draws unlike things with.
type kind struct {
	layer int32
	color int16
}

// otherKinds finds bend lines and the like by their layer or colour. Where what
// is drawn in some ways closes by itself within the net and the rest does not,
// the rest are marks, if they lie within what closes. Tabs and bridges go with
// all.
func (b *builder) otherKinds(f *faces) []int32 {
	of := func(s int32) kind {
		st := &b.strokes[b.act[b.segs[s].piece]]
		return kind{st.Layer, st.Color}
	}
	common := func(s int32) bool { return b.segs[s].piece < 0 || b.tab[b.segs[s].piece] }
	ends := map[kind]map[int32]int{} // node -> ends there
	for _, s := range f.segs {
		if !common(s) && ends[of(s)] == nil {
			ends[of(s)] = map[int32]int{}
		}
	}
	if len(ends) < 2 {
		return nil
	}
	for _, s := range f.segs {
		for k, at := range ends {
			if common(s) || of(s) == k {
				at[b.segs[s].n0]++
				at[b.segs[s].n1]++
			}
		}
	}
	open := map[kind]bool{}
	for k, at := range ends {
		for _, n := range at {
			open[k] = open[k] || n == 1
		}
	}
	if len(open) == 0 {
		return nil
	}
	closed := false
	for k := range ends {
		closed = closed || !open[k]
	}
	if !closed {
		return nil
	}
	var marks []int32
	for _, s := range f.segs {
		if !common(s) && open[of(s)] {
			if f.outside(s) {
				return nil
			}
			marks = append(marks, s)
		}
	}
	return marks
}

// fold is a chain of segs within a net.
type fold struct {
	halfs []int32
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
func (b *builder) folds(f *faces) []int32 {
	closed := b.closedCurves(f)
	base := map[int32]bool{} // segs that bound the net, or are part of something closed
	for _, s := range f.segs {
		base[s] = f.outside(s) || b.segs[s].piece >= 0 && closed[b.curve(s)]
	}
	var list []fold
	in := map[int32]int{} // seg -> fold
	for _, n := range f.nodes {
		if b.deg[n] == 2 {
			continue
		}
		for _, h := range b.liveHalfs(n) {
			if _, ok := in[h/2]; ok || base[h/2] {
				continue
			}
			c := b.walk(n, h)
			for _, k := range c.halfs {
				in[k/2] = len(list)
			}
			list = append(list, fold{c.halfs, b.isFold(c.halfs, f, base, closed)})
		}
	}
	b.dropBounding(f, list, in)
	var marks []int32
	for k := range list {
		if list[k].good {
			for _, h := range list[k].halfs {
				marks = append(marks, h/2)
			}
		}
	}
	return marks
}

// dropBounding takes back folds whose curve is more than folds: what bounds
// something elsewhere is no mark.
func (b *builder) dropBounding(f *faces, list []fold, in map[int32]int) {
	for changed := true; changed; {
		changed = false
		bounds := map[int32]bool{}
		for _, s := range f.segs {
			if k, ok := in[s]; b.segs[s].piece >= 0 && (!ok || !list[k].good) {
				bounds[b.curve(s)] = true
			}
		}
		for k := range list {
			for _, h := range list[k].halfs {
				if list[k].good && b.segs[h/2].piece >= 0 && bounds[b.curve(h/2)] {
					list[k].good, changed = false, true
				}
			}
		}
	}
}

// curves tells the strokes that one entity draws end to end.
type curves struct {
	first  []int32        // by stroke: the first of its curve
	closed map[int32]bool // by first stroke: the curve ends where it begins
}

// curves are found once they are asked for.
func (b *builder) curves() *curves {
	if b.curveOf != nil {
		return b.curveOf
	}
	c := &curves{make([]int32, len(b.strokes)), map[int32]bool{}}
	for i := range b.strokes {
		s := &b.strokes[i]
		c.first[i] = int32(i)
		if i > 0 && s.Entity >= 0 && s.Entity == b.strokes[i-1].Entity && s.A.Dist(b.strokes[i-1].B) <= b.o.Join {
			c.first[i] = c.first[i-1]
		}
		first := c.first[i]
		c.closed[first] = s.IsCircle() || int32(i)-first > 1 && s.B.Dist(b.strokes[first].A) <= b.o.Join
	}
	b.curveOf = c
	return c
}

// curve names the curve to which a seg belongs.
func (b *builder) curve(s int32) int32 { return b.curves().first[b.act[b.segs[s].piece]] }

// drawnClosed reports whether some of a path was drawn as a piece of a closed
// curve: what is closed is no mark, even where other outlines leave only some of
// it.
func (b *builder) drawnClosed(p *Path) bool {
	c := b.curves()
	for _, s := range p.Src {
		if s >= 0 && c.closed[c.first[s]] {
			return true
		}
	}
	return false
}

// closedCurves returns the curves of a net that close by themselves.
func (b *builder) closedCurves(f *faces) map[int32]bool {
	type at struct{ curve, node int32 }
	odd := map[at]bool{}
	for _, s := range f.segs {
		if b.segs[s].piece < 0 {
			continue
		}
		for _, n := range [2]int32{b.segs[s].n0, b.segs[s].n1} {
			k := at{b.curve(s), n}
			odd[k] = !odd[k]
		}
	}
	closed := map[int32]bool{}
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
	inside bool  // on the inside of a piece
	broken bool  // the outline is parted there for no other reason, or is none
	curve  int32 // the closed curve it stands on, -1 if none
}

// isFold reports whether a chain runs straight from edge to edge and stands
// there as a mark does.
func (b *builder) isFold(halfs []int32, f *faces, base, closed map[int32]bool) bool {
	last := halfs[len(halfs)-1] ^ 1
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
func (b *builder) footing(n int32, base, closed map[int32]bool) footing {
	var on []int32
	for _, h := range b.liveHalfs(n) {
		if base[h/2] {
			on = append(on, h)
		}
	}
	if len(on) != 2 {
		return footing{broken: true, curve: -1}
	}
	g, h := on[0]/2, on[1]/2
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
func (b *builder) straight(halfs []int32) bool {
	from, to := b.endPoint(halfs[0]), b.endPoint(halfs[len(halfs)-1]^1)
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
func (b *builder) chamfers(halfs []int32, f *faces) bool {
	in := map[int32]bool{}
	for _, h := range halfs {
		in[h/2] = true
	}
	for _, face := range [2]int32{f.of[halfs[0]], f.of[halfs[0]^1]} {
		runs := 0
		var before geom.Point
		arc := false
		for _, h := range f.cycles[face] {
			p := b.along(h)
			if arc = arc || !p.IsLine(); arc {
				break
			}
			if d := p.TangentAt(0); d.Dot(before) < inLine {
				runs, before = runs+1, d
			}
		}
		// The cycle may begin within a run, which is then counted twice.
		if c := f.cycles[face]; len(c) > 0 && runs > 1 {
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

// takeMarks takes segs out of the net and tells them as open paths. At nodes
// where several meet, those that run on straight are one path.
func (b *builder) takeMarks(marks []int32) {
	at := map[int32][]int32{} // node -> halves that start there
	for _, s := range marks {
		b.gone[s] = true
		b.deg[b.segs[s].n0]--
		b.deg[b.segs[s].n1]--
		at[b.segs[s].n0] = append(at[b.segs[s].n0], 2*s)
		at[b.segs[s].n1] = append(at[b.segs[s].n1], 2*s+1)
	}
	onward := func(h int32) int32 {
		hs := at[b.nodeOf(h)]
		if len(hs) == 2 && hs[0]/2 != hs[1]/2 && b.deg[b.nodeOf(h)] == 0 {
			return hs[0] + hs[1] - h
		}
		p := b.along(h)
		best, next := -inLine, int32(-1)
		for _, k := range hs {
			q := b.along(k)
			if d := q.TangentAt(0).Dot(p.TangentAt(0)); k != h && d < best {
				best, next = d, k
			}
		}
		return next
	}
	done := map[int32]bool{}
	for _, s := range marks {
		if done[s] {
			continue
		}
		h := 2 * s
		for k := onward(h); k >= 0 && k/2 != s && onward(k) == h; k = onward(h) {
			h = k ^ 1
		}
		c := chain{}
		for k := h; k >= 0 && !done[k/2]; {
			done[k/2] = true
			c.halfs = append(c.halfs, k)
			p := b.along(k)
			c.length += p.Length()
			next := onward(k ^ 1)
			if next >= 0 && onward(next) != k^1 {
				break
			}
			k = next
		}
		o := b.openPath(c)
		o.Tail = true
		b.sheet.Open = append(b.sheet.Open, o)
	}
}
