package report

import (
	"fmt"
	"html"
	"io"
	"math"

	"sluice/fix/paths"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/cutting"
)

// pathsCSS draws what is run over a sheet: the middle of the stream, its leads,
// the ways between, and a dot at every pierce.
const pathsCSS = `.board .path path{stroke:#7a3d78;stroke-width:1px}
.board .lead path{stroke:#9c3420;stroke-width:1.4px}
.board .travel path{stroke:#56707a;stroke-width:.8px;stroke-dasharray:4 4}
.board .start path{stroke:#9c3420;stroke-width:5px}
`

// plan draws the paths of a plan, each kind of line in a group of its own.
func (p *picture) plan(pl *paths.Plan) {
	draw := func(class string, of func(i int) geom.Path) {
		p.group("ly "+class, func() {
			for i := range pl.Cuts {
				for _, q := range of(i) {
					p.path.add(&q)
				}
				p.flushFull()
			}
		})
	}
	draw("travel", func(i int) geom.Path {
		var way geom.Path
		if i < len(pl.Moves) {
			for k := 1; k < len(pl.Moves[i].Way); k++ {
				way = append(way, geom.Line(pl.Moves[i].Way[k-1], pl.Moves[i].Way[k]))
			}
		}
		return way
	})
	draw("path", func(i int) geom.Path { return pl.Cuts[i].Run })
	draw("lead", func(i int) geom.Path {
		return append(pl.Cuts[i].In[:len(pl.Cuts[i].In):len(pl.Cuts[i].In)], pl.Cuts[i].Out...)
	})
	p.group("ly start", func() {
		for i := range pl.Cuts {
			p.path.dot(pl.Cuts[i].Start())
			p.flushFull()
		}
	})
}

// mostRouted is how many pieces a drawing may have for the paths to run to be
// drawn in its report.
const mostRouted = 20000

// routes draws the paths to run over the drawing after a repair. It reports
// whether there are any.
func routes(p *picture, r *lint.Result) bool {
	if r.Sheet == nil || r.Job == nil {
		return false
	}
	n := 0
	for i := range r.Sheet.Outlines {
		n += len(r.Sheet.Outlines[i].Pieces)
	}
	if n == 0 || n > mostRouted {
		return false
	}
	pl := cutting.Paths(r.Sheet, r.Job, r.Extents)
	if len(pl.Cuts) == 0 {
		return false
	}
	p.group("ly route late", func() { p.plan(pl) })
	return true
}

// PathsSVG writes a sheet with the paths to run over it as a picture that stands
// alone.
func PathsSVG(w io.Writer, s *outline.Sheet, pl *paths.Plan, title string) error {
	box := sheetBox(s)
	for i := range pl.Cuts {
		if b := pl.Cuts[i].Path().Box(); usable(b) {
			box = box.Union(b)
		}
	}
	frame := framed(box)
	p := newPicture(geom.Pt(frame.Min.X, frame.Max.Y))
	p.sheet(s, nil)
	p.plan(pl)
	const width = 1400
	height := min(max(int(math.Ceil(width*frame.H()/frame.W())), 40), 2*width)
	_, err := fmt.Fprintf(w, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"%s\" width=\"%d\" height=\"%d\">\n<title>%s</title>\n<style>%s%s</style>\n"+
		"<rect class=\"ground\" width=\"%s\" height=\"%s\"/>\n<g class=\"board\">\n%s</g>\n</svg>\n",
		viewBox(frame), width, height, html.EscapeString(clean(title)), pictureCSS, pathsCSS,
		appendSVGNumber(nil, frame.W()), appendSVGNumber(nil, frame.H()), p.String())
	return err
}
