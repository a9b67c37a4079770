package geomtest

import (
	"bufio"
	"fmt"
	"io"
	"math"

	"sluice/geom"
)

// EntitiesPerPart is how many entities WriteSheet draws for each part.
const EntitiesPerPart = 40

// Grid lays n parts out in rows and returns the lower left corner of part i; the
// parts are pitch mm apart both ways.
func Grid(n, i int, pitch float64) geom.Point {
	cols := int(math.Ceil(math.Sqrt(float64(n))))
	return geom.Pt(float64(i%cols)*pitch, float64(i/cols)*pitch)
}

// WriteSheet writes a drawing of n plates as text, in the manner of a drawing
// program: LINE, ARC, CIRCLE and LWPOLYLINE with handles and subclass marks, 40
// entities a part and about 170 bytes an entity. Each plate is 110 mm square
// with rounded corners, four notches, eight bolt holes and eight slots, and has
// no flaw but that it carries no number.
func WriteSheet(w io.Writer, n int) error {
	b := bufio.NewWriterSize(w, 1<<20)
	fmt.Fprint(b, "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n")
	h := 0x100
	head := func(kind, sub string) {
		h++
		fmt.Fprintf(b, "  0\n%s\n  5\n%X\n330\n1F\n100\nAcDbEntity\n  8\nPLATE\n100\n%s\n", kind, h, sub)
	}
	line := func(x0, y0, x1, y1 float64) {
		head("LINE", "AcDbLine")
		fmt.Fprintf(b, " 10\n%.8f\n 20\n%.8f\n 30\n0.0\n 11\n%.8f\n 21\n%.8f\n 31\n0.0\n", x0, y0, x1, y1)
	}
	circle := func(x, y, r float64) {
		head("CIRCLE", "AcDbCircle")
		fmt.Fprintf(b, " 10\n%.8f\n 20\n%.8f\n 30\n0.0\n 40\n%.8f\n", x, y, r)
	}
	arc := func(x, y, r, a0, a1 float64) {
		head("ARC", "AcDbCircle")
		fmt.Fprintf(b, " 10\n%.8f\n 20\n%.8f\n 30\n0.0\n 40\n%.8f\n100\nAcDbArc\n 50\n%.6f\n 51\n%.6f\n", x, y, r, a0, a1)
	}
	slot := func(x, y, l, d float64) { // along x, with round ends
		head("LWPOLYLINE", "AcDbPolyline")
		fmt.Fprintf(b, " 90\n4\n 70\n1\n 10\n%.8f\n 20\n%.8f\n 10\n%.8f\n 20\n%.8f\n 42\n1.0\n 10\n%.8f\n 20\n%.8f\n 10\n%.8f\n 20\n%.8f\n 42\n1.0\n",
			x, y, x+l, y, x+l, y+d, x, y+d)
	}
	for i := range n {
		o := Grid(n, i, 120)
		x, y := o.X, o.Y
		const s, r, nw, nd = 110.0, 5.0, 6.0, 8.0
		// Each side: line, notch of three lines, line; then a rounded corner.
		side := func(ax, ay, dx, dy, ix, iy float64) {
			p := func(along, in float64) (float64, float64) { return ax + dx*along + ix*in, ay + dy*along + iy*in }
			at := [][2]float64{{r, 0}, {s/2 - nw/2, 0}, {s/2 - nw/2, nd}, {s/2 + nw/2, nd}, {s/2 + nw/2, 0}, {s - r, 0}}
			for k := range len(at) - 1 {
				x0, y0 := p(at[k][0], at[k][1])
				x1, y1 := p(at[k+1][0], at[k+1][1])
				line(x0, y0, x1, y1)
			}
		}
		side(x, y, 1, 0, 0, 1)
		arc(x+s-r, y+r, r, 270, 0)
		side(x+s, y, 0, 1, -1, 0)
		arc(x+s-r, y+s-r, r, 0, 90)
		side(x+s, y+s, -1, 0, 0, -1)
		arc(x+r, y+s-r, r, 90, 180)
		side(x, y+s, 0, -1, 1, 0)
		arc(x+r, y+r, r, 180, 270)
		for k := range 8 {
			circle(x+15+float64(k)*11.4, y+30, 2.5)
			slot(x+25+float64(k%4)*16, y+50+float64(k/4)*20, 8, 4)
		}
	}
	fmt.Fprint(b, "  0\nENDSEC\n  0\nEOF\n")
	return b.Flush()
}
