package nofit

import (
	"math"

	"sluice/geom"
)

// cells tell for each cell of a grid over a table which planes can decide how
// deep a point of it lies. Most cells have one plane or none, so that a look-up
// costs about the same however many pieces a table has.
//
// They are found by a quadtree over the box: what cannot decide in a square
// cannot in its quarters.
type cells struct {
	min    geom.Point
	across int     // cells along a side, a power of two
	sx, sy float64 // cells per mm
	at     []int32 // by cell: where its planes begin in list; 0: all of it is free
	list   []int32 // number of the plane shifted left by two, and the flags below
}

// Flags of an entry of a list: the last plane of its piece, of the cell.
const (
	endOfPiece = 1
	endOfCell  = 2
)

// usualCells is the number of cells along a side, a power of two.
const usualCells = 32

// Planes returns how many half planes the table has, by which the time goes that
// it takes to refine it, and to look something up before that is done.
func (t *Table) Planes() int { return len(t.planes) }

// Refine makes look-ups fast, at the price of memory (bytes), which it returns;
// 0 if that was done before or would not help. What Depth returns is the same
// before and after, to the bit.
func (t *Table) Refine() int64 {
	w, h := t.Box.W(), t.Box.H()
	if !(w > 0 && h > 0) || len(t.planes) <= 4 || t.cells.Load() != nil {
		return 0
	}
	const n = usualCells
	c := &cells{
		min: t.Box.Min, across: n, sx: n / w, sy: n / h,
		at: make([]int32, n*n), list: []int32{0},
	}
	r := refiner{t: t, c: c, slack: 1e-9 * (w + h)}
	var all []int32
	for _, p := range t.pieces {
		for k := p.lo; k < p.hi; k++ {
			all = append(all, k<<2)
		}
		all[len(all)-1] |= endOfPiece
	}
	r.split(all, 0, 0, n)
	t.cells.Store(c)
	return int64(4 * (len(c.at) + cap(c.list)))
}

// refiner fills cells.
type refiner struct {
	t     *Table
	c     *cells
	slack float64 // mm by which squares are taken wider, against rounding
}

// split fills the square of n by n cells from column i and row j, in which only
// the planes of from can decide.
func (r *refiner) split(from []int32, i, j, n int) {
	list := r.decide(from, i, j, n)
	switch {
	case len(list) == 0:
	case n > 1 && len(list) > 1:
		n /= 2
		r.split(list, i, j, n)
		r.split(list, i+n, j, n)
		r.split(list, i, j+n, n)
		r.split(list, i+n, j+n, n)
	default:
		at := int32(len(r.c.list))
		list[len(list)-1] |= endOfCell
		r.c.list = append(r.c.list, list...)
		for y := j; y < j+n; y++ {
			for x := i; x < i+n; x++ {
				r.c.at[y*r.c.across+x] = at
			}
		}
	}
}

// decide returns those planes that can decide within a square: of each piece
// those that may be the nearest, of the pieces those that may be the deepest.
func (r *refiner) decide(from []int32, i, j, n int) []int32 {
	hw, hh := float64(n)/2/r.c.sx+r.slack, float64(n)/2/r.c.sy+r.slack
	mx := r.c.min.X + (float64(i)+float64(n)/2)/r.c.sx
	my := r.c.min.Y + (float64(j)+float64(n)/2)/r.c.sy
	bounds := func(e int32) (lo, hi float64) {
		q := &r.t.planes[e>>2]
		v, d := q.d-q.nx*mx-q.ny*my, math.Abs(q.nx)*hw+math.Abs(q.ny)*hh
		return v - d, v + d
	}
	// How deep every point lies at the least.
	least := -r.slack
	for k := 0; k < len(from); {
		lo := math.Inf(1)
		for end := false; !end; k++ {
			l, _ := bounds(from[k])
			lo, end = min(lo, l), from[k]&endOfPiece != 0
		}
		least = max(least, lo-r.slack)
	}
	var out []int32
	for k := 0; k < len(from); {
		first, most := k, math.Inf(1) // how deep any point may lie in this piece
		for end := false; !end; k++ {
			_, h := bounds(from[k])
			most, end = min(most, h), from[k]&endOfPiece != 0
		}
		if most < least {
			continue
		}
		for _, e := range from[first:k] {
			if lo, _ := bounds(e); lo <= most+r.slack {
				out = append(out, e&^endOfPiece)
			}
		}
		out[len(out)-1] |= endOfPiece
	}
	return out
}

// depth is Table.Depth for a point of the table's box.
func (c *cells) depth(t *Table, x, y float64) (depth, nx, ny float64) {
	i := min(c.across-1, int((x-c.min.X)*c.sx))
	j := min(c.across-1, int((y-c.min.Y)*c.sy))
	at := c.at[j*c.across+i]
	if at == 0 {
		return 0, 0, 0
	}
	for {
		least, near := math.Inf(1), int32(0)
		for {
			e := c.list[at]
			at++
			q := &t.planes[e>>2]
			if d := q.d - q.nx*x - q.ny*y; d < least {
				least, near = d, e
			}
			if e&endOfPiece == 0 {
				continue
			}
			if least > depth {
				q = &t.planes[near>>2]
				depth, nx, ny = least, q.nx, q.ny
			}
			if e&endOfCell != 0 {
				return depth, nx, ny
			}
			break
		}
	}
}
