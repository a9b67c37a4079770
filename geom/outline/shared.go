package outline

import (
	"cmp"
	"maps"
	"slices"

	"sluice/geom"
)

// tellOverlaps lists the repeats, apart from one copy of each shared edge.
func (t *telling) tellOverlaps() {
	common := map[int32]int{} // stroke of a shared edge -> its Shared
	for k := range t.Shared {
		for _, s := range t.Shared[k].Strokes {
			common[s] = k
		}
	}
	second := make([]float64, len(t.Shared)) // length of the second drawing of each, as far as met
	add := func(o Overlap) {
		if k, ok := common[o.Twin]; ok && o.Piece.Length() > 0 {
			sh := &t.Shared[k]
			along := slices.ContainsFunc(sh.Pieces, func(p geom.Piece) bool {
				return p.Dist(o.Piece.Mid()) <= t.o.Same || o.Piece.Dist(p.Mid()) <= t.o.Same
			})
			if l := o.Piece.Length(); along && second[k]+l <= sh.Length+t.o.Same {
				second[k] += l
				sh.Extra = append(sh.Extra, o.Stroke)
				return
			}
		}
		t.Overlaps = append(t.Overlaps, o)
	}
	for k, j := range t.repeatOf {
		if j >= 0 {
			p := *t.piece(pieceID(k))
			add(Overlap{Stroke: int32(t.act[k]), Twin: int32(t.act[j]), T1: 1, Piece: p, Whole: true, Apart: t.piece(j).Dist(p.Mid())})
		}
	}
	for _, i := range slices.Sorted(maps.Keys(t.lost)) {
		for _, r := range t.merged(i, t.lost[i]) {
			add(Overlap{
				Stroke: int32(t.act[i]), Twin: int32(t.act[r.twin]), T0: r.t0, T1: r.t1, Apart: r.apart,
				Piece: t.piece(i).Sub(r.t0, r.t1), Whole: r.t0 == 0 && r.t1 == 1,
			})
		}
	}
	slices.SortFunc(t.Overlaps, func(x, y Overlap) int {
		return cmp.Or(cmp.Compare(x.Stroke, y.Stroke), cmp.Compare(x.T0, y.T0))
	})
}

// tellShared joins shared segs that run on from each other into edges. Edges
// between holes are no matter: nothing but waste lies on both sides.
func (t *telling) tellShared() {
	type key struct{ a, b int32 }
	groups := map[key][]segID{}
	var keys []key
	for _, s := range t.shared {
		k := key{min(s.a, s.b), max(s.a, s.b)}
		if t.outlines[k.a].Hole() || t.outlines[k.b].Hole() {
			continue
		}
		if groups[k] == nil {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], s.seg)
	}
	for _, k := range keys {
		for _, run := range t.runs(groups[k]) {
			sh := Shared{PartA: k.a, PartB: k.b}
			for _, h := range slices.Concat(t.trails(run)...) {
				sh.Pieces = append(sh.Pieces, t.along(h))
				sh.Strokes = append(sh.Strokes, t.strokeOf(h.seg()))
			}
			sh.Length = sh.Pieces.Length()
			sh.At, _ = sh.Pieces.Along(sh.Length / 2)
			t.Shared = append(t.Shared, sh)
		}
	}
}

// markTwins flags edges common to two outlines of which one is a hole's: waste
// lies on a side of them, so nothing is asked, and they are to be drawn once. pos
// gives the final place of each outline.
func (t *telling) markTwins(pos []int32) {
	for _, s := range t.shared {
		i, j := pos[s.a], pos[s.b]
		if !t.o.Once && !t.Outlines[i].Hole() && !t.Outlines[j].Hole() {
			continue // they are told as a shared edge
		}
		src, p := t.strokeOf(s.seg), t.shape(s.seg)
		// A face may lie on a seg that does not bound its outline.
		if k := t.Outlines[max(i, j)].find(src, p); k >= 0 && t.Outlines[min(i, j)].find(src, p) >= 0 {
			t.Outlines[max(i, j)].Flags[k] |= IsTwin
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

// HoleEdges returns the edges that two holes have in common: nothing but waste
// lies on both sides of them.
func (s *Sheet) HoleEdges() geom.Path {
	type edge struct {
		src  int32
		a, b geom.Point
	}
	of := func(o *Outline, k int) edge {
		e := edge{o.Src[k], o.Pieces[k].A, o.Pieces[k].B}
		if e.b.X < e.a.X || e.b.X == e.a.X && e.b.Y < e.a.Y {
			e.a, e.b = e.b, e.a
		}
		return e
	}
	holes := map[edge]int{} // of edges drawn by another outline: in how many holes
	each := func(visit func(o *Outline, k int)) {
		for i := range s.Outlines {
			for k := range s.Outlines[i].Pieces {
				if s.Outlines[i].Hole() {
					visit(&s.Outlines[i], k)
				}
			}
		}
	}
	each(func(o *Outline, k int) {
		if o.Flags[k]&IsTwin != 0 {
			holes[of(o, k)] = 0
		}
	})
	if len(holes) == 0 {
		return nil
	}
	var out geom.Path
	each(func(o *Outline, k int) {
		e := of(o, k)
		if n, ok := holes[e]; ok {
			if holes[e] = n + 1; n == 1 {
				out = append(out, o.Pieces[k])
			}
		}
	})
	return out
}
