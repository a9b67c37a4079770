package report

import (
	"fmt"
	"html/template"
	"io"
	"strings"

	"sluice/lint/units"
)

// fixHTML writes a repair as one HTML page that stands alone, with the drawing
// before and after.
func fixHTML(w io.Writer, r *Repair) error {
	title := "Repair: " + r.Input
	p := newRepairPage(title, r.Version, r.Repaired.Paths != "", r.Layout != nil)
	p.Glossary = glossary
	if len(r.Sheets) == 0 {
		p.Files = []*filePage{fixFile("f0", r, true)}
	}
	for i, sheet := range r.Sheets {
		f := fixFile(fmt.Sprintf("f%d", i), &Repair{r.About, sheet}, i == 0)
		f.Path, f.Many = fmt.Sprintf("%s, sheet %d of %d", f.Path, i+1, len(r.Sheets)), true
		f.OfSheets = true
		p.Files = append(p.Files, f)
	}
	if len(r.Sheets) > 0 {
		p.Total = fmt.Sprintf("Laid out on %s. Left to decide: %s", plural(len(r.Sheets), "sheet"), verdict(r.LeftTally, "nothing."))
	}
	if r.Hazard != "" {
		p.Cautions = append([]string{capital(r.Hazard) + "."}, p.Cautions...)
	}
	return p.write(w)
}

// fixFile makes what a page says of one repair; first tells of the input too, and of all
// sheets of a layout.
func fixFile(id string, r *Repair, first bool) *filePage {
	f := &filePage{ID: id, Path: clean(r.Input), Output: clean(r.Output), Side: "after", HasBoth: first, Repaired: true}
	f.judge(r.LeftTally, "Nothing is left to decide.")
	f.tell(r.Verdict())
	f.Done = mendedText(r.Repair)
	p := r.Page()
	pic := f.start(p)
	if first {
		f.side(pic, "before", p.Before, "before", p.Shown, nil)
	}
	f.side(pic, "after", p.After, "left", p.Shown, p.Schedule)
	if p.Plan != nil {
		f.Routes = true
		pic.group("ly route late", func() { pic.plan(p.Plan) })
	}
	f.Picture = template.HTML(pic.String())
	f.Walk = walkOf(id, p)
	f.units = units.Of(r.Inches())
	m := &rowMaker{id, pic.path.origin, r.byID(), f.units}
	f.list(m, "left", "after", p.After)
	if first {
		f.Layout = layoutOf(p.Laid)
		f.list(m, "before", "before", p.Before)
	}
	f.Edits, f.EditCount = m.edits(r.Edits, len(r.Repaired.Edits)), len(r.Repaired.Edits)
	back, skip := *m, *m
	back.file += "-back"
	skip.file += "-skip"
	for _, g := range back.edits(r.Undone, len(r.Repaired.Undone)) {
		g.Title += ": taken back, since a new finding would have come of it"
		f.Edits = append(f.Edits, g)
	}
	for _, g := range skip.edits(r.Skipped, len(r.Repaired.Skipped)) {
		g.Title += ": skipped, not made"
		f.Edits = append(f.Edits, g)
	}
	tabs := m.tabs(r.Tabs)
	held := holdingWords(&r.Holding)
	for i, n := range held {
		held[i] = capital(n) + "."
	}
	tabs.Why = strings.Join(held, " ")
	for _, g := range []rowGroup{tabs, m.labels(r.Labels)} {
		if g.Count > 0 {
			f.Placed = append(f.Placed, g)
		}
	}
	f.schedule(m, p.Schedule)
	if first {
		f.common(p.Before, &r.Account)
	} else {
		own := *p.After
		f.common(&own, nil)
	}
	if len(r.Tabs) == 0 {
		for _, n := range held {
			f.Facts = append(f.Facts, fact{"On the slats", n})
		}
	}
	f.Facts = append(f.Facts, estimateFacts(p.Estimate)...)
	f.convert()
	return f
}
