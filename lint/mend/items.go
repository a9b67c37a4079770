package mend

import (
	"slices"

	"sluice/geom"
	"sluice/geom/dxf"
	"sluice/lint"
)

// drawn returns the items that draw a path on a layer. Ends no further apart than
// join are one place and are brought together; where pieces do not meet, and
// round a full circle, another item begins: between them nothing is drawn.
func drawn(layer string, path geom.Path, closed bool, join float64) []dxf.Item {
	n := len(path)
	if n == 0 {
		return nil
	}
	path = slices.Clone(path)
	next := func(i int) int { return (i + 1) % n }
	breaks := make([]bool, n) // after each piece
	first, whole := 0, closed
	for i := range path {
		p, q := &path[i], &path[next(i)]
		breaks[i] = p.IsCircle() || q.IsCircle() || p.B.Dist(q.A) > join || !closed && i == n-1
		if breaks[i] {
			first, whole = next(i), false // begin after a break, so that no stretch is cut in two
		} else {
			p.B = q.A
		}
	}
	if whole {
		return []dxf.Item{{Layer: layer, Path: path, Closed: true}}
	}
	var items []dxf.Item
	begin := true
	for k := range n {
		i := (first + k) % n
		if begin {
			items = append(items, dxf.Item{Layer: layer, Closed: path[i].IsCircle()})
		}
		it := &items[len(items)-1]
		it.Path = append(it.Path, path[i])
		begin = breaks[i]
	}
	return items
}

// strays returns the items that draw what the sheet sets aside as specks. Those
// that are not taken out by a told repair stay as they were drawn.
func (m *mender) strays(res *lint.Result) []dxf.Item {
	var items []dxf.Item
	for _, s := range res.Sheet.Strays {
		p := res.Drawing.Strokes[s.Stroke].Piece
		if s.Part {
			p = p.Sub(s.T0, s.T1)
		}
		if p.Length() <= m.j.Limits.Join {
			continue // nothing to cut
		}
		layer := dxf.LayerOutside
		if res.Sheet.PartAt(p.Mid()) >= 0 {
			layer = dxf.LayerInside
		}
		items = append(items, drawn(layer, geom.Path{p}, false, m.j.Limits.Join)...)
	}
	return items
}

// onCommon returns whether a stretch of an outline, as lengths along it, runs
// along an edge that another outline has too: a tab there would be cut through
// all the same.
func onCommon(res *lint.Result) func(outline int32, s0, s1 float64) bool {
	type use struct {
		outline int32
		piece   *geom.Piece
	}
	uses := make([][]use, len(res.Drawing.Strokes))
	for i := range res.Sheet.Outlines {
		o := &res.Sheet.Outlines[i]
		for k, s := range o.Src {
			if s >= 0 {
				uses[s] = append(uses[s], use{int32(i), &o.Pieces[k]})
			}
		}
	}
	return func(i int32, s0, s1 float64) bool {
		o := &res.Sheet.Outlines[i]
		length := o.Pieces.Length()
		for _, back := range [2]float64{0, length} { // a gap may run over the start
			at := back
			for k := range o.Pieces {
				l := o.Pieces[k].Length()
				from, to := max(s0-at, 0), min(s1-at, l)
				at += l
				if from >= to || o.Src[k] < 0 {
					continue
				}
				q := o.Pieces[k].At((from + to) / 2 / l)
				for _, u := range uses[o.Src[k]] {
					if u.outline != i && u.piece.Dist(q) <= seam {
						return true
					}
				}
			}
		}
		return false
	}
}
