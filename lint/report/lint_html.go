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
	names := make([]string, len(c.Files))
	for i := range c.Files {
		names[i] = c.Files[i].Path
	}
	p := NewCheckPage(&c.About, names)
	for i := range c.Files {
		p.page.Files = append(p.page.Files, p.file(i, &c.Files[i]))
	}
	p.page.Total = totalText(c.Check)
	return p.page.write(w)
}

// CheckPage is the page of many drawings made a drawing at a time, so that no drawing
// need be kept: Head, what Section wrote of each drawing in their order, and Tail are
// the page. Sections may be made side by side.
type CheckPage struct {
	page *page
	docs map[string]*Rule
	many bool
}

// Section is what the head of a page says of one of its drawings.
type Section struct{ file *filePage }

// NewCheckPage starts the page of drawings.
func NewCheckPage(about *About, names []string) *CheckPage {
	title := "Drawing check"
	if len(names) == 1 {
		title += ": " + names[0]
	}
	p := &CheckPage{newPage(title, about.Version), about.byID(), len(names) > 1}
	p.page.Glossary = glossary
	return p
}

func (p *CheckPage) file(i int, f *figures.File) *filePage {
	page := lintFile(fmt.Sprintf("f%d", i), f, p.docs)
	page.Many = p.many
	return page
}

func totalText(c *figures.Check) string {
	s := plural(len(c.Files), "drawing") + ": " + TallyText(c.Totals)
	if c.Unreadable > 0 {
		s += "; " + plural(c.Unreadable, "drawing") + " could not be read"
	}
	return s
}

// Section writes the part of the page that tells of drawing i, which must not have been
// shortened.
func (p *CheckPage) Section(w io.Writer, i int, f *figures.File) (Section, error) {
	all := p.file(i, f)
	short := &filePage{ID: all.ID, Path: all.Path, Err: all.Err, Worst: all.Worst, PartCount: all.PartCount, Tally: all.Tally}
	return Section{short}, writeParts(w, pageTemplate, p.page.With(all), "article")
}

// Head writes what comes before the drawings.
func (p *CheckPage) Head(w io.Writer, c *figures.Check, sections []Section) error {
	head := *p.page
	for _, s := range sections {
		head.Files = append(head.Files, s.file)
	}
	head.Total = totalText(c)
	return writeParts(w, pageTemplate, &head, "open", "head")
}

// Tail writes what comes behind the drawings.
func (p *CheckPage) Tail(w io.Writer) error {
	return writeParts(w, pageTemplate, p.page, "tail", "close")
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
