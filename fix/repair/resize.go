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
