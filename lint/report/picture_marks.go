package report

import (
	"fmt"
	"html"
	"math"

	"sluice/geom"
	"sluice/lint"
)

// signs is how large the marks of a picture are. They are open in the middle, so
// that they hide nothing, and smaller where there are many.
type signs struct {
	Pixels float64 // half their width on a board that shows all
	Radius float64 // half their width as drawn, mm; a page that zooms keeps their pixels
	Many   bool    // too many to be an element each
}

// Sizes of marks on a board, in pixels: half the width of a few, and the least; up
// to fewMarks have their full size.
const (
	largestMark  = 9.0
	smallestMark = 3.6
	fewMarks     = 14
	marksAlone   = 3000   // beyond, marks are gathered in long paths
	boardPixels  = 1000.0 // diagonal of a board on a screen of common size
)

// markOn returns how large n marks are on a board that shows a box.
func markOn(shown geom.Box, n int) signs {
	px := min(max(largestMark*math.Sqrt(fewMarks/float64(max(n, 1))), smallestMark), largestMark)
	return signs{math.Round(10*px) / 10, px * shown.Diagonal() / boardPixels, n > marksAlone}
}

// marks draws an open mark for each finding: a diamond for an error, a triangle for
// a warning, a ring for a note, as in lists. The lightest severity comes first so
// that the gravest lie on top. row returns the id of the row that tells a finding;
// nil: there is none.
func (p *picture) marks(fs []lint.Finding, m signs, row func(i int) string) {
	for _, s := range []lint.Severity{lint.Note, lint.Warning, lint.Error} {
		var at []geom.Point
		var of []int
		for i := range fs {
			if fs[i].Severity == s {
				at, of = append(at, seen(fs[i].At)), append(of, i)
			}
		}
		p.signs("ly mark "+s.String(), s, m, at, func(k int) string {
			if row == nil {
				return ""
			}
			return row(of[k])
		})
	}
}

// signs draws the sign of a severity at each place; row returns the id of the row
// it leads to, or "".
func (p *picture) signs(class string, s lint.Severity, m signs, at []geom.Point, row func(k int) string) {
	if len(at) == 0 {
		return
	}
	if m.Many {
		class += " many"
	}
	attributes := fmt.Sprintf("%s\" data-px=\"%s\" data-mm=\"%s", class, appendSVGNumber(nil, m.Pixels), appendSVGNumber(nil, m.Radius))
	p.group(attributes, func() {
		for k, q := range at {
			if !m.Many {
				p.flush()
				if id := row(k); id != "" {
					p.open = " data-for=\"" + html.EscapeString(id) + "\""
				}
			}
			p.path.sign(s, q, m.Radius)
			p.flushFull()
		}
		p.flush()
		p.open = ""
	})
}

// sign appends the outline of a severity's sign, its middle at q.
func (d *pathData) sign(s lint.Severity, q geom.Point, r float64) {
	if !q.Finite() {
		return
	}
	d.pieces++
	l := d.local(q)
	step := func(c string, v ...float64) {
		d.buf = append(d.buf, c...)
		for i, x := range v {
			if i > 0 {
				d.buf = append(d.buf, ' ')
			}
			d.number(x)
		}
	}
	switch s {
	case lint.Error:
		step("M", l.X, l.Y-r)
		step("l", r, r, -r, r, -r, -r)
	case lint.Warning:
		step("M", l.X, l.Y-r)
		step("l", r, 2*r, -2*r, 0)
	default:
		r *= 0.85
		step("M", l.X-r, l.Y)
		step("a", r, r, 0, 1, 0, 2*r, 0)
		step("a", r, r, 0, 1, 0, -2*r, 0)
	}
	d.buf = append(d.buf, 'z')
	d.down = false
}
