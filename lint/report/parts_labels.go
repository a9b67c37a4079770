package report

import (
	_ "embed"
	"html"
	"html/template"
	"io"
	"path/filepath"
	"strings"

	"sluice/geom/outline"
)

//go:embed assets/labels.html
var labelsBody string

//go:embed assets/labels.css
var labelsCSS string

var labelsTemplate = pageOf(labelsBody)

// labelsPage is a page of labels for boxes, one for each kind of part.
type labelsPage struct {
	shell
	Kit, Told string
	Labels    []boxLabel
}

// boxLabel is one label.
type boxLabel struct {
	Number, Size, Name string
	Count              int
	Picture            template.HTML // numbers only
}

// partsLabels writes labels to print and to stick on the boxes in which parts are
// kept: number, count, size and picture of each kind.
func partsLabels(w io.Writer, s *Parts) error {
	kit := kitName(s.Path)
	page := labelsPage{
		shell: newShell(kit+": labels", s.Version, "", labelsCSS, printCSS), Kit: kit,
		Told: plural(len(s.Rows), "label") + " for " + plural(s.Sums.Parts, "part") + ".",
	}
	for i := range s.Rows {
		r := &s.Rows[i]
		l := boxLabel{
			Number: dash(clean(r.Number)), Count: r.Count, Name: clean(r.Name),
			Size: fixed(r.Width, 1) + " × " + fixed(r.Height, 1) + " mm",
		}
		if len(r.Parts) > 0 {
			l.Picture = drawSilhouette(s.Sheet, r.Parts[0], l.Number)
		}
		page.Labels = append(page.Labels, l)
	}
	return writePage(w, labelsTemplate, page)
}

// drawSilhouette draws one part without anything else.
func drawSilhouette(s *outline.Sheet, k int, name string) template.HTML {
	part := &s.Parts[k]
	if !part.Box.Finite() {
		return ""
	}
	frame := part.Box.Inflate(max(part.Box.W(), part.Box.H()) / 40)
	p := newPicture(frame)
	for _, o := range append([]int32{part.Outer}, part.Holes...) {
		p.path.closed(s.Outlines[o].Pieces)
	}
	p.flush()
	return template.HTML(`<svg viewBox="` + viewBox(frame.W(), frame.H()) + `" role="img" aria-label="part ` + html.EscapeString(name) + `">` + p.String() + `</svg>`)
}

// kitName is what a drawing is called, without its folder and ending.
func kitName(path string) string {
	base := filepath.Base(filepath.ToSlash(path))
	return clean(strings.TrimSuffix(base, filepath.Ext(base)))
}
