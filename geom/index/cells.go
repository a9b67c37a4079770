package index

import (
	"math"

	"sluice/geom"
)

// Cells is a grid of square cells without bounds. A number goes into the cell of
// a point or into every cell that a box reaches into; numbers come back in the
// order in which they were added, cell by cell, columns first. Adding to a cell
// and looking into one take constant time.
type Cells struct {
	side  float64
	table Table
	ids   []int32 // by entry
	box   geom.Box
}

// NewCells returns an empty grid of cells with a side above 0, mm, with room for
// some entries.
func NewCells(side float64, expect int) *Cells {
	return &Cells{side: side, table: *NewTable(expect), ids: make([]int32, 0, expect), box: geom.NoBox()}
}

// column returns the column of x, or the row of y.
func (c *Cells) column(v float64) int64 { return cellNumber(math.Floor(v / c.side)) }

// Add puts a number into the cell of p.
func (c *Cells) Add(p geom.Point, id int32) {
	c.box = c.box.Add(p)
	c.enter(c.column(p.X), c.column(p.Y), id)
}

func (c *Cells) enter(x, y int64, id int32) {
	c.table.Append(Mix(x, y), int32(len(c.ids)))
	c.ids = append(c.ids, id)
}

// AddBox puts a number into every cell that a box reaches into: boxes should not
// be much wider than cells.
func (c *Cells) AddBox(b geom.Box, id int32) {
	c.box = c.box.Union(b)
	x1, y1 := c.column(b.Max.X), c.column(b.Max.Y)
	for x := c.column(b.Min.X); x <= x1; x++ {
		for y := c.column(b.Min.Y); y <= y1; y++ {
			c.enter(x, y, id)
		}
	}
}

// In visits the numbers in the cells that a box reaches into: all whose point or
// box it touches, and some further ones. A number that lies in several cells may
// come several times. A box wider than all that was added costs no more than that.
func (c *Cells) In(b geom.Box, visit func(id int32) bool) bool {
	if !b.Overlaps(c.box) {
		return true
	}
	x0, x1, y0, y1 := c.column(b.Min.X), c.column(b.Max.X), c.column(b.Min.Y), c.column(b.Max.Y)
	if n := float64(len(c.ids)); (float64(x1-x0)+1)*(float64(y1-y0)+1) > 4*n+16 {
		for _, id := range c.ids {
			if !visit(id) {
				return false
			}
		}
		return true
	}
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			for k := range c.table.All(Mix(x, y)) {
				if !visit(c.ids[k]) {
					return false
				}
			}
		}
	}
	return true
}

// Around visits the numbers within reach of p along x and y, and some further
// ones, as In does.
func (c *Cells) Around(p geom.Point, reach float64, visit func(id int32) bool) bool {
	return c.In(geom.BoxOf(p).Inflate(reach), visit)
}
