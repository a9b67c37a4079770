package index

import (
	"math"

	"sluice/geom"
)

// Cell is a square of a grid without bounds.
type Cell struct{ X, Y int64 }

// CellOf returns the cell of a place in a grid whose cells have the given side, mm.
func CellOf(p geom.Point, side float64) Cell {
	return Cell{cellNumber(math.Floor(p.X / side)), cellNumber(math.Floor(p.Y / side))}
}

// Cells is a grid of square cells without bounds. A value goes into the cell of a
// point or into every cell that a box reaches into; values come back in the order
// in which they were added, cell by cell, columns first. Adding to a cell and
// looking into one take constant time.
type Cells[V any] struct {
	side   float64
	table  Table
	values []V     // by entry
	wide   []int32 // entries of boxes that reach into very many cells
	box    geom.Box
}

// NewCells returns an empty grid of cells with a side above 0, mm, with room for
// some entries.
func NewCells[V any](side float64, expect int) *Cells[V] {
	return &Cells[V]{side: side, table: *NewTable(expect), values: make([]V, 0, expect), box: geom.NoBox()}
}

// Add puts a value into the cell of p.
func (c *Cells[V]) Add(p geom.Point, v V) {
	c.box = c.box.Add(p)
	k := CellOf(p, c.side)
	c.enter(k.X, k.Y, v)
}

func (c *Cells[V]) enter(x, y int64, v V) {
	c.table.Append(Mix(x, y), int32(len(c.values)))
	c.values = append(c.values, v)
}

// wideBox is the number of cells from which on a box is kept on a list that every
// question goes through.
const wideBox = 1 << 12

// AddBox puts a value into every cell that a box reaches into: boxes should not be
// much wider than cells.
func (c *Cells[V]) AddBox(b geom.Box, v V) {
	c.box = c.box.Union(b)
	lo, hi := CellOf(b.Min, c.side), CellOf(b.Max, c.side)
	if (float64(hi.X-lo.X)+1)*(float64(hi.Y-lo.Y)+1) > wideBox {
		c.wide = append(c.wide, int32(len(c.values)))
		c.values = append(c.values, v)
		return
	}
	for x := lo.X; x <= hi.X; x++ {
		for y := lo.Y; y <= hi.Y; y++ {
			c.enter(x, y, v)
		}
	}
}

// In visits the values in the cells that a box reaches into: all whose point, box
// or piece it touches, and some further ones. A value that lies in several cells
// may come several times. A box that reaches into more cells than there are values
// costs no more than those. Very wide boxes come last.
func (c *Cells[V]) In(b geom.Box, visit func(v V) bool) bool {
	if !b.Overlaps(c.box) {
		return true
	}
	lo, hi := CellOf(b.Min, c.side), CellOf(b.Max, c.side)
	if c.many((float64(hi.X-lo.X) + 1) * (float64(hi.Y-lo.Y) + 1)) {
		return c.all(visit)
	}
	for x := lo.X; x <= hi.X; x++ {
		for y := lo.Y; y <= hi.Y; y++ {
			if !c.at(x, y, visit) {
				return false
			}
		}
	}
	return c.rest(visit)
}

// rest visits what lies in no cell.
func (c *Cells[V]) rest(visit func(v V) bool) bool {
	for _, k := range c.wide {
		if !visit(c.values[k]) {
			return false
		}
	}
	return true
}

// many reports whether it is as well to go through all values as through so many
// cells.
func (c *Cells[V]) many(cells float64) bool { return cells > float64(4*len(c.values)+64) }

func (c *Cells[V]) all(visit func(v V) bool) bool {
	for _, v := range c.values {
		if !visit(v) {
			return false
		}
	}
	return true
}

func (c *Cells[V]) at(x, y int64, visit func(v V) bool) bool {
	for k := range c.table.All(Mix(x, y)) {
		if !visit(c.values[k]) {
			return false
		}
	}
	return true
}

// Around visits the values within reach of p along x and y, and some further ones,
// as In does.
func (c *Cells[V]) Around(p geom.Point, reach float64, visit func(v V) bool) bool {
	return c.In(geom.BoxOf(p).Inflate(reach), visit)
}

// AddPiece puts a value into every cell that a piece passes, and into a few beside.
func (c *Cells[V]) AddPiece(p *geom.Piece, v V) {
	c.box = c.box.Union(p.Box())
	from := int32(len(c.values))
	c.along(p, 0, func(x, y int64) bool {
		if c.table.last(Mix(x, y)) < from { // not entered yet
			c.enter(x, y, v)
		}
		return true
	})
}

// Along visits the values in the cells within tol of a piece, as In does, in the
// order of the piece: far fewer than in its box where it is long and slants.
func (c *Cells[V]) Along(p *geom.Piece, tol float64, visit func(v V) bool) bool {
	if c.many(c.steps(p) * (1 + 2*tol/c.side)) {
		return c.all(visit)
	}
	return c.along(p, tol, func(x, y int64) bool { return c.at(x, y, visit) }) && c.rest(visit)
}

// steps returns into how many short runs a piece is taken apart to walk the cells.
func (c *Cells[V]) steps(p *geom.Piece) float64 {
	return max(1, math.Ceil(p.Length()/c.side), math.Ceil(math.Abs(p.Sweep)))
}

// along visits the cells within tol of a piece, some more than once.
func (c *Cells[V]) along(p *geom.Piece, tol float64, visit func(x, y int64) bool) bool {
	n := c.steps(p)
	bow := tol
	if p.R > 0 {
		bow += p.R * (1 - math.Cos(p.Sweep/n/2))
	}
	var last [2]Cell
	from := p.A
	for k := 1.0; k <= n; k++ {
		to := p.At(k / n)
		b := geom.BoxOf(from, to).Inflate(bow)
		from = to
		now := [2]Cell{CellOf(b.Min, c.side), CellOf(b.Max, c.side)}
		if k > 1 && now == last {
			continue
		}
		last = now
		for x := now[0].X; x <= now[1].X; x++ {
			for y := now[0].Y; y <= now[1].Y; y++ {
				if !visit(x, y) {
					return false
				}
			}
		}
	}
	return true
}
