package near

import (
	"math"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/outline"
)

// Item is a piece of a drawing with where it belongs.
type Item struct {
	geom.Piece
	Outline int32   // index in Sheet.Outlines, -1 for an open path
	At      float64 // length along the outline at which the piece starts, mm
	Etch    bool    // a mark, not a cut
}

// Index finds pieces by place. It keeps scratch space, so one Index serves one
// goroutine at a time.
type Index struct {
	Items []Item
	*index.Search
}

// Sheet returns the index of everything drawn on a sheet: outlines, open cuts
// and marks.
func Sheet(s *outline.Sheet) *Index {
	n := 0
	for i := range s.Outlines {
		n += len(s.Outlines[i].Pieces)
	}
	items := make([]Item, 0, n)
	for i := range s.Outlines {
		at := 0.0
		for _, p := range s.Outlines[i].Pieces {
			items = append(items, Item{Piece: p, Outline: int32(i), At: at})
			at += p.Length()
		}
	}
	for _, open := range []struct {
		paths []outline.Open
		etch  bool
	}{{s.Open, false}, {s.Etch, true}} {
		for i := range open.paths {
			for _, p := range open.paths[i].Pieces {
				items = append(items, Item{Piece: p, Outline: -1, Etch: open.etch})
			}
		}
	}
	return New(items)
}

// New returns an index of the items.
func New(items []Item) *Index {
	box, length := geom.NoBox(), 0.0
	for i := range items {
		if b := items[i].Box(); b.Min.Finite() && b.Max.Finite() {
			box = box.Union(b)
			length += items[i].Length()
		}
	}
	side := 0.0
	if !box.Empty() {
		n := float64(len(items))
		entries := max(entriesLeast*n, min(entriesMost*n, entriesAll))
		side = max(length/entries, math.Sqrt(box.W()*box.H()/(4*n)), box.Diagonal()/2048, 1e-9)
	}
	pad := 1e-6 + 1e-12*box.Diagonal() // a hair, against the rounding of coordinates
	g := index.NewGrid(len(items), func(i int) *geom.Piece { return &items[i].Piece }, pad, side)
	return &Index{items, g.Search()}
}

// Another returns the same index for another goroutine.
func (x *Index) Another() *Index { return &Index{x.Items, x.Grid.Search()} }

// Cells smaller than the mean distance of pieces tell no more; below that there are
// as many entries in cells as are cheap to keep, so that long pieces (large circles)
// do not make the cells large. Measured on sheets of tabbed parts.
const (
	entriesLeast = 2   // for each piece
	entriesMost  = 200 // for each piece
	entriesAll   = 2e6
)

// Clear reports whether every item that keep accepts stays at least d from the
// rectangle.
func (x *Index) Clear(r Rect, d float64, keep func(*Item) bool) bool {
	ok := true
	out := math.Hypot(r.W, r.H) / 2 // r lies within this of its middle
	x.In(r.Box().Inflate(d), func(i int32) bool {
		it := &x.Items[i]
		if it.R > 0 && math.Abs(r.Mid.Dist(it.C)-it.R)-out >= d {
			return true // the box of a large circle says little
		}
		if (keep == nil || keep(it)) && r.Dist(it.Piece) < d {
			ok = false
		}
		return ok
	})
	return ok
}
