package report

import (
	_ "embed"
	"fmt"
	"html"
	"io"
	"math"
	"strconv"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
)

//go:embed assets/picture.css
var pictureCSS string

// SVGOptions shape a standalone picture of a sheet.
type SVGOptions struct {
	Title    string         // told to screen readers and shown on hovering
	Width    int            // pixels; 0 means 1000. The height follows from the drawing, at most twice the width
	Names    []string       // label of each part, written on it; nil: the part numbers
	Bare     bool           // no labels on the parts
	Findings []lint.Finding // a dot for each; nil for none
	Extents  geom.Box       // mm shown; empty or zero: all that is drawn
}

// SheetSVG writes a sheet as a picture that stands alone: light ground, parts
// tinted, holes, etching, tabs, bridges, open ends and doubled lines told apart.
func SheetSVG(w io.Writer, s *outline.Sheet, o SVGOptions) error {
	box := o.Extents
	if !usable(box) || box == (geom.Box{}) {
		box = sheetBox(s)
	}
	frame := framed(box)
	p := newPicture(geom.Pt(frame.Min.X, frame.Max.Y))
	if s != nil {
		p.sheet(s, nil)
		if !o.Bare {
			r := &lint.Result{Sheet: s, Names: o.Names}
			p.numbers(s, func(i int) string { return partName(r, i) }, frame.Diagonal(), nil)
		}
	}
	p.marks(o.Findings)

	width := o.Width
	if width <= 0 {
		width = 1000
	}
	height := int(math.Ceil(float64(width) * frame.H() / frame.W()))
	height = min(max(height, 40), 2*width)
	title := ""
	if t := clean(o.Title); t != "" {
		title = "<title>" + html.EscapeString(t) + "</title>\n"
	}
	_, err := fmt.Fprintf(w, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"%s\" width=\"%d\" height=\"%d\">\n%s<style>%s</style>\n"+
		"<rect class=\"ground\" width=\"%s\" height=\"%s\"/>\n<g class=\"board\">\n%s</g>\n</svg>\n",
		viewBox(frame), width, height, title, pictureCSS, appendSVGNumber(nil, frame.W()), appendSVGNumber(nil, frame.H()), p.String())
	return err
}

// framed returns the box with a border around it, and some box where there is
// nothing to show.
func framed(b geom.Box) geom.Box {
	if !usable(b) {
		b = geom.Box{Max: geom.Pt(100, 60)}
	}
	return b.Inflate(max(0.03*max(b.W(), b.H()), 1e-3))
}

// viewBox returns the attribute for a frame whose upper left is the origin.
func viewBox(frame geom.Box) string {
	return "0 0 " + strconv.FormatFloat(roundTo(frame.W()), 'f', -1, 64) + " " + strconv.FormatFloat(roundTo(frame.H()), 'f', -1, 64)
}
