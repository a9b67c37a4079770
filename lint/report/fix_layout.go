package report

import (
	"bufio"
	"io"

	"sluice/lint"
)

// LayoutSummary writes what a layout came to: each sheet with its use and what
// goes back to the rack, and the parts that found no place.
func LayoutSummary(w io.Writer, path string, l *lint.Layout) error {
	t := textWriter{Writer: bufio.NewWriter(w)}
	for _, p := range l.Left {
		t.line("NO PLACE for %d of part %s: %s", p.Count, clean(p.Part), clean(p.Why))
	}
	what := ""
	if l.Some {
		what = "some of the parts of "
	}
	t.line("%s%s laid out on %s", what, clean(path), plural(len(l.Sheets), "sheet"))
	t.sheets(l)
	if l.Cut {
		t.line("  ended before its time: this is the best found until then")
	}
	return t.Flush()
}

// sheets writes a line for each sheet of a layout.
func (t *textWriter) sheets(l *lint.Layout) {
	for i := range l.Sheets {
		s := &l.Sheets[i]
		t.line("  %s%s: %s, %s mm of the sheet used, %s %% of that and %s %% of the whole sheet are parts", clean(s.File), onStock(&s.Stock),
			plural(s.Parts, "part"), fixed(s.Used, 1), fixed(100*s.Density, 1), fixed(100*s.Share, 1))
		switch o := s.Offcut; {
		case o != nil && o.File != "":
			b := o.Outline.Box()
			t.line("    %s: %s x %s mm%s, back to the rack", clean(o.File), fixed(b.W(), 1), fixed(b.H(), 1), shapeOf(o))
		case s.Cutoff.Finite() && s.Cutoff.W() > 0 && s.Cutoff.H() > 0:
			t.line("    back to the rack: %s x %s mm", fixed(s.Cutoff.W(), 1), fixed(s.Cutoff.H(), 1))
		}
	}
	if l.Gap > 0 {
		t.line("  parts are at least %s mm apart", figure(l.Gap, 2))
	}
}

// onStock says what a sheet is cut from, where the job gives it a name.
func onStock(s *lint.Stock) string {
	if s.Name == "" {
		return ""
	}
	t := " from " + clean(s.Name)
	if s.Thickness > 0 {
		t += ", " + figure(s.Thickness, 3) + " mm thick"
	}
	return t
}

// shapeOf says that an offcut is no rectangle.
func shapeOf(o *lint.Offcut) string {
	if len(o.Outline) > 4 {
		return ", an L"
	}
	return ""
}
