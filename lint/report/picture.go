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
	"sluice/lint/figures"
)

//go:embed assets/picture.css
var pictureCSS string

// svgPage is a picture that stands alone, to be written.
type svgPage struct {
	width, height float64 // of what it shows, mm
	pixels, tall  int     // width and height on the screen
	title         string  // told to screen readers and shown on hovering; "": none
	css           string
	shows         string // class of the board
	defs          string // what the board points to
	board, key    string // what is drawn, and what explains it
}

func (p *svgPage) write(w io.Writer) error {
	title, key, shows, defs := "", "", "", ""
	if t := clean(p.title); t != "" {
		title = "<title>" + html.EscapeString(t) + "</title>\n"
	}
	if p.key != "" {
		key = "<g class=\"key\">" + p.key + "</g>\n"
	}
	if p.defs != "" {
		defs = "<defs>\n" + p.defs + "</defs>\n"
	}
	if p.shows != "" {
		shows = " " + p.shows
	}
	_, err := fmt.Fprintf(w, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"%s\" width=\"%d\" height=\"%d\">\n%s<style>%s%s</style>\n"+
		"<rect class=\"ground\" width=\"%s\" height=\"%s\"/>\n%s<g class=\"board%s\">\n%s</g>\n%s</svg>\n",
		viewBox(p.width, p.height), p.pixels, p.tall, title, pictureCSS, p.css,
		appendSVGNumber(nil, p.width), appendSVGNumber(nil, p.height), defs, shows, p.board, key)
	return err
}

// viewBox returns the attribute for a frame whose upper left is the origin.
func viewBox(width, height float64) string {
	return "0 0 " + strconv.FormatFloat(roundTo(width), 'f', -1, 64) + " " + strconv.FormatFloat(roundTo(height), 'f', -1, 64)
}

// tallFor returns the height in pixels of a picture so many pixels wide that shows
// width by height mm: from least up to twice the width.
func tallFor(pixels int, width, height float64, least int) int {
	return min(max(int(math.Ceil(float64(pixels)*height/width)), least), 2*pixels)
}

// sheetSVG draws a sheet so many pixels wide, with a mark for each finding: light
// ground, parts tinted, holes, etching, tabs, bridges, open ends and doubled lines
// told apart. An empty box shows all that is drawn.
func sheetSVG(w io.Writer, s *outline.Sheet, shown geom.Box, fs []lint.Finding, pixels int, title string) error {
	if !shown.Finite() || shown == (geom.Box{}) {
		shown = figures.BoxOf(s)
	}
	frame := figures.Framed(shown)
	p := newPicture(frame)
	if s != nil {
		p.sheet(s, nil)
	}
	p.marks(fs, signs{6, 6 * frame.W() / float64(pixels), false}, nil)
	page := svgPage{width: frame.W(), height: frame.H(), pixels: pixels, tall: tallFor(pixels, frame.W(), frame.H(), 40), title: title, board: p.String()}
	return page.write(w)
}
