package index

import (
	"math"

	"sluice/geom"
)

// Grid sorts pieces into square cells so that only neighbours are compared.
// Cells are numbered row by row from the lower left; each lists the pieces that
// come within the pad of it, ascending. Built in time linear in the pieces and the
// cells that they cross.
type Grid struct {
	Box        geom.Box // that the cells fill
	Side       float64  // of a cell, mm
	Cols, Rows int
	n          int
	start      []int32 // by cell, and one more: where its pieces begin in items
	items      []int32
	pad        float64
}

// NewGrid sorts n pieces into cells. A piece goes into every cell that comes
// within pad mm of it; piece is asked for each several times. side is that of the
// cells, mm; 0 takes the larger of the two that give about one piece a cell by
// area and four cells a piece by length (measured on drawings of 10^5 pieces).
func NewGrid(n int, piece func(i int) *geom.Piece, pad, side float64) *Grid {
	g := &Grid{Box: geom.NoBox(), n: n, pad: pad, Side: side}
	var total float64
	for i := range n {
		b := piece(i).Box()
		if b.Min.Finite() && b.Max.Finite() {
			g.Box = g.Box.Union(b)
			total += max(b.W(), b.H())
		}
	}
	if g.Box.Empty() {
		g.Box = geom.Box{}
	}
	g.Box = g.Box.Inflate(2*pad + 1e-9*(1+math.Abs(g.Box.Max.X)+math.Abs(g.Box.Max.Y)))
	w, h := g.Box.W(), g.Box.H()
	if side == 0 {
		nf := float64(max(n, 1))
		g.Side = max(math.Sqrt(w*h/nf), total/(3*nf), max(w, h)/4096, 8*pad)
	}
	if !(g.Side > 0) {
		g.Side = 1
	}
	g.Cols = max(1, int(math.Ceil(w/g.Side)))
	g.Rows = max(1, int(math.Ceil(h/g.Side)))
	// Two passes: count, then fill, so that the lists lie side by side.
	cells := g.Cols * g.Rows
	g.start = make([]int32, cells+1)
	s := walk{g: g, stamp: make([]int32, cells)}
	for i := range n {
		s.along(piece(i), pad, func(c int) { g.start[c+1]++ })
	}
	for c := range cells {
		g.start[c+1] += g.start[c]
	}
	g.items = make([]int32, g.start[cells])
	fill := make([]int32, cells)
	copy(fill, g.start)
	for i := range n {
		s.along(piece(i), pad, func(c int) {
			g.items[fill[c]] = int32(i)
			fill[c]++
		})
	}
	return g
}

// Col returns the column of a coordinate, the first or the last for those beyond.
func (g *Grid) Col(x float64) int {
	return min(g.Cols-1, max(0, int((x-g.Box.Min.X)/g.Side)))
}

// Row returns the row of a coordinate, the first or the last for those beyond.
func (g *Grid) Row(y float64) int {
	return min(g.Rows-1, max(0, int((y-g.Box.Min.Y)/g.Side)))
}

// Cell returns the box of a cell.
func (g *Grid) Cell(row, col int) geom.Box {
	return geom.Box{Min: g.corner(row, col), Max: g.corner(row+1, col+1)}
}

func (g *Grid) corner(row, col int) geom.Point {
	return geom.Pt(g.Box.Min.X+float64(col)*g.Side, g.Box.Min.Y+float64(row)*g.Side)
}

// At returns the pieces in a cell, ascending. It is the grid's own list.
func (g *Grid) At(row, col int) []int32 {
	c := row*g.Cols + col
	return g.items[g.start[c]:g.start[c+1]]
}

// walk lists the cells near a piece, each once if it has stamps.
type walk struct {
	g     *Grid
	stamp []int32 // by cell: the last turn in which it was listed
	turn  int32
}

// along visits the cells within pad of a piece.
func (s *walk) along(p *geom.Piece, pad float64, f func(cell int)) {
	g := s.g
	b := p.Box().Inflate(pad)
	c0, c1, r0, r1 := g.Col(b.Min.X), g.Col(b.Max.X), g.Row(b.Min.Y), g.Row(b.Max.Y)
	if (c1-c0 < 2 && r1-r0 < 2) || c0 == c1 || r0 == r1 {
		for r := r0; r <= r1; r++ {
			for c := c0; c <= c1; c++ {
				f(r*g.Cols + c)
			}
		}
		return
	}
	if p.R == 0 {
		s.line(p.A, p.B, pad, f)
		return
	}
	s.turn++
	n := max(4, min(256, int(p.Length()/(2*g.Side))))
	once := f
	if s.stamp != nil {
		once = func(c int) {
			if s.stamp[c] != s.turn {
				s.stamp[c] = s.turn
				f(c)
			}
		}
	}
	sag := p.R * (1 - math.Cos(min(math.Pi, math.Abs(p.Sweep)/float64(2*n))))
	a := p.A
	for i := 1; i <= n; i++ {
		e := p.At(float64(i) / float64(n))
		s.line(a, e, pad+sag, once)
		a = e
	}
}

// line lists the cells that come within pad of the line ab.
func (s *walk) line(a, b geom.Point, pad float64, f func(cell int)) {
	g := s.g
	if a.Y > b.Y {
		a, b = b, a
	}
	r0, r1 := g.Row(a.Y-pad), g.Row(b.Y+pad)
	x0, x1 := min(a.X, b.X)-pad, max(a.X, b.X)+pad
	dy := b.Y - a.Y
	for r := r0; r <= r1; r++ {
		lo, hi := x0, x1
		if dy > 0 && r1 > r0 {
			// The part of the line between the row's edges, widened by pad; on
			// a flat line pad in y is a long way in x.
			y0 := g.Box.Min.Y + float64(r)*g.Side - pad
			y1 := y0 + g.Side + 2*pad
			xa := a.X + (b.X-a.X)*max(0, min(1, (y0-a.Y)/dy))
			xb := a.X + (b.X-a.X)*max(0, min(1, (y1-a.Y)/dy))
			lo, hi = max(lo, min(xa, xb)-pad), min(hi, max(xa, xb)+pad)
		}
		for c, ce := g.Col(lo), g.Col(hi); c <= ce; c++ {
			f(r*g.Cols + c)
		}
	}
}

// Search asks a grid for pieces, each once an answer. It serves one goroutine; a
// grid can have many.
type Search struct {
	*Grid
	seen  []uint32 // by piece: the round in which it was met
	round uint32
	cells []int // near the piece asked for
	walk  walk
}

// Search returns a new search of the grid.
func (g *Grid) Search() *Search {
	return &Search{Grid: g, seen: make([]uint32, g.n), walk: walk{g: g}}
}

// once begins a round in which each piece is visited once.
func (s *Search) once() {
	if s.round++; s.round == 0 {
		clear(s.seen)
		s.round = 1
	}
}

func (s *Search) cell(c int, visit func(i int32) bool) bool {
	for _, i := range s.items[s.start[c]:s.start[c+1]] {
		if s.seen[i] == s.round {
			continue
		}
		s.seen[i] = s.round
		if !visit(i) {
			return false
		}
	}
	return true
}

// In visits the pieces in the cells that a box reaches into, row by row: all that
// come within the grid's pad of it, and some further ones. Boxes beyond the grid
// look into the cells at its edge.
func (s *Search) In(b geom.Box, visit func(i int32) bool) bool {
	if b.Empty() || !b.Overlaps(s.Box) {
		return true
	}
	s.once()
	c0, c1, r0, r1 := s.Col(b.Min.X), s.Col(b.Max.X), s.Row(b.Min.Y), s.Row(b.Max.Y)
	for r := r0; r <= r1; r++ {
		for c := c0; c <= c1; c++ {
			if !s.cell(r*s.Cols+c, visit) {
				return false
			}
		}
	}
	return true
}

// Along visits the pieces in the cells within tol (mm) of p: all that come within
// the grid's pad and tol of it, and some further ones. It looks into far fewer
// cells than In where p is long and lies at a slant.
func (s *Search) Along(p *geom.Piece, tol float64, visit func(i int32) bool) bool {
	if !p.Box().Inflate(tol).Overlaps(s.Box) {
		return true
	}
	s.once()
	s.cells = s.cells[:0]
	s.walk.along(p, tol, func(c int) { s.cells = append(s.cells, c) })
	for _, c := range s.cells {
		if !s.cell(c, visit) {
			return false
		}
	}
	return true
}
