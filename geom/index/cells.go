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
	values []V // by entry
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

// AddBox puts a value into every cell that a box reaches into: boxes should not be
// much wider than cells.
func (c *Cells[V]) AddBox(b geom.Box, v V) {
	c.box = c.box.Union(b)
	lo, hi := CellOf(b.Min, c.side), CellOf(b.Max, c.side)
	for x := lo.X; x <= hi.X; x++ {
		for y := lo.Y; y <= hi.Y; y++ {
			c.enter(x, y, v)
		}
	}
}

// In visits the values in the cells that a box reaches into: all whose point or
// box it touches, and some further ones. A value that lies in several cells may
// come several times. A box wider than all that was added costs no more than that.
func (c *Cells[V]) In(b geom.Box, visit func(v V) bool) bool {
	if !b.Overlaps(c.box) {
		return true
	}
	lo, hi := CellOf(b.Min, c.side), CellOf(b.Max, c.side)
	if n := float64(len(c.values)); (float64(hi.X-lo.X)+1)*(float64(hi.Y-lo.Y)+1) > 4*n+16 {
		for _, v := range c.values {
			if !visit(v) {
				return false
			}
		}
		return true
	}
	for x := lo.X; x <= hi.X; x++ {
		for y := lo.Y; y <= hi.Y; y++ {
			for k := range c.table.All(Mix(x, y)) {
				if !visit(c.values[k]) {
					return false
				}
			}
		}
	}
	return true
}

// Around visits the values within reach of p along x and y, and some further ones,
// as In does.
func (c *Cells[V]) Around(p geom.Point, reach float64, visit func(v V) bool) bool {
	return c.In(geom.BoxOf(p).Inflate(reach), visit)
}
