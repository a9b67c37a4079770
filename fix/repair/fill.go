package repair

import (
	"fmt"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// FillNotch returns the edit that closes a notch: one line from a to b in the place of
// count pieces of an outline, from first round. It has no ops where a piece is only part
// of what is drawn.
func FillNotch(d *drawing.Drawing, o *outline.Path, first, count int, a, b, at geom.Point) fix.Edit {
	e := fix.Edit{Kind: "fill-notch", At: at, Note: fmt.Sprintf("notch closed by a line of %.4g mm", a.Dist(b))}
	n := len(o.Pieces)
	var ops []fix.Op
	gone := map[int32]bool{}
	for k := range count {
		i := (first + k) % n
		if !whole(d, o, i) || gone[o.Src[i]] {
			return e
		}
		gone[o.Src[i]] = true
		e.Moved = max(e.Moved, geom.Line(a, b).Dist(o.Pieces[i].Mid()))
		ops = append(ops, fix.Op{Kind: fix.Drop, Stroke: o.Src[i]})
	}
	st := d.Strokes[o.Src[first]]
	st.Piece, st.Made = geom.Line(a, b), drawing.Edited
	ops[0] = fix.Op{Kind: fix.Replace, Stroke: o.Src[first], With: []drawing.Stroke{st}}
	e.Ops = ops
	return e
}

// AddPlate returns the edit that adds a part: closed paths, on the layer of a stroke.
func AddPlate(d *drawing.Drawing, paths []geom.Path, like int32, at geom.Point) fix.Edit {
	e := fix.Edit{Kind: "make-part", At: at}
	var with []drawing.Stroke
	for _, path := range paths {
		for _, p := range path {
			st := drawing.Stroke{Piece: p, Entity: -1, Layer: -1, Made: drawing.Edited, As: drawing.AsCut}
			if like >= 0 {
				st.Layer, st.Color = d.Strokes[like].Layer, d.Strokes[like].Color
			}
			with = append(with, st)
		}
	}
	e.Ops = []fix.Op{{Kind: fix.Add, With: with}}
	return e
}
