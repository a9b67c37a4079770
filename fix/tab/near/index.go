package near

import (
	"math"

	"sluice/geom"
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

	box    geom.Box
	cell   float64
	nx, ny int
	first  []int32 // per cell, where its entries start in entry
	entry  []int32 // item numbers, cell by cell
	seen   []uint32
	round  uint32
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
	x := &Index{Items: items, box: geom.NoBox(), seen: make([]uint32, len(items))}
	var length float64
	for i := range items {
		x.box = x.box.Union(items[i].Box())
		length += items[i].Length()
	}
	if x.box.Empty() || !x.box.Min.Finite() || !x.box.Max.Finite() {
		x.box, x.cell, x.nx, x.ny = geom.Box{}, 1, 1, 1
		x.first = make([]int32, 2)
		return x
	}
	// Cells smaller than the mean distance of pieces tell no more; below that, as
	// many entries as are cheap to keep, so that long pieces (large circles) do not
	// make the cells large.
	n := float64(len(items))
	entries := max(2*n, min(200*n, 2e6))
	x.cell = max(length/entries, math.Sqrt(x.box.W()*x.box.H()/(4*n)), x.box.Diagonal()/2048, 1e-9)
	x.nx = int(x.box.W()/x.cell) + 1
	x.ny = int(x.box.H()/x.cell) + 1
	x.first = make([]int32, x.nx*x.ny+1)
	for i := range items {
		x.eachCell(&items[i].Piece, func(c int) { x.first[c+1]++ })
	}
	for c := range x.nx * x.ny {
		x.first[c+1] += x.first[c]
	}
	x.entry = make([]int32, x.first[x.nx*x.ny])
	fill := make([]int32, x.nx*x.ny)
	for i := range items {
		x.eachCell(&items[i].Piece, func(c int) {
			x.entry[x.first[c]+fill[c]] = int32(i)
			fill[c]++
		})
	}
	return x
}

// eachCell visits cells that together hold the piece; a long piece is taken in
// stretches of about a cell, so that a slanting line does not fill its box.
func (x *Index) eachCell(p *geom.Piece, visit func(c int)) {
	n := int(p.Length()/x.cell) + 1
	if n == 1 {
		x.cells(p.Box(), visit)
		return
	}
	n = min(n, 1<<16)
	for k := range n {
		x.cells(p.Sub(float64(k)/float64(n), float64(k+1)/float64(n)).Box(), visit)
	}
}

func (x *Index) cells(b geom.Box, visit func(c int)) {
	i0, j0 := x.col(b.Min.X), x.row(b.Min.Y)
	i1, j1 := x.col(b.Max.X), x.row(b.Max.Y)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			visit(j*x.nx + i)
		}
	}
}

func (x *Index) col(v float64) int {
	return int(min(max((v-x.box.Min.X)/x.cell, 0), float64(x.nx-1)))
}

func (x *Index) row(v float64) int {
	return int(min(max((v-x.box.Min.Y)/x.cell, 0), float64(x.ny-1)))
}

// In visits, once each, the items that may reach into the box, until visit
// returns false. Every item that does is visited; some that do not may be.
func (x *Index) In(b geom.Box, visit func(i int32) bool) {
	// A hair more, against the rounding of stretches and cells.
	b = b.Inflate(1e-6 + 1e-12*x.box.Diagonal())
	if b.Empty() || !b.Overlaps(x.box.Inflate(1e-6+1e-12*x.box.Diagonal())) {
		return
	}
	if x.round++; x.round == 0 {
		clear(x.seen)
		x.round = 1
	}
	i0, j0 := x.col(b.Min.X), x.row(b.Min.Y)
	i1, j1 := x.col(b.Max.X), x.row(b.Max.Y)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			c := j*x.nx + i
			for _, k := range x.entry[x.first[c]:x.first[c+1]] {
				if x.seen[k] == x.round {
					continue
				}
				x.seen[k] = x.round
				if !visit(k) {
					return
				}
			}
		}
	}
}

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
