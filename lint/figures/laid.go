package figures

import (
	"slices"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
)

// Laid is a layout as a page shows it, all its sheets.
type Laid struct {
	*lint.Layout
	Gap    Gap
	Inches bool
	Sheets []LaidSheet
}

// LaidSheet is one sheet of a layout.
type LaidSheet struct {
	*lint.LaidSheet
	Frame  geom.Box // of the stock, with some room around it
	Here   bool     // the page is about this one
	Labels []Label  // nil where the sheet is not to be drawn
}

// Gap is the distance kept between parts that are laid out, mm, and what asks for it.
type Gap struct {
	Kept   float64 // the larger of the two
	Strip  float64 // two kerfs and the spacing
	Room   float64 // a lead-in, one and a half kerfs and the lead's margin
	Kerf   float64
	Lead   float64
	Margin float64 // of the lead
	Space  float64 // the spacing
}

// mostLaid is how many lines and arcs the sheets of a layout may have together to
// be drawn on a page.
const mostLaid = 60000

// laidOf returns the layout of a repair, nil where parts were not laid out.
func laidOf(done *lint.Repaired) *Laid {
	l := done.Layout
	if l == nil {
		return nil
	}
	out := &Laid{Layout: l}
	if done.After != nil && done.After.Job != nil {
		out.Gap, out.Inches = gapOf(done.After.Job, l.Gap), done.After.Inches()
	}
	pieces := 0
	for i := range l.Sheets {
		if r := l.Sheets[i].Result; r != nil {
			pieces += PieceCount(r.Sheet)
		}
	}
	for i := range l.Sheets {
		s := LaidSheet{LaidSheet: &l.Sheets[i], Here: l.Sheets[i].Result == done.After && done.After != nil}
		s.Frame = Framed(geom.Box{Max: geom.Pt(s.Stock.Width, s.Stock.Height)})
		if r := s.Result; r != nil && r.Sheet != nil && pieces <= mostLaid {
			s.Labels = labelsOf(r.Sheet, s.Frame.Diagonal(), r.Name)
		}
		out.Sheets = append(out.Sheets, s)
	}
	return out
}

// gapOf says what a distance between parts is made of.
func gapOf(j *job.Job, kept float64) Gap {
	return Gap{
		Kept: kept, Strip: j.PartSpacing(), Room: j.LeadSpacing(),
		Kerf: j.Jet.Kerf, Lead: j.LeadLength(), Margin: j.Jet.LeadMargin, Space: j.Limits.Spacing,
	}
}

// RepairOfSheets sums up the repairs of all sheets of a layout, one page for each; one
// sheet is a repair like any other.
func RepairOfSheets(sheets []*lint.Repaired) *Repair {
	if len(sheets) == 1 {
		return RepairOf(sheets[0])
	}
	all := *sheets[0]
	common := 0
	if all.Layout != nil {
		common = all.Layout.Common
	}
	var parts []*Repair
	tally := lint.Tally{}
	for i, s := range sheets {
		own := *s
		if i > 0 { // what was mended before stands with the first sheet
			own.Edits = s.Edits[min(common, len(s.Edits)):]
			own.Undone, own.Skipped = nil, nil
			all.Edits = append(all.Edits[:len(all.Edits):len(all.Edits)], own.Edits...)
			all.Tabs = append(all.Tabs[:len(all.Tabs):len(all.Tabs)], s.Tabs...)
			all.Labels = append(all.Labels[:len(all.Labels):len(all.Labels)], s.Labels...)
			all.Left = append(all.Left[:len(all.Left):len(all.Left)], onlyHere(s.Left, sheets[0].Before)...)
			own.Left = onlyHere(s.Left, sheets[0].Before)
			all.Lesser = all.Lesser || s.Lesser
		}
		r := RepairOf(&own)
		tally = tally.Plus(r.Is)
		parts = append(parts, r)
	}
	out := RepairOf(&all)
	out.Is, out.Sheets = tally, parts
	out.Counts, out.Repaired.Output = lint.Counts{}, ""
	for i, r := range parts {
		c := &out.Counts
		c.Entities, c.Outlines, c.Parts = c.Entities+r.Counts.Entities, c.Outlines+r.Counts.Outlines, c.Parts+r.Counts.Parts
		c.Holes, c.Unread = c.Holes+r.Counts.Holes, c.Unread+r.Counts.Unread
		if i > 0 {
			out.Repaired.Output += ", "
		}
		out.Repaired.Output += r.Output
	}
	return out
}

// onlyHere leaves out what is told of the input as a whole, since it stands with the
// first sheet.
func onlyHere(left []lint.Finding, before *lint.Result) []lint.Finding {
	return slices.DeleteFunc(slices.Clone(left), func(f lint.Finding) bool {
		return (f.Rule == "unread-entity" || f.Rule == "unit-doubt") &&
			slices.ContainsFunc(before.Findings, func(g lint.Finding) bool { return g.ID == f.ID && g.Message == f.Message })
	})
}
