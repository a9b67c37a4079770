package raster

import (
	"math"
	"math/bits"

	"sluice/fix/layout/region"
	"sluice/geom"
)

// Board is the cells of a room, a column of bits for each x. Cells beyond its
// edges are free: clearances reach over them.
type Board struct {
	Cell   float64 // mm
	nx, ny int
	pad    int // columns and bits beyond each edge
	words  int // of a column
	bits   []uint64
	free   int64
}

// most is the largest number of cells along one side of a board.
const most = 1 << 14

// NewBoard returns an empty board for a room from 0,0. pad (mm) is how far a
// shape's clearance may reach over the edges.
func NewBoard(length, height, cell, pad float64) *Board {
	cell = max(cell, length/most, height/most)
	b := &Board{Cell: cell, pad: int(math.Ceil(pad/cell)) + 2}
	b.nx, b.ny = int(math.Ceil(length/cell))+2*b.pad, int(math.Ceil(height/cell))+2*b.pad
	b.words = (b.ny + 63) / 64
	b.bits = make([]uint64, b.nx*b.words)
	b.free = int64(b.nx) * int64(b.ny)
	return b
}

// Clone returns a copy.
func (b *Board) Clone() *Board {
	c := *b
	c.bits = append([]uint64(nil), b.bits...)
	return &c
}

// Cover takes the cells that convex rings, shifted, touch.
func (b *Board) Cover(rings []region.Ring, by geom.Point) {
	for _, r := range rings {
		s := make(region.Ring, len(r))
		for i, p := range r {
			s[i] = p.Add(by)
		}
		box := s.Box()
		far := geom.Box{Max: geom.Pt(float64(b.nx)*b.Cell, float64(b.ny)*b.Cell)}
		if !far.Inflate(float64(b.pad) * b.Cell).Overlaps(box) {
			continue
		}
		cover(s, b.Cell, func(x, lo, hi int32) { b.take(int(x), int(lo), int(hi)) })
	}
}

// Put takes the cells of a mask at a node.
func (b *Board) Put(m *Mask, x, y int) {
	for k, c := range m.cols {
		for _, r := range c {
			b.take(x+int(m.x0)+k, y+int(r.lo), y+int(r.hi))
		}
	}
}

// take takes the cells lo to hi-1 of column x, as far as they are on the board.
func (b *Board) take(x, lo, hi int) {
	x, lo, hi = x+b.pad, max(0, lo+b.pad), min(b.ny, hi+b.pad)
	if x < 0 || x >= b.nx || lo >= hi {
		return
	}
	col := b.bits[x*b.words : (x+1)*b.words]
	for w := lo / 64; w <= (hi-1)/64; w++ {
		m := span(w, lo, hi)
		b.free -= int64(bits.OnesCount64(m &^ col[w]))
		col[w] |= m
	}
}

// span is the bits lo to hi-1 of a column as far as they are in its word w.
func span(w, lo, hi int) uint64 {
	m := ^uint64(0)
	if lo > w*64 {
		m <<= uint(lo - w*64)
	}
	if end := (w + 1) * 64; hi < end {
		m &= ^uint64(0) >> uint(end-hi)
	}
	return m
}

// Find returns the node with the least x, and of those the least y, at which
// none of the mask's cells is taken; x from x0 to x1, y from y0 to y1. work is
// raised by the columns looked at.
func (b *Board) Find(m *Mask, x0, x1, y0, y1 int, work *int64) (x, y int, ok bool) {
	if m.cells > b.free {
		return 0, 0, false
	}
	last := 0
	for x = x0; x <= x1; x++ {
	next:
		for y = y0; y <= y1; {
			// What barred the last place is likely to bar this one.
			if to := b.bar(m, last, x, y, work); to > 0 {
				y += to
				continue
			}
			for _, k := range m.order {
				if to := b.bar(m, int(k), x, y, work); to > 0 {
					last = int(k)
					y += to
					continue next
				}
			}
			return x, y, true
		}
	}
	return 0, 0, false
}

// bar returns by how much y must at least be raised to clear column k of the
// mask; 0 if it is clear.
func (b *Board) bar(m *Mask, k, x, y int, work *int64) int {
	*work++
	at := x + int(m.x0) + k + b.pad
	if at < 0 || at >= b.nx {
		return 0
	}
	col := b.bits[at*b.words : (at+1)*b.words]
	for _, r := range m.cols[k] {
		lo, hi := max(0, y+int(r.lo)+b.pad), min(b.ny, y+int(r.hi)+b.pad)
		if lo >= hi {
			continue
		}
		// From the top, so that the answer is the farthest; the first and the last
		// word in part.
		first, w := lo>>6, (hi-1)>>6
		hit := col[w] & (^uint64(0) >> (63 - uint(hi-1)&63))
		for w > first && hit == 0 {
			w--
			hit = col[w]
		}
		if w == first {
			hit &= ^uint64(0) << (uint(lo) & 63)
		}
		if hit != 0 {
			return w<<6 + 63 - bits.LeadingZeros64(hit) - (y + int(r.lo) + b.pad) + 1
		}
	}
	return 0
}
