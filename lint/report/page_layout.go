package report

import (
	_ "embed"
	"fmt"
	"html/template"

	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/units"
)

//go:embed assets/layout.html
var layoutBody string

//go:embed assets/layout.css
var layoutCSS string

// layoutSection shows a layout: every sheet, what it uses, what goes back.
type layoutSection struct {
	Gap    string   // the distance between parts, and what asks for it
	Told   []string // what else there is to say
	Left   []string // parts without a place
	Sheets []layoutSheet
}

// layoutSheet is one sheet of a layout.
type layoutSheet struct {
	Title, File               string
	Here                      bool // the page is about it
	Parts                     int
	Used, Share, Dense, Again string
	ViewBox                   string
	Picture                   template.HTML // numbers and escaped text only; "": too much to draw
}

// layoutOf makes the section of a repair's page, nil where parts were not laid out.
func layoutOf(l *figures.Laid) *layoutSection {
	if l == nil {
		return nil
	}
	u := units.Of(l.Inches)
	s := &layoutSection{Gap: gapText(&l.Gap, u)}
	if l.Cut {
		s.Told = append(s.Told, "The search ended before its time: this is the best found until then.")
	}
	for _, p := range l.Left {
		s.Left = append(s.Left, fmt.Sprintf("No place for %d of part %s: %s", p.Count, clean(p.Part), clean(p.Why)))
	}
	for i := range l.Sheets {
		q := &l.Sheets[i]
		out := layoutSheet{
			Title: "The sheet", File: clean(q.File), Here: q.Here && len(l.Sheets) > 1, Parts: q.Parts, Used: u.Length(q.Used, 1),
			Share: fixed(100*q.Share, 1) + " %", Dense: fixed(100*q.Density, 1) + " %", Again: "nothing", ViewBox: viewBox(q.Frame.W(), q.Frame.H()),
		}
		if len(l.Sheets) > 1 {
			out.Title = fmt.Sprintf("Sheet %d of %d", i+1, len(l.Sheets))
		}
		if goesBack(q.LaidSheet) {
			out.Again = u.Length(q.Cutoff.W(), 1) + " × " + u.Length(q.Cutoff.H(), 1)
		}
		if q.Labels != nil {
			out.Picture = drawLaid(q)
		}
		s.Sheets = append(s.Sheets, out)
	}
	return s
}

// goesBack reports whether a piece of the sheet is left for the rack.
func goesBack(s *lint.LaidSheet) bool {
	return s.Cutoff.Finite() && s.Cutoff.W() > 0 && s.Cutoff.H() > 0
}

// gapText says how far parts lie apart, and why that far.
func gapText(g *figures.Gap, u units.System) string {
	if !(g.Kept > 0) {
		return ""
	}
	strip := fmt.Sprintf("two kerfs of %s and the spacing of %s", u.Length(g.Kerf, 2), u.Length(g.Space, 2))
	s := "Parts lie at least " + u.Length(g.Kept, 2) + " apart: "
	if g.Room > g.Strip {
		return s + fmt.Sprintf("room for a lead-in of %s, with one and a half kerfs of %s and a margin of %s. What they need without leads, %s, would be %s.",
			u.Length(g.Lead, 2), u.Length(g.Kerf, 2), u.Length(g.Margin, 2), strip, u.Length(g.Strip, 2))
	}
	return s + strip + fmt.Sprintf(". A lead-in has room in that: it needs %s.", u.Length(g.Room, 2))
}

// drawLaid draws a sheet of a layout: stock, clamps, parts with their numbers, and
// what goes back to the rack.
func drawLaid(q *figures.LaidSheet) template.HTML {
	p := newPicture(q.Frame)
	if q.Stock.Outline == nil {
		p.stock(q.Frame.Inflate(-(q.Frame.W()-q.Stock.Width)/2), q.Stock.Margin)
	} else {
		p.group("ly stock", func() {
			p.path.closed(q.Stock.Outline)
			for _, h := range q.Stock.Holes {
				p.path.closed(h)
			}
		})
	}
	p.clamps(q.Stock.Clamps)
	if goesBack(q.LaidSheet) {
		p.group("ly rack", func() { p.rect(q.Cutoff) })
	}
	s := q.Result.Sheet
	p.group("ly fill", func() {
		for i := range s.Parts {
			p.piece(s, &s.Parts[i])
			p.flushFull()
		}
	})
	p.group("ly outside", func() {
		for i := range s.Outlines {
			p.line(s.Outlines[i].Pieces)
		}
	})
	p.labels(q.Labels)
	return template.HTML(p.String())
}
