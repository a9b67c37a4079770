package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"sluice/geom"
	"sluice/geom/drawing"
)

// Size of a glance, in characters.
const (
	glanceCols = 44
	glanceRows = 11
)

// Glance draws what lies about a place in characters, with the place in the middle
// marked, for a terminal: in dots of braille patterns (Unicode 2800), eight to a
// character, or plain. box is what the place is about, mm; nothing is drawn where
// nothing lies near.
func Glance(w io.Writer, d *drawing.Drawing, at geom.Point, box geom.Box, plain bool) {
	if !at.Finite() {
		return
	}
	dotsX, dotsY := 2, 4
	if plain {
		dotsX, dotsY = 1, 1
	}
	g := glance{w: glanceCols * dotsX, h: glanceRows * dotsY}
	// A character is about twice as high as wide: a dot of braille is square, a plain
	// one is not.
	aspect := 1.0
	if plain {
		aspect = 2
	}
	span := leastGlance
	if box.Finite() && !box.Empty() {
		span = min(max(span, 2*max(box.W(), box.H()*float64(glanceCols)/(2*glanceRows))), mostGlance)
	}
	g.dx = span / float64(g.w)
	g.dy = g.dx * aspect
	g.at = at
	g.dots = make([]bool, g.w*g.h)
	window := geom.Box{Min: at.Sub(geom.Pt(span/2, g.dy*float64(g.h)/2)), Max: at.Add(geom.Pt(span/2, g.dy*float64(g.h)/2))}
	for i := range d.Strokes {
		if s := &d.Strokes[i]; s.Box().Overlaps(window) {
			g.draw(&s.Piece)
		}
	}
	if !g.any {
		return
	}
	for row := range glanceRows {
		var line strings.Builder
		for col := range glanceCols {
			switch {
			case row == glanceRows/2 && col == glanceCols/2:
				line.WriteByte('X')
			case plain:
				line.WriteByte(" .*"[g.count(col, row, 1, 1)*2])
			default:
				line.WriteRune(g.braille(col, row))
			}
		}
		fmt.Fprintf(w, "    |%s|\n", line.String())
	}
	fmt.Fprintf(w, "     %-*s %s mm wide\n", glanceCols-16, "X is the place;", fixed(span, 0))
}

// Widths of what is shown, mm.
const (
	leastGlance = 24.0
	mostGlance  = 400.0
)

// glance is a field of dots.
type glance struct {
	w, h   int
	dx, dy float64 // mm between dots
	at     geom.Point
	dots   []bool
	any    bool
}

// draw sets the dots along a piece.
func (g *glance) draw(p *geom.Piece) {
	n := int(min(max(math.Ceil(1.5*p.Length()/min(g.dx, g.dy)), 1), 20000))
	for k := range n + 1 {
		q := p.At(float64(k) / float64(n))
		x, y := int(math.Floor((q.X-g.at.X)/g.dx))+g.w/2, g.h/2-1-int(math.Floor((q.Y-g.at.Y)/g.dy))
		if x >= 0 && y >= 0 && x < g.w && y < g.h {
			g.dots[y*g.w+x], g.any = true, true
		}
	}
}

// count counts the dots of a character.
func (g *glance) count(col, row, dx, dy int) (n int) {
	for y := row * dy; y < (row+1)*dy; y++ {
		for x := col * dx; x < (col+1)*dx; x++ {
			if g.dots[y*g.w+x] {
				n++
			}
		}
	}
	return n
}

// brailleDots are the bits of a braille pattern by row and column (Unicode, chapter
// 21.1: dots 1 to 3 and 7 on the left, 4 to 6 and 8 on the right).
var brailleDots = [4][2]rune{{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}}

func (g *glance) braille(col, row int) rune {
	r := rune(0x2800)
	for y := range 4 {
		for x := range 2 {
			if g.dots[(row*4+y)*g.w+col*2+x] {
				r |= brailleDots[y][x]
			}
		}
	}
	return r
}
