package outline

import (
	"cmp"
	"slices"

	"sluice/geom"
)

// crossing is a place at which a piece crosses another.
type crossing struct {
	other pieceID // the other piece
	t, u  float64
	node  nodeID // the corner that crosses, -1 where the insides of both cross
	p     geom.Point
}

// crossingsOf lists, by piece, where other pieces cross its inside, and where
// corners of others run across it. Found once.
func (b *builder) crossingsOf() map[pieceID][]crossing {
	if b.crossed != nil {
		return b.crossed
	}
	b.crossed = map[pieceID][]crossing{}
	for _, c := range b.met.crosses {
		if !b.lies(c.i, c.p) || !b.lies(c.j, c.p) {
			continue
		}
		_, t := b.piece(c.i).Nearest(c.p)
		_, u := b.piece(c.j).Nearest(c.p)
		b.crossed[c.i] = append(b.crossed[c.i], crossing{other: c.j, t: t, u: u, node: -1, p: c.p})
	}
	for _, c := range b.met.contacts {
		if p, other, ok := b.crossesAtCorner(c); ok {
			b.crossed[c.on] = append(b.crossed[c.on], crossing{other: other, t: c.t, node: b.nodes.Find(b.ends[c.end]), p: p})
		}
	}
	return b.crossed
}

// crossedWithin returns the cuts that would give segs, which hang together, a
// node wherever they cross each other; none where they are planar as they are.
func (b *builder) crossedWithin(segs []segID) []cut {
	all := b.crossingsOf()
	if len(all) == 0 {
		return nil
	}
	of := map[pieceID][]segID{} // piece -> its segs here
	nodes := map[nodeID]bool{}
	for _, s := range segs {
		if i := b.segs[s].piece; i >= 0 {
			of[i] = append(of[i], s)
		}
		nodes[b.segs[s].n0], nodes[b.segs[s].n1] = true, true
	}
	stands := func(piece pieceID, t float64) bool {
		least := b.o.Join / b.piece(piece).Length()
		for _, s := range of[piece] {
			g := &b.segs[s]
			// A circle that was opened runs past the share 1.
			if !g.part || g.t0+least < t && t < g.t1-least || g.t0+least < t+1 && t+1 < g.t1-least {
				return true
			}
		}
		return false
	}
	var cuts []cut
	for _, i := range b.piecesOf(segs) {
		for _, c := range all[i] {
			switch {
			case !stands(i, c.t):
			case c.node >= 0:
				if nodes[c.node] {
					cuts = append(cuts, cut{i, c.t, c.node})
				}
			case stands(c.other, c.u):
				n := b.newNode(c.p)
				cuts = append(cuts, cut{i, c.t, n}, cut{c.other, c.u, n})
			}
		}
	}
	return cuts
}

// piecesOf lists the pieces of segs, ascending, each once.
func (b *builder) piecesOf(segs []segID) []pieceID {
	var out []pieceID
	for _, s := range segs {
		if i := b.segs[s].piece; i >= 0 {
			out = append(out, i)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// tangle deals with segs that cross each other and hang together otherwise too,
// so that which ring is meant cannot be told: a person must say. Judged as one
// shape, what it encloses stays within; drawn as it was drawn, each seg once.
func (b *builder) tangle(segs []segID, cuts []cut) {
	_, faces, areas, _ := b.planar(b.noded(segs, cuts))
	outer := 0
	for f, a := range areas {
		if a < areas[outer] {
			outer = f
		}
	}
	for _, loop := range b.simple(faces[outer]) {
		if id := b.addLoop(loop); id >= 0 {
			o := &b.sheet.Outlines[id]
			o.Closed, o.Tangled = false, true
		}
	}
	for _, halfs := range b.trails(segs) {
		var p Path
		for _, h := range halfs {
			b.appendHalf(&p, h)
		}
		b.sheet.Tangles = append(b.sheet.Tangles, p)
	}
}

// noded returns segs with those that the cuts split replaced by their parts,
// which are added to the builder's.
func (b *builder) noded(segs []segID, cuts []cut) []segID {
	slices.SortFunc(cuts, func(x, y cut) int {
		return cmp.Or(cmp.Compare(x.piece, y.piece), cmp.Compare(x.t, y.t), cmp.Compare(x.node, y.node))
	})
	byPiece := map[pieceID][]cut{}
	for _, c := range cuts {
		byPiece[c.piece] = append(byPiece[c.piece], c)
	}
	for i, cs := range byPiece {
		if b.piece(i).IsCircle() { // one that was opened runs past the share 1
			for _, c := range cs {
				byPiece[i] = append(byPiece[i], cut{i, c.t + 1, c.node})
			}
		}
	}
	var out []segID
	for _, s := range segs {
		g := b.segs[s]
		cs := byPiece[g.piece]
		if g.piece < 0 || len(cs) == 0 {
			out = append(out, s)
			continue
		}
		from := segID(len(b.segs))
		if !g.part && b.piece(g.piece).IsCircle() {
			// Whole, it hangs on the others by its drawn start.
			g.part, g.t0, g.t1, cs = true, 0, 1, cs[:len(cs)/2]
		}
		b.splitSeg(g, cs)
		for k := from; k < segID(len(b.segs)); k++ {
			x := &b.segs[k]
			x.n0, x.n1 = b.nodes.Find(x.n0), b.nodes.Find(x.n1)
			out = append(out, k)
		}
	}
	return out
}
