// Package raster finds room for polygons on a board of cells, true shapes,
// holes and hollows included.
//
// A cell counts as taken where a polygon, grown by its clearance, touches it, so
// that two whose cells differ are apart by the sum of their clearances. That costs
// up to two cells between neighbours and tells a place for thousands of shapes
// without a table for each two of them. Cells are bits, and a place that is taken
// tells how far on the next may be (the same idea as the bounds by runs of
// Babu and Babu 2001, "A generic approach for nesting of 2-D parts in 2-D sheets
// using genetic and heuristic algorithms"; from memory).
package raster

import (
	"cmp"
	"math"
	"slices"

	"sluice/fix/layout/region"
	"sluice/geom"
)

// run is the cells lo to hi-1 of a column.
type run struct{ lo, hi int32 }

// Grow returns convex rings grown by a clearance (mm) all round: by 2 % more at
// most, never less.
func Grow(pieces []region.Ring, clear float64) []region.Ring {
	if clear <= 0 {
		return pieces
	}
	const sides = 16
	var round [sides]geom.Point
	far := clear / math.Cos(math.Pi/sides)
	for k := range round {
		round[k] = geom.Polar(geom.Point{}, far, 2*math.Pi*float64(k)/sides)
	}
	out := make([]region.Ring, len(pieces))
	for i, r := range pieces {
		pts := make([]geom.Point, 0, sides*len(r))
		for _, p := range r {
			for _, q := range round {
				pts = append(pts, p.Add(q))
			}
		}
		out[i] = geom.Hull(pts)
	}
	return out
}

// Mask is the cells of a shape.
type Mask struct {
	x0    int32   // its first column, from the node the shape is placed at
	cols  [][]run // ascending, apart
	order []int32 // in which columns are looked at
	cells int64
}

// Cells returns how many cells the mask takes.
func (m *Mask) Cells() int64 { return m.cells }

// rounding (mm) is added around what is covered, for sums that are rounded.
const rounding = 1e-6

// NewMask covers convex rings; their coordinates are taken from the node.
func NewMask(rings []region.Ring, cell float64) *Mask {
	box := geom.NoBox()
	for _, r := range rings {
		box = box.Union(r.Box())
	}
	m := &Mask{}
	if box.Empty() {
		return m
	}
	m.x0 = int32(math.Floor((box.Min.X - rounding) / cell))
	n := int(math.Floor((box.Max.X+rounding)/cell)) - int(m.x0) + 1
	m.cols = make([][]run, n)
	for _, r := range rings {
		cover(r, cell, func(x, lo, hi int32) { m.cols[x-m.x0] = append(m.cols[x-m.x0], run{lo, hi}) })
	}
	for i, c := range m.cols {
		m.cols[i] = joined(c)
		for _, r := range m.cols[i] {
			m.cells += int64(r.hi - r.lo)
		}
	}
	// Columns far from each other first: what bars one seldom bars the next.
	for step := 1 << 10; step > 0; step /= 2 {
		for k := 0; k < n; k += step {
			if k%(2*step) != 0 || step == 1<<10 {
				m.order = append(m.order, int32(k))
			}
		}
	}
	return m
}

// joined sorts runs and makes one of those that touch.
func joined(c []run) []run {
	slices.SortFunc(c, func(a, b run) int { return cmp.Or(cmp.Compare(a.lo, b.lo), cmp.Compare(a.hi, b.hi)) })
	out := c[:0]
	for _, r := range c {
		if n := len(out); n > 0 && r.lo <= out[n-1].hi {
			out[n-1].hi = max(out[n-1].hi, r.hi)
			continue
		}
		out = append(out, r)
	}
	return out
}

// cover tells the cells that a convex ring touches, column by column.
func cover(r region.Ring, cell float64, tell func(x, lo, hi int32)) {
	b := r.Box()
	first, last := int(math.Floor((b.Min.X-rounding)/cell)), int(math.Floor((b.Max.X+rounding)/cell))
	lo, hi := make([]float64, last-first+1), make([]float64, last-first+1)
	for i := range lo {
		lo[i], hi[i] = math.Inf(1), math.Inf(-1)
	}
	for i := range r {
		p, q := r[i], r[(i+1)%len(r)]
		if p.X > q.X {
			p, q = q, p
		}
		from, to := int(math.Floor((p.X-rounding)/cell)), int(math.Floor((q.X+rounding)/cell))
		for x := from; x <= to; x++ {
			y0, y1 := p.Y, q.Y
			if w := q.X - p.X; w > rounding {
				y0 = p.Y + (q.Y-p.Y)*min(1, max(0, (float64(x)*cell-p.X)/w))
				y1 = p.Y + (q.Y-p.Y)*min(1, max(0, (float64(x+1)*cell-p.X)/w))
			}
			k := x - first
			lo[k], hi[k] = min(lo[k], y0, y1), max(hi[k], y0, y1)
		}
	}
	for k := range lo {
		if lo[k] <= hi[k] {
			tell(int32(first+k), int32(math.Floor((lo[k]-rounding)/cell)), int32(math.Floor((hi[k]+rounding)/cell))+1)
		}
	}
}
