package outline

import (
	"cmp"
	"maps"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// star is the number of strokes crossing at one place above which they are not
// told apart any more: comparing each with each would take too long.
const star = 16

// tellCrossings groups crossings by place and leaves out those that a gap
// explains (an end that overshoots) or that lie on removed repeats.
func (t *tracing) tellCrossings() {
	spots := index.NewPoints[int32](t.o.Same, len(t.crosses))
	var list []Crossing // by spot
	bridged := newSpots(4 * t.o.Gap)
	for _, g := range t.out.bridged.gaps {
		if g.Bridged || g.Inside {
			bridged.add(g.At)
		}
	}
	note := func(p geom.Point, i, j pieceID) {
		if bridged.within(p, 2*t.o.Gap) {
			return
		}
		k := spots.Place(p)
		if int(k) == len(list) {
			list = append(list, Crossing{At: p})
		}
		list[k].Strokes = append(list[k].Strokes, int32(t.act[i]), int32(t.act[j]))
	}
	for _, c := range t.crosses {
		if t.lies(c.i, c.p) && t.lies(c.j, c.p) {
			note(c.p, c.i, c.j)
		}
	}
	for _, c := range t.contacts {
		if p, other, ok := t.crossesAtCorner(c); ok {
			note(p, other, c.on)
		}
	}
	for k := range list {
		slices.Sort(list[k].Strokes)
		list[k].Strokes = slices.Compact(list[k].Strokes)
	}
	slices.SortFunc(list, func(x, y Crossing) int {
		return cmp.Or(cmp.Compare(y.At.Y, x.At.Y), cmp.Compare(x.At.X, y.At.X))
	})
	t.out.crossings = list
}

// pairCrossings notes which outlines cross each other.
func (r *rings) pairCrossings() {
	r.crossOut = map[[2]int32]bool{}
	in := map[int32][]int32{} // stroke -> outlines that it bounds
	for _, c := range r.crossings {
		for _, s := range c.Strokes {
			in[s] = nil
		}
	}
	if len(in) == 0 {
		return
	}
	for i := range r.outlines {
		for _, s := range r.outlines[i].Src {
			if list, ok := in[s]; ok && (len(list) == 0 || list[len(list)-1] != int32(i)) {
				in[s] = append(list, int32(i))
			}
		}
	}
	for _, c := range r.crossings {
		if len(c.Strokes) > star {
			continue
		}
		var all []int32
		for _, s := range c.Strokes {
			all = append(all, in[s]...)
		}
		slices.Sort(all)
		all = slices.Compact(all)
		for k, i := range all {
			for _, j := range all[k+1:] {
				r.crossOut[[2]int32{i, j}] = true
			}
		}
	}
}

// crossing is a place at which a piece crosses another.
type crossing struct {
	other pieceID // the other piece
	t, u  float64
	node  nodeID // the corner that crosses, -1 where the insides of both cross
}

// crossingsOf lists, by piece, where other pieces cross its inside, and where
// corners of others run across it.
func (g *graph) crossingsOf() map[pieceID][]crossing {
	of := map[pieceID][]crossing{}
	for _, c := range g.crosses {
		if !g.lies(c.i, c.p) || !g.lies(c.j, c.p) {
			continue
		}
		_, t := g.piece(c.i).Nearest(c.p)
		_, u := g.piece(c.j).Nearest(c.p)
		of[c.i] = append(of[c.i], crossing{other: c.j, t: t, u: u, node: -1})
	}
	for _, c := range g.contacts {
		if _, other, ok := g.crossesAtCorner(c); ok {
			of[c.on] = append(of[c.on], crossing{other: other, t: c.t, node: c.node})
		}
	}
	return of
}

// crossedWithin returns the cuts that would give segs, which hang together, a
// node wherever they cross each other; none where they are planar as they are.
// Nodes that there are not yet are numbered on from those that there are.
func (t *tracing) crossedWithin(segs []segID) []cut {
	all := t.crossed()
	if len(all) == 0 {
		return nil
	}
	of := map[pieceID][]segID{} // its segs here
	nodes := map[nodeID]bool{}
	for _, s := range segs {
		if i := t.segs[s].piece; i >= 0 {
			of[i] = append(of[i], s)
		}
		nodes[t.segs[s].n0], nodes[t.segs[s].n1] = true, true
	}
	stands := func(piece pieceID, at float64) bool {
		least := t.o.Join / t.piece(piece).Length()
		return slices.ContainsFunc(of[piece], func(s segID) bool {
			g := &t.segs[s]
			// A circle that was opened runs past the share 1.
			return !g.part || g.t0+least < at && at < g.t1-least || g.t0+least < at+1 && at+1 < g.t1-least
		})
	}
	var cuts []cut
	next := nodeID(len(t.deg))
	for _, i := range slices.Sorted(maps.Keys(of)) {
		for _, c := range all[i] {
			switch {
			case !stands(i, c.t):
			case c.node >= 0:
				if nodes[c.node] {
					cuts = append(cuts, cut{i, c.t, c.node})
				}
			case stands(c.other, c.u):
				cuts = append(cuts, cut{i, c.t, next}, cut{c.other, c.u, next})
				next++
			}
		}
	}
	return cuts
}

// tangle deals with segs that cross each other and hang together otherwise too,
// so that which ring is meant cannot be told: a person must say. Judged as one
// shape, what it encloses stays within; drawn as it was drawn, each seg once.
func (t *tracing) tangle(segs []segID, cuts []cut) {
	f := t.planar(t.noded(segs, cuts))
	for _, loop := range t.simple(f.faces[f.outer]) {
		if id := t.addLoop(loop); id >= 0 {
			o := &t.out.outlines[id]
			o.Closed, o.Tangled = false, true
		}
	}
	for _, halfs := range t.trails(segs) {
		var p Path
		for _, h := range halfs {
			t.appendHalf(&p, h)
		}
		t.out.tangles = append(t.out.tangles, p)
	}
}

// noded returns segs with those that the cuts split replaced by their parts,
// which are added to the segs of this work.
func (t *tracing) noded(segs []segID, cuts []cut) []segID {
	at := byPiece(cuts)
	for i, cs := range at {
		if t.piece(i).IsCircle() { // one that was opened runs past the share 1
			for _, c := range cs {
				at[i] = append(at[i], cut{i, c.t + 1, c.node})
			}
		}
	}
	as := map[nodeID]nodeID{} // nodes that are others, of lower number
	find := func(n nodeID) nodeID {
		for m, ok := as[n]; ok; m, ok = as[n] {
			n = m
		}
		return n
	}
	same := func(n, m nodeID) {
		if n, m = find(n), find(m); n != m {
			as[max(n, m)] = min(n, m)
		}
	}
	from := segID(len(t.segs))
	var out []segID
	for _, k := range segs {
		s := t.segs[k]
		cs := at[s.piece]
		if len(cs) == 0 {
			out = append(out, k)
			continue
		}
		if !s.part && t.piece(s.piece).IsCircle() {
			// Whole, it hangs on the others by its drawn start.
			s.whole()
			cs = cs[:len(cs)/2]
		}
		first := segID(len(t.segs))
		t.segs = t.splitSeg(t.segs, s, cs, same)
		for k := first; k < segID(len(t.segs)); k++ {
			out = append(out, k)
		}
	}
	for k := from; k < segID(len(t.segs)); k++ {
		t.segs[k].n0, t.segs[k].n1 = find(t.segs[k].n0), find(t.segs[k].n1)
	}
	return out
}
