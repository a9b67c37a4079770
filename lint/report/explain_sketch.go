package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"sluice/geom"
	"sluice/lint"
)

// A sketch is a drawing in characters: each shows 2 by 4 dots (the Braille
// patterns of Unicode, U+2800 on), and what is material is set off by a dot in
// the middle.
const (
	sketchColumns = 36
	sketchRows    = 14
)

// sketch draws a flaw and its near miss side by side, with marks at the edges
// that point to the finding.
func (x *Flaw) sketch(w io.Writer) {
	wide := max(x.Window.W(), x.Window.H()*(2*sketchColumns)/(4*sketchRows))
	scale := 2 * sketchColumns / wide // dots in a mm
	bad, good := x.side(x.Bad, scale), x.side(x.Good, scale)
	mid := x.Window.Center()
	column := int(math.Round(sketchColumns/2 + (x.At.X-mid.X)*scale/2))
	row := int(math.Round(sketchRows/2 - (x.At.Y-mid.Y)*scale/4))
	fmt.Fprintf(w, "  %-*s  %s\n", sketchColumns+1, fmt.Sprintf("the flaw (%.3g mm from left to right)", wide), "a near miss, which passes")
	pointer := strings.Repeat(" ", min(max(column, 0), sketchColumns-1)) + "v"
	fmt.Fprintln(w, "   "+pointer)
	for i := range sketchRows {
		side := ' '
		if i == min(max(row, 0), sketchRows-1) {
			side = '>'
		}
		fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("  %c%s   %s", side, string(bad[i]), string(good[i])), " "))
	}
}

// side draws one drawing; scale is dots in a mm.
func (x *Flaw) side(r *lint.Result, scale float64) [sketchRows][]rune {
	var dots [sketchRows][sketchColumns]byte
	mid := x.Window.Center()
	// dot returns the place in dots, from the upper left.
	dot := func(p geom.Point) (int, int) {
		return int(math.Floor(sketchColumns + (p.X-mid.X)*scale)), int(math.Floor(sketchRows*2 - (p.Y-mid.Y)*scale))
	}
	var lines []geom.Piece
	for i := range r.Drawing.Strokes {
		lines = append(lines, r.Drawing.Strokes[i].Piece)
	}
	if s := x.Stock; !s.Empty() {
		a, b := geom.Pt(s.Max.X, s.Min.Y), geom.Pt(s.Min.X, s.Max.Y)
		lines = append(lines, geom.Line(s.Min, a), geom.Line(a, s.Max), geom.Line(s.Max, b), geom.Line(b, s.Min))
	}
	for _, p := range lines {
		for k, n := 0, int(min(4*p.Length()*scale, 20000))+1; k <= n; k++ {
			cx, cy := dot(p.At(float64(k) / float64(n)))
			if cx >= 0 && cy >= 0 && cx < 2*sketchColumns && cy < 4*sketchRows {
				dots[cy/4][cx/2] |= brailleBit[cy%4][cx%2]
			}
		}
	}
	var signs [sketchRows][]rune
	for row := range sketchRows {
		for col := range sketchColumns {
			sign := ' '
			switch at := mid.Add(geom.Pt((float64(2*col+1)-sketchColumns)/scale, (sketchRows*2-float64(4*row+2))/scale)); {
			case dots[row][col] != 0:
				sign = '\u2800' + rune(dots[row][col])
			case inMaterial(r, at):
				sign = '·'
			}
			signs[row] = append(signs[row], sign)
		}
	}
	letter(r, dot, &signs)
	return signs
}

// letter writes the texts of a drawing where they stand.
func letter(r *lint.Result, dot func(geom.Point) (int, int), lines *[sketchRows][]rune) {
	for _, t := range r.Drawing.Texts {
		cx, cy := dot(t.At)
		if cy < 0 || cy >= 4*sketchRows {
			continue
		}
		for i, c := range []rune(clean(t.Value)) {
			if k := cx/2 + i; k >= 0 && k < sketchColumns {
				lines[cy/4][k] = c
			}
		}
	}
}

// brailleBit is the bit of a dot in a Braille pattern, by row and column.
var brailleBit = [4][2]byte{{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}}

// inMaterial tells whether a place lies within an odd number of outlines.
func inMaterial(r *lint.Result, p geom.Point) bool {
	in := false
	for i := range r.Sheet.Outlines {
		if o := &r.Sheet.Outlines[i]; o.Box.Contains(p) && o.Pieces.Contains(p) {
			in = !in
		}
	}
	return in
}
