package report

import (
	"fmt"
	"html/template"
	"io"

	"sluice/lint/figures"
	"sluice/lint/units"
)

// lintHTML writes the results as one HTML page that stands alone: it fetches
// nothing and works from disk, on a phone and on paper.
func lintHTML(w io.Writer, c *Check) error {
	title := "Drawing check"
	if len(c.Files) == 1 {
		title += ": " + c.Files[0].Path
	}
	p := newPage(title, c.Version)
	p.Glossary = glossary
	docs := c.byID()
	for i := range c.Files {
		f := lintFile(fmt.Sprintf("f%d", i), &c.Files[i], docs)
		f.Many = len(c.Files) > 1
		p.Files = append(p.Files, f)
	}
	p.Total = plural(len(c.Files), "drawing") + ": " + TallyText(c.Totals)
	if c.Unreadable > 0 {
		p.Total += "; " + plural(c.Unreadable, "drawing") + " could not be read"
	}
	return p.write(w)
}

func lintFile(id string, r *figures.File, docs map[string]*Rule) *filePage {
	f := &filePage{ID: id, Path: clean(r.Path), Side: "before"}
	if r.Err != nil {
		f.Err = clean(r.Err.Error())
		f.Verdict = "This drawing could not be read."
		f.Worst = "error"
		return f
	}
	none := "Nothing found: the drawing is ready for the table as far as its lines can tell."
	if r.Counts.Parts == 0 {
		none = "Nothing found, but the drawing holds no part."
	}
	f.judge(r.Tally, none)
	f.tell(r.Verdict())
	p := r.Page()
	pic := f.start(p)
	f.side(pic, "before", p.Before, "found", p.Shown, p.Schedule)
	f.Picture = template.HTML(pic.String())
	f.units = units.Of(r.Inches())
	m := &rowMaker{id, pic.path.origin, docs, f.units}
	f.list(m, "found", "before", p.Before)
	f.schedule(m, p.Schedule)
	f.common(p.Before, r.Sum)
	f.Facts = append(f.Facts, estimateFacts(p.Estimate)...)
	f.convert()
	return f
}
