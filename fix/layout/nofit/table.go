package nofit

import (
	"cmp"
	"math"
	"slices"
	"sync/atomic"

	"sluice/fix/layout/region"
	"sluice/geom"
)

// Table holds the displacements of B against A that are not free. It may be
// shared: after New nothing changes but that Refine makes it faster.
type Table struct {
	Box    geom.Box // around all of them; empty if there are none
	pieces []piece
	planes []plane
	cells  atomic.Pointer[cells]
	made   Work
}

// Made returns the work that building the table took.
func (t *Table) Made() Work { return t.made }

// Work counts the half planes that were looked at: the measure of time that
// does not depend on the machine.
type Work = int64

// New returns the table for two unions of convex rings (mm, counter-clockwise)
// that must keep clear (mm, 0 or more) of each other. skin (mm) is added to
// clear without rounding corners, so that a displacement that is free by the
// table is free in spite of rounding error.
func New(a, b []region.Ring, clear, skin float64) *Table {
	t := &Table{Box: geom.NoBox()}
	var sums []region.Ring
	for _, p := range a {
		for _, q := range b {
			sums = append(sums, sum(p, q))
		}
	}
	// Larger ones first: they are met first and hold the smaller ones.
	slices.SortStableFunc(sums, func(x, y region.Ring) int { return cmp.Compare(y.Area(), x.Area()) })
	boxes := make([]geom.Box, 0, len(sums))
	for _, s := range sums {
		b := s.Box()
		if t.held(s, b, boxes) {
			continue
		}
		lo := int32(len(t.planes))
		t.planes = planes(t.planes, s, 0, 0)
		boxes = append(boxes, b)
		t.pieces = append(t.pieces, piece{b, lo, int32(len(t.planes))})
		sums[len(t.pieces)-1] = s
	}
	if clear+skin > 0 {
		t.planes = t.planes[:0]
		for i := range t.pieces {
			lo := int32(len(t.planes))
			t.planes = planes(t.planes, sums[i], clear, skin)
			t.pieces[i] = piece{boxes[i].Inflate(clear + skin), lo, int32(len(t.planes))}
		}
	}
	t.made += Work(64 * len(sums))
	for i := range t.pieces {
		t.Box = t.Box.Union(t.pieces[i].box)
	}
	t.planes = slices.Clip(t.planes)
	return t
}

// held reports whether s lies in one of the pieces, which then tells all that it
// would.
func (t *Table) held(s region.Ring, b geom.Box, boxes []geom.Box) bool {
pieces:
	for i := range t.pieces {
		if !boxes[i].ContainsBox(b) {
			continue
		}
		for _, p := range t.planes[t.pieces[i].lo:t.pieces[i].hi] {
			for _, v := range s {
				t.made++
				if p.nx*v.X+p.ny*v.Y > p.d {
					continue pieces
				}
			}
		}
		return true
	}
	return false
}

// Depth returns how deep (mm) a displacement lies in the deepest of the convex
// pieces, 0 if it is free. n is the outward normal of the side of that piece
// that is nearest: moving by Depth along it leaves that piece.
func (t *Table) Depth(x, y float64) (depth, nx, ny float64) {
	if x <= t.Box.Min.X || x >= t.Box.Max.X || y <= t.Box.Min.Y || y >= t.Box.Max.Y {
		return 0, 0, 0
	}
	if c := t.cells.Load(); c != nil {
		return c.depth(t, x, y)
	}
	for k := range t.pieces {
		t.in(&t.pieces[k], x, y, &depth, &nx, &ny)
	}
	return depth, nx, ny
}

// in raises depth to that of one piece.
func (t *Table) in(p *piece, x, y float64, depth, nx, ny *float64) {
	least := math.Inf(1)
	var at plane
	for _, q := range t.planes[p.lo:p.hi] {
		d := q.d - q.nx*x - q.ny*y
		if d <= *depth {
			return
		}
		if d < least {
			least, at = d, q
		}
	}
	*depth, *nx, *ny = least, at.nx, at.ny
}
