package outline

import (
	"math"

	"sluice/geom"
)

// grid sorts pieces into square cells so that only neighbours are compared.
// Cells are numbered row by row from the lower left. items[start[c]:start[c+1]]
// are the pieces that may touch cell c, ascending.
type grid struct {
	box    geom.Box
	cell   float64
	nx, ny int
	start  []int32
	items  []int32
	pad    float64
}

// newGrid sorts n pieces into cells. A piece goes into every cell that comes
// within pad of it. The cell size is the larger of the two that give about one
// piece a cell by area and four cells a piece by length.
func newGrid(n int, piece func(i int) *geom.Piece, pad float64) *grid {
	g := &grid{box: geom.NoBox(), pad: pad}
	var total float64
	for i := range n {
		p := piece(i)
		b := p.Box()
		g.box = g.box.Union(b)
		total += max(b.W(), b.H())
	}
	if n == 0 {
		g.box = geom.Box{}
	}
	g.box = g.box.Inflate(2*pad + 1e-9*(1+math.Abs(g.box.Max.X)+math.Abs(g.box.Max.Y)))
	w, h := g.box.W(), g.box.H()
	nf := float64(max(n, 1))
	g.cell = max(math.Sqrt(w*h/nf), total/(3*nf), max(w, h)/4096, 8*pad)
	if !(g.cell > 0) {
		g.cell = 1
	}
	g.nx = max(1, int(math.Ceil(w/g.cell)))
	g.ny = max(1, int(math.Ceil(h/g.cell)))
	// Two passes: count, then fill, so that the lists lie side by side.
	g.start = make([]int32, g.nx*g.ny+1)
	s := newSpread(g)
	for i := range n {
		s.each(piece(i), func(c int) { g.start[c+1]++ })
	}
	for c := range g.nx * g.ny {
		g.start[c+1] += g.start[c]
	}
	g.items = make([]int32, g.start[g.nx*g.ny])
	fill := make([]int32, g.nx*g.ny)
	copy(fill, g.start)
	s = newSpread(g)
	for i := range n {
		s.each(piece(i), func(c int) {
			g.items[fill[c]] = int32(i)
			fill[c]++
		})
	}
	return g
}

// col and row give the cell column and row of a coordinate, kept in range.
func (g *grid) col(x float64) int {
	return min(g.nx-1, max(0, int((x-g.box.Min.X)/g.cell)))
}

func (g *grid) row(y float64) int {
	return min(g.ny-1, max(0, int((y-g.box.Min.Y)/g.cell)))
}

// boxOf returns the box of a cell.
func (g *grid) boxOf(row, col int) geom.Box {
	return geom.Box{Min: g.corner(row, col), Max: g.corner(row+1, col+1)}
}

func (g *grid) corner(row, col int) geom.Point {
	return geom.Pt(g.box.Min.X+float64(col)*g.cell, g.box.Min.Y+float64(row)*g.cell)
}

// spread lists the cells near a piece, each once.
type spread struct {
	g     *grid
	stamp []int32
	turn  int32
}

func newSpread(g *grid) *spread { return &spread{g: g, stamp: make([]int32, g.nx*g.ny)} }

func (s *spread) each(p *geom.Piece, f func(cell int)) {
	g := s.g
	b := p.Box().Inflate(g.pad)
	c0, c1, r0, r1 := g.col(b.Min.X), g.col(b.Max.X), g.row(b.Min.Y), g.row(b.Max.Y)
	if (c1-c0 < 2 && r1-r0 < 2) || c0 == c1 || r0 == r1 {
		for r := r0; r <= r1; r++ {
			for c := c0; c <= c1; c++ {
				f(r*g.nx + c)
			}
		}
		return
	}
	if p.R == 0 {
		s.line(p.A, p.B, g.pad, f)
		return
	}
	s.turn++
	n := max(4, min(256, int(p.Length()/(2*g.cell))))
	once := func(c int) {
		if s.stamp[c] != s.turn {
			s.stamp[c] = s.turn
			f(c)
		}
	}
	a := p.A
	for i := 1; i <= n; i++ {
		e := p.At(float64(i) / float64(n))
		sag := p.R * (1 - math.Cos(min(math.Pi, math.Abs(p.Sweep)/float64(2*n))))
		s.line(a, e, g.pad+sag, once)
		a = e
	}
}

// line lists the cells that come within pad of the line ab.
func (s *spread) line(a, b geom.Point, pad float64, f func(cell int)) {
	g := s.g
	if a.Y > b.Y {
		a, b = b, a
	}
	r0, r1 := g.row(a.Y-pad), g.row(b.Y+pad)
	x0, x1 := min(a.X, b.X)-pad, max(a.X, b.X)+pad
	dy := b.Y - a.Y
	for r := r0; r <= r1; r++ {
		lo, hi := x0, x1
		if dy > 0 && r1 > r0 {
			// The part of the line between the row's edges, widened by pad; on
			// a flat line pad in y is a long way in x.
			y0 := g.box.Min.Y + float64(r)*g.cell - pad
			y1 := y0 + g.cell + 2*pad
			xa := a.X + (b.X-a.X)*max(0, min(1, (y0-a.Y)/dy))
			xb := a.X + (b.X-a.X)*max(0, min(1, (y1-a.Y)/dy))
			lo, hi = max(lo, min(xa, xb)-pad), min(hi, max(xa, xb)+pad)
		}
		for c, ce := g.col(lo), g.col(hi); c <= ce; c++ {
			f(r*g.nx + c)
		}
	}
}
