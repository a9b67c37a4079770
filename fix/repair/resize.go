package repair

import (
	"math"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/geom/region"
)

// WidenHole returns the edit that lets all walls of an outline move out by by mm. It has no
// ops where that cannot be done exactly.
func WidenHole(d *drawing.Drawing, o *outline.Path, by float64, at geom.Point) fix.Edit {
	e := fix.Edit{Kind: "widen-hole", At: at, Moved: by, Note: "hole widened"}
	if to, ok := region.Offset(o.Pieces, by); ok {
		e.Ops = reshape(d, o, to)
	}
	return e
}

// Shrink returns the edits that let an outline give way by by mm, the least one first:
// the wall of piece i alone, and all walls.
func Shrink(d *drawing.Drawing, o *outline.Path, i int, by float64, at geom.Point) (edits []fix.Edit, paths []geom.Path) {
	try := func(to geom.Path, ok bool) {
		if !ok {
			return
		}
		if ops := reshape(d, o, to); len(ops) > 0 {
			edits = append(edits, fix.Edit{Kind: "shrink-hole", At: at, Moved: by, Note: "hole made smaller", Ops: ops})
			paths = append(paths, to)
		}
	}
	try(region.MoveWall(o.Pieces, i, -by))
	if len(o.Pieces) > 1 {
		try(region.Offset(o.Pieces, -by))
	}
	return edits, paths
}

// Reach returns how far, mm, the ends of the pieces of a path lie from those of another
// of as many at most.
func Reach(a, b geom.Path) (far float64) {
	for i := range a {
		far = max(far, a[i].A.Dist(b[i].A), a[i].Mid().Dist(b[i].Mid()))
	}
	return far
}

// reshape returns what puts the pieces of another path in the place of those of an
// outline, one for one; nothing where a stroke is part of something else too, or a gap
// is still open.
func reshape(d *drawing.Drawing, o *outline.Path, to geom.Path) (ops []fix.Op) {
	for i := range o.Src {
		if !whole(d, o, i) {
			return nil
		}
	}
	ops, _ = reshapeAt(d, o, identity(len(to)), to, nil)
	return ops
}

// SmoothCorner returns the ops that take out the arc of a small inside radius: its
// neighbours are run on to where they meet, at most far mm away.
func SmoothCorner(d *drawing.Drawing, o *outline.Path, i int, far float64) []fix.Op {
	n := len(o.Pieces)
	prev, next := (i+n-1)%n, (i+1)%n
	if n < 3 || !whole(d, o, prev) || !whole(d, o, i) || !whole(d, o, next) || o.Src[prev] == o.Src[next] {
		return nil
	}
	p, q := o.Pieces[prev], o.Pieces[next].Reverse()
	x, ok := meet(p, q, far)
	if !ok {
		return nil
	}
	return []fix.Op{{Kind: fix.Drop, Stroke: o.Src[i]}, endTo(d, o.Src[prev], p.B, x), endTo(d, o.Src[next], q.B, x)}
}

// SmoothBump returns the ops that take out a small bump or nick about piece i: a straight
// line from where the outline comes to where it goes on in the same direction, in the
// place of pieces that reach no further than size mm.
func SmoothBump(d *drawing.Drawing, o *outline.Path, i int, size float64) []fix.Op {
	const most = 8      // pieces of a bump
	const straight = 12 // degrees, by which what goes on may turn
	n := len(o.Pieces)
	for m := 1; m <= min(most, n-2); m++ {
		for first := i - m + 1; first <= i; first++ {
			at := func(k int) int { return ((first+k)%n + n) % n }
			prev, next := at(-1), at(m)
			p, q := &o.Pieces[prev], &o.Pieces[next]
			line := geom.Line(p.B, q.A)
			if line.Length() > 2*size || line.Length() < 1e-6 {
				continue
			}
			u := line.TangentAt(0.5)
			if math.Abs(geom.TurnTo(p.TangentAt(1), u)) > straight*math.Pi/180 || math.Abs(geom.TurnTo(u, q.TangentAt(0))) > straight*math.Pi/180 {
				continue
			}
			ok := whole(d, o, prev) && whole(d, o, next)
			for k := 0; k < m; k++ {
				ok = ok && whole(d, o, at(k)) && line.Dist(o.Pieces[at(k)].Mid()) <= 1.5*size && line.Dist(o.Pieces[at(k)].A) <= 1.5*size
			}
			if !ok {
				continue
			}
			st := d.Strokes[o.Src[at(0)]]
			st.Piece, st.Made = line, drawing.Edited
			ops := []fix.Op{{Kind: fix.Replace, Stroke: o.Src[at(0)], With: []drawing.Stroke{st}}}
			for k := 1; k < m; k++ {
				ops = append(ops, fix.Op{Kind: fix.Drop, Stroke: o.Src[at(k)]})
			}
			return ops
		}
	}
	return nil
}

// whole reports whether piece i of an outline is all of its stroke.
func whole(d *drawing.Drawing, o *outline.Path, i int) bool {
	s := o.Src[i]
	return s >= 0 && o.Flags[i] == 0 && math.Abs(d.Strokes[s].Length()-o.Pieces[i].Length()) <= 1e-6
}

// endTo moves the end of a stroke that lies at from.
func endTo(d *drawing.Drawing, s int32, from, to geom.Point) fix.Op {
	k := fix.MoveA
	if st := &d.Strokes[s]; st.B.Dist2(from) < st.A.Dist2(from) {
		k = fix.MoveB
	}
	return fix.Op{Kind: k, Stroke: s, To: to}
}
