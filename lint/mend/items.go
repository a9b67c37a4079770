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

// open returns the items that draw a path that does not close.
func (m *mender) open(layer string, path geom.Path) []dxf.Item {
	items := drawn(layer, path, false, m.j.Limits.Join)
	for i := range items {
		items[i].Path = settled(items[i].Path)
	}
	return items
}

// setAside returns the items that draw what the sheet leaves out while judging:
// specks, and ends that run past the piece they are to meet. Those that are not
// taken out by a told repair stay as they were drawn.
func (m *mender) setAside(res *lint.Result) []dxf.Item {
	var items []dxf.Item
	put := func(p geom.Piece) {
		layer := dxf.LayerOutside
		if res.Sheet.PartAt(p.Mid()) >= 0 {
			layer = dxf.LayerInside
		}
		items = append(items, m.open(layer, geom.Path{p})...)
	}
	for i := range res.Sheet.Overruns {
		if o := &res.Sheet.Overruns[i]; o.Flags[0] == 0 {
			put(o.Pieces[0])
		}
	}
	for _, s := range res.Sheet.Strays {
		p := res.Drawing.Strokes[s.Stroke].Piece
		if s.Part {
			p = p.Sub(s.T0, s.T1)
		}
		if p.Length() <= m.j.Limits.Join {
			continue // nothing to cut
		}
		put(p)
	}
	return items
}
