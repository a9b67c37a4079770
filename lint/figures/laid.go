package figures

import (
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
