package report

import (
	_ "embed"
	"fmt"
	"html"
	"html/template"
	"io"
	"strings"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint/figures"
)

//go:embed assets/assembly.html
var assemblyBody string

//go:embed assets/assembly.css
var assemblyCSS string

// assemblyPage helps to put a kit together: each part with its number, at each
// joint the number of the part that meets it there, and a suggested order with
// reasons.
type assemblyPage struct {
	shell
	Path    string
	Facts   []fact
	Missing []string
	Stages  []assemblyCard
	Parts   []assemblyCard
}

// assemblyCard is one part on the page.
type assemblyCard struct {
	Title   string
	Picture template.HTML // numbers and escaped names only
	Says    []string
	Warn    bool
}

var assemblyTemplate = pageOf(assemblyBody)

// partsAssembly writes how the parts go together as one page that stands alone,
// without any script.
func partsAssembly(w io.Writer, p *Parts) error {
	a := p.Assembly()
	page := assemblyPage{shell: newShell(p.Path+": assembly", p.Version, "", assemblyCSS, printCSS), Path: clean(p.Path)}
	page.Facts = []fact{{"Parts", fmt.Sprint(p.Sums.Parts)}, {"Kinds", fmt.Sprint(len(a.Parts))}, {"With joints", plural(len(a.Stages), "part")}}
	if a.Design > 0 {
		page.Facts = append(page.Facts, fact{"Slots", figure(a.Design, 3) + " mm wide"})
	}
	for _, g := range a.Missing {
		text := "A piece that meets parts " + strings.Join(cleanAll(g.Meets, len(g.Meets)), ", ") + " may be missing."
		if g.Like != "" {
			text = "One more of part " + clean(g.Like) + " may be missing, or it is to be cut once more."
		}
		page.Missing = append(page.Missing, text)
	}
	for i := range a.Stages {
		s := &a.Stages[i]
		c := assemblyCard{Title: fmt.Sprintf("%d. Part %s", i+1, clean(s.Name)), Picture: drawPiece(a.Sheet, &s.Piece), Warn: s.Force}
		if s.Start {
			c.Says = append(c.Says, "Start here: "+clean(s.Why)+".")
		} else {
			c.Says = append(c.Says, "Joins "+strings.Join(cleanAll(s.Meets, len(s.Meets)), ", ")+": "+clean(s.Why)+".")
		}
		if s.Captive {
			c.Says = append(c.Says, "Held captive.")
		}
		page.Stages = append(page.Stages, c)
	}
	for i := range a.Parts {
		q := &a.Parts[i]
		c := assemblyCard{Title: "Part " + clean(q.Name), Picture: drawPiece(a.Sheet, q), Warn: q.Free > 0}
		if q.Count > 1 {
			c.Title += fmt.Sprintf(" × %d", q.Count)
		}
		for _, l := range []struct {
			head  string
			names []string
		}{{"Goes into ", q.GoesInto}, {"Takes ", q.Takes}} {
			if len(l.names) > 0 {
				c.Says = append(c.Says, l.head+strings.Join(cleanAll(l.names, len(l.names)), ", ")+".")
			}
		}
		if q.Free > 0 {
			c.Says = append(c.Says, fmt.Sprintf("%d without a mate.", q.Free))
		}
		page.Parts = append(page.Parts, c)
	}
	return writePage(w, assemblyTemplate, page)
}

// Letters on the picture of a part: shares of its size, and least heights, mm.
const (
	ownShare, ownLeast   = 1.0 / 8, 3.0
	mateShare, mateLeast = 1.0 / 16, 2.0
)

// drawPiece draws one part with its number and those of its mates.
func drawPiece(s *outline.Sheet, q *figures.Piece) template.HTML {
	part := &s.Parts[q.Part]
	if !part.Box.Finite() {
		return ""
	}
	frame := part.Box.Inflate(max(part.Box.W(), part.Box.H())/16 + 1) // room for the numbers of the mates
	p := newPicture(frame)
	for _, o := range append([]int32{part.Outer}, part.Holes...) {
		p.path.closed(s.Outlines[o].Pieces)
	}
	p.flush()
	size := max(frame.W(), frame.H())
	number := func(class string, at geom.Point, height float64, name string) {
		p.group(class, func() { p.text(at, height, 0, true, clean(name)) })
	}
	number("own", part.Centroid, max(ownLeast, ownShare*size), q.Name)
	for _, m := range q.Mates {
		number("mate", m.At, max(mateLeast, mateShare*size), m.Name)
	}
	return template.HTML(fmt.Sprintf(`<svg viewBox="%s" role="img" aria-label="part %s">`, viewBox(frame.W(), frame.H()), html.EscapeString(clean(q.Name))) + p.String() + `</svg>`)
}
