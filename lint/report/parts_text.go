package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"sluice/lint/figures"
	"sluice/lint/units"
)

// partsText writes the schedule as a table for a terminal, with a line of sums.
func partsText(w io.Writer, s *Parts) error {
	t := textWriter{Writer: bufio.NewWriter(w), units: units.Of(s.Inches())}
	size, cut, area := t.units.Sizes(2), t.units.Sizes(1), t.units.Areas()
	rows := s.Rows
	numberWidth := len("number")
	for i := range rows {
		numberWidth = min(max(numberWidth, len([]rune(clean(rows[i].Number)))), 24)
	}
	t.line("%-*s %5s %10s %10s %12s %11s %7s %5s  %s", numberWidth,
		"number", "count", "width "+size.Unit(), "height "+size.Unit(), "area "+area.Unit(), "cut "+cut.Unit(), "pierces", "tabs", "layer, name")
	for i := range rows {
		p := &rows[i]
		line := fmt.Sprintf("%-*s %5d %10s %10s %12s %11s %7d %5d  %s", numberWidth, dash(clean(p.Number)), p.Count,
			size.Write(p.Width), size.Write(p.Height), area.Write(p.Area), cut.Write(p.CutLength), p.Pierces, p.Tabs,
			layerAndName(p))
		t.line("%s", strings.TrimRight(line, " "))
	}
	if s.Jointed() {
		t.line("\n%-*s %-28s %-24s %s", numberWidth, "number", "joints of one", "goes into", "takes")
		for i := range rows {
			p := &rows[i]
			if p.Joints == (figures.Joints{}) {
				continue
			}
			free := ""
			if p.Joints.Free > 0 {
				free = fmt.Sprintf("  (%d without a mate)", p.Joints.Free)
			}
			t.line("%-*s %-28s %-24s %s%s", numberWidth, dash(clean(p.Number)), jointWords(p),
				dash(names(p.GoesInto)), dash(names(p.Takes)), free)
		}
	}
	t.slots(s.Slots)
	t.line("\n%s of %s: area %s, cut %s without tabs and leads, %s, %s", plural(s.Sums.Parts, "part"), plural(len(rows), "kind"),
		t.units.Area(s.Sums.Area), t.units.LongRun(s.Sums.Cut, 3), plural(s.Sums.Pierces, "pierce"), plural(s.Sums.Tabs, "tab"))
	return t.Flush()
}

// slots writes how wide the slots are at both faces of the sheet, and what that
// leaves over it.
func (t textWriter) slots(s *figures.Slots) {
	if s == nil {
		return
	}
	t.line("")
	t.paragraph("", t.units.Words(slotsHead(s)), 98)
	size := t.units.Sizes(2)
	unit := size.Unit()
	t.line("%9s %12s %8s %6s", "width "+unit, "at bottom "+unit, "play "+unit, "count")
	for _, w := range s.Widths {
		told := ""
		if w.Play < 0 {
			told = "the sheet does not go through"
		}
		t.line("%s", strings.TrimRight(fmt.Sprintf("%9s %12s %8s %6d  %s", size.Write(w.Width), size.Write(w.Bottom), size.Write(w.Play), w.Count, told), " "))
	}
	if p := playText(s.Play); p != "" {
		t.line("%s", t.units.Words("play of "+p))
	}
}

// slotsHead says for which sheet slots are told, and how their taper is reckoned.
func slotsHead(s *figures.Slots) string {
	g := &s.Target
	head := "slots and notches for a sheet of " + figure(g.Thickness, 4) + " mm"
	if g.Plus > 0 {
		head += " (up to " + figure(g.Thickness+g.Plus, 4) + ")"
	}
	if g.Taper > 0 {
		return head + ", " + figure(g.Taper, 3) + " mm narrower at the bottom by the taper of the cut; tabs are as much wider there"
	}
	return head + "; the taper of the cut is not reckoned ([fit] taper: slots are often 0.08 to 0.25 mm narrower at the bottom)"
}

func layerAndName(p *figures.Row) string {
	s := clean(p.Layer)
	if p.Name != "" {
		if s != "" {
			s += ", "
		}
		s += clean(p.Name)
	}
	return s
}

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

// jointWords tells the joints of a row in a few words, "" if it has none.
func jointWords(p *figures.Row) string {
	var s []string
	for _, k := range []struct {
		n    int
		word string
	}{{p.Joints.Slots, "slot"}, {p.Joints.Notches, "notch"}, {p.Joints.Tabs, "tab"}, {p.Joints.Fingers, "finger edge"}} {
		if k.n > 0 {
			s = append(s, plural(k.n, k.word))
		}
	}
	return strings.Join(s, ", ")
}

// names writes the names of parts behind each other.
func names(list []string) string { return strings.Join(cleanAll(list, len(list)), " ") }
