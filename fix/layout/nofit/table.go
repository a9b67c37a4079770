package nofit

import (
	"cmp"
	"math"
	"slices"

	"sluice/fix/layout/region"
	"sluice/geom"
)

// Table holds the displacements of B against A that are not free. It is not
// changed after New and may be shared.
type Table struct {
	Box    geom.Box // around all of them; empty if there are none
	pieces []piece
	planes []plane

	// A raster over Box, for tables of many pieces: the pieces that may hold a
	// point of each cell.
	nx, ny int
	sx, sy float64 // cells per mm
	start  []int32
	list   []int32

	made Work
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
	if len(t.pieces) > 6 {
		t.raster()
	}
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

// raster fills the cells.
func (t *Table) raster() {
	const most = 48
	n := min(most, 4+int(2*math.Sqrt(float64(len(t.pieces)))))
	w, h := t.Box.W(), t.Box.H()
	if !(w > 0 && h > 0) {
		return
	}
	t.nx, t.ny = n, n
	t.sx, t.sy = float64(n)/w, float64(n)/h
	cells := make([][]int32, n*n)
	slack := 1e-9 * (w + h)
	at := func(v, from, per float64) int { return min(n-1, max(0, int((v-from)*per))) }
	count := 0
	for k := range t.pieces {
		b := t.pieces[k].box.Inflate(slack)
		for j := at(b.Min.Y, t.Box.Min.Y, t.sy); j <= at(b.Max.Y, t.Box.Min.Y, t.sy); j++ {
			for i := at(b.Min.X, t.Box.Min.X, t.sx); i <= at(b.Max.X, t.Box.Min.X, t.sx); i++ {
				lo := geom.Pt(t.Box.Min.X+float64(i)/t.sx, t.Box.Min.Y+float64(j)/t.sy)
				hi := geom.Pt(t.Box.Min.X+float64(i+1)/t.sx, t.Box.Min.Y+float64(j+1)/t.sy)
				if t.meets(&t.pieces[k], geom.Box{Min: lo, Max: hi}.Inflate(slack)) {
					cells[j*n+i] = append(cells[j*n+i], int32(k))
					count++
				}
			}
		}
	}
	t.start, t.list = make([]int32, n*n+1), make([]int32, 0, count)
	for c := range cells {
		t.list = append(t.list, cells[c]...)
		t.start[c+1] = int32(len(t.list))
	}
}

// meets reports whether a piece may reach into a cell.
func (t *Table) meets(p *piece, c geom.Box) bool {
	t.made++
	if !p.box.Overlaps(c) {
		return false
	}
	t.made += Work(p.hi - p.lo)
	for _, q := range t.planes[p.lo:p.hi] {
		x, y := c.Max.X, c.Max.Y
		if q.nx > 0 {
			x = c.Min.X
		}
		if q.ny > 0 {
			y = c.Min.Y
		}
		if q.nx*x+q.ny*y > q.d {
			return false
		}
	}
	return true
}

// Depth returns how deep (mm) a displacement lies in the deepest of the convex
// pieces, 0 if it is free. n is the outward normal of the side of that piece
// that is nearest: moving by Depth along it leaves that piece.
func (t *Table) Depth(x, y float64, work *Work) (depth, nx, ny float64) {
	if x <= t.Box.Min.X || x >= t.Box.Max.X || y <= t.Box.Min.Y || y >= t.Box.Max.Y {
		return 0, 0, 0
	}
	if t.start == nil {
		for k := range t.pieces {
			t.in(&t.pieces[k], x, y, &depth, &nx, &ny, work)
		}
		return depth, nx, ny
	}
	i := min(t.nx-1, int((x-t.Box.Min.X)*t.sx))
	j := min(t.ny-1, int((y-t.Box.Min.Y)*t.sy))
	c := j*t.nx + i
	for _, k := range t.list[t.start[c]:t.start[c+1]] {
		t.in(&t.pieces[k], x, y, &depth, &nx, &ny, work)
	}
	return depth, nx, ny
}

// in raises depth to that of one piece.
func (t *Table) in(p *piece, x, y float64, depth, nx, ny *float64, work *Work) {
	least := math.Inf(1)
	var at plane
	for i, q := range t.planes[p.lo:p.hi] {
		d := q.d - q.nx*x - q.ny*y
		if d <= *depth {
			*work += Work(i + 1)
			return
		}
		if d < least {
			least, at = d, q
		}
	}
	*work += Work(p.hi - p.lo)
	*depth, *nx, *ny = least, at.nx, at.ny
}
