package diff

import (
	"math"

	"sluice/geom"
)

// grid finds things by place.
type grid struct {
	side  float64
	cells map[[2]int64][]int
}

// newGrid returns a grid with square cells of the given side, mm.
func newGrid(side float64) *grid { return &grid{side, map[[2]int64][]int{}} }

func cellOf(p geom.Point, side float64) [2]int64 {
	return [2]int64{int64(math.Floor(p.X / side)), int64(math.Floor(p.Y / side))}
}

func (g *grid) add(p geom.Point, i int) {
	c := cellOf(p, g.side)
	g.cells[c] = append(g.cells[c], i)
}

// around calls visit for the things within half a cell of p, and some further
// ones, until it returns false.
func (g *grid) around(p geom.Point, visit func(i int) bool) {
	h := g.side / 2
	lo, hi := cellOf(p.Sub(geom.Pt(h, h)), g.side), cellOf(p.Add(geom.Pt(h, h)), g.side)
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for _, i := range g.cells[[2]int64{x, y}] {
				if !visit(i) {
					return
				}
			}
		}
	}
}
