package report

import (
	"bytes"
	"fmt"
	"html"
	"math"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint/figures"
)

// picture draws sheets as SVG groups, a few long paths for each kind of line
// rather than an element for each piece, so that drawings of 10^5 pieces open.
type picture struct {
	bytes.Buffer
	path pathData
	open string // attributes of the path being gathered
}

// Limits beyond which a picture stops having an element for every part.
const (
	piecesPerPath = 256  // a path is ended when it has this many pieces, so that a browser can skip those out of sight
	wordsShown    = 2000 // texts of the drawing that are shown
)

// newPicture starts a picture whose upper left is that of the frame.
func newPicture(frame geom.Box) *picture {
	return &picture{path: pathData{origin: geom.Pt(frame.Min.X, frame.Max.Y)}}
}

func (p *picture) group(class string, draw func()) {
	mark := p.Len()
	fmt.Fprintf(p, "<g class=\"%s\">", class)
	inner := p.Len()
	draw()
	p.flush()
	if p.Len() == inner {
		p.Truncate(mark) // leave out empty groups
		return
	}
	p.WriteString("</g>\n")
}

// flush writes the path gathered so far.
func (p *picture) flush() {
	if len(p.path.buf) > 0 {
		fmt.Fprintf(p, "<path%s d=\"%s\"/>", p.open, p.path.buf)
	}
	p.path.reset()
}

// flushFull ends the path once it is long.
func (p *picture) flushFull() {
	if p.path.pieces >= piecesPerPath {
		p.flush()
	}
}

// sheet draws everything of a sheet but texts and markers. named returns
// attributes for the fill of part i; nil where parts need no names.
func (p *picture) sheet(s *outline.Sheet, named func(i int) string) {
	p.group("ly fill", func() {
		for i := range s.Parts {
			pt := &s.Parts[i]
			if len(s.Parts) <= figures.LabeledParts {
				p.flush()
				if named != nil {
					p.open = named(i)
				}
			} else {
				p.flushFull()
			}
			for _, o := range append([]int32{pt.Outer}, pt.Holes...) {
				if o >= 0 && int(o) < len(s.Outlines) {
					p.path.closed(s.Outlines[o].Pieces)
				}
			}
		}
		p.flush()
		p.open = ""
	})
	hole := func(o *outline.Outline) bool { return o.Hole() }
	p.outlines("ly outside", s, func(o *outline.Outline, f outline.Flag) bool { return f == 0 && !hole(o) })
	p.outlines("ly inside", s, func(o *outline.Outline, f outline.Flag) bool { return f == 0 && hole(o) })
	p.group("ly outside", func() { // what crosses and hangs together is cut as it was drawn
		for i := range s.Tangles {
			p.line(s.Tangles[i].Pieces)
		}
	})
	p.opens("ly etch", s.Etch)
	p.opens("ly open", s.Open)
	p.opens("ly open noted", s.Noted)
	p.opens("ly open noted", s.AsidePaths())
	p.outlines("ly bridge", s, func(_ *outline.Outline, f outline.Flag) bool { return f&outline.IsBridge != 0 })
	p.outlines("ly tab", s, func(_ *outline.Outline, f outline.Flag) bool { return f&outline.IsTab != 0 })
	p.group("ly twice", func() {
		for i := range s.Overlaps {
			p.path.add(&s.Overlaps[i].Piece)
			p.flushFull()
		}
		for i := range s.Shared {
			p.line(s.Shared[i].Pieces)
		}
	})
	p.group("ly end", func() {
		for i := range s.Gaps {
			g := &s.Gaps[i]
			p.path.dot(g.A)
			if g.Partner && g.B != g.A {
				p.path.dot(g.B)
			}
			p.flushFull()
		}
	})
}

// outlines draws the pieces of all outlines that want selects.
func (p *picture) outlines(class string, s *outline.Sheet, want func(*outline.Outline, outline.Flag) bool) {
	p.group(class, func() {
		for i := range s.Outlines {
			o := &s.Outlines[i]
			for k := range o.Pieces {
				var f outline.Flag
				if k < len(o.Flags) {
					f = o.Flags[k]
				}
				if want(o, f) {
					p.path.add(&o.Pieces[k])
				}
			}
			p.flushFull()
		}
	})
}

func (p *picture) opens(class string, paths []outline.Open) {
	p.group(class, func() {
		for i := range paths {
			p.line(paths[i].Pieces)
		}
	})
}

// line draws a path as it is.
func (p *picture) line(path geom.Path) {
	for k := range path {
		p.path.add(&path[k])
	}
	p.flushFull()
}

// labels writes the number of each part.
func (p *picture) labels(list []figures.Label) {
	p.group("ly number", func() {
		for _, l := range list {
			p.text(l.At, l.Height, 0, true, l.Text)
		}
	})
}

// words writes the texts carried over from the drawing.
func (p *picture) words(texts []drawing.Text) {
	p.group("ly words", func() {
		for i := range texts[:min(len(texts), wordsShown)] {
			t := &texts[i]
			if v := clean(t.Value); v != "" && t.At.Finite() && t.Height > 0 && !math.IsInf(t.Height, 0) {
				p.text(t.At, t.Height, finite(t.Angle), t.Centered, v)
			}
		}
	})
}

// text writes one text; size in mm, angle in radians. The size is an attribute
// rather than a style, which a strict content policy would drop.
func (p *picture) text(at geom.Point, size, angle float64, centred bool, s string) {
	q := p.path.local(at)
	x, y := string(appendSVGNumber(nil, q.X)), string(appendSVGNumber(nil, q.Y))
	fmt.Fprintf(p, "<text x=\"%s\" y=\"%s\" font-size=\"%s\"", x, y, appendSVGNumber(nil, size))
	if centred {
		p.WriteString(" text-anchor=\"middle\" dy=\".35em\"")
	}
	if angle != 0 {
		fmt.Fprintf(p, " transform=\"rotate(%s %s %s)\"", appendSVGNumber(nil, -angle*180/math.Pi), x, y)
	}
	p.WriteString(">" + html.EscapeString(s) + "</text>")
}

// stock draws the rectangle of the sheet, if there is one, and, dashed, its margin.
func (p *picture) stock(b geom.Box, margin float64) {
	if !b.Finite() {
		return
	}
	p.group("ly stock", func() { p.rect(b) })
	if in := b.Inflate(-margin); margin > 0 && in.Finite() {
		p.group("ly margin", func() { p.rect(in) })
	}
}

// clamps draws the clamp zones, each with its diagonals.
func (p *picture) clamps(zones []geom.Box) {
	p.group("ly clamp", func() {
		for _, z := range zones {
			if !z.Finite() {
				continue
			}
			p.rect(z)
			for _, d := range [2]geom.Piece{geom.Line(z.Min, z.Max), geom.Line(geom.Pt(z.Min.X, z.Max.Y), geom.Pt(z.Max.X, z.Min.Y))} {
				p.path.add(&d)
			}
		}
	})
}

func (p *picture) rect(b geom.Box) {
	q := p.path.local(geom.Pt(b.Min.X, b.Max.Y))
	fmt.Fprintf(p, "<rect x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\"/>", appendSVGNumber(nil, q.X), appendSVGNumber(nil, q.Y),
		appendSVGNumber(nil, b.W()), appendSVGNumber(nil, b.H()))
}
