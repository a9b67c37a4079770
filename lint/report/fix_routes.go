package report

import (
	"io"

	"sluice/geom"
	"sluice/lint/cutting/paths"
	"sluice/lint/figures"
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

// RoutesSVG writes a sheet with the paths to run over it as a picture that stands
// alone.
func RoutesSVG(w io.Writer, r *Routes) error {
	box := figures.BoxOf(r.Sheet)
	for i := range r.Plan.Cuts {
		if b := r.Plan.Cuts[i].Path().Box(); b.Finite() {
			box = box.Union(b)
		}
	}
	frame := figures.Framed(box)
	p := newPicture(frame)
	p.sheet(r.Sheet, nil)
	p.plan(r.Plan)
	page := svgPage{width: frame.W(), height: frame.H(), pixels: 1400, tall: tallFor(1400, frame.W(), frame.H(), 40), title: r.Title, css: pathsCSS, board: p.String()}
	return page.write(w)
}
