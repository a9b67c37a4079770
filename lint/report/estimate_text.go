package report

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"sluice/lint/cutting"
	"sluice/lint/job"
	"sluice/lint/units"
)

// estimateCaution points from an estimate to what it does not tell.
const estimateCaution = "An estimate is no offer and no release to cut. What to mind at the machine stands at the end of every fix report (sluice fix --report); " +
	"the person at the machine decides."

// estimateText writes an estimate for reading on a terminal: speed, machine time
// by its parts with ranges, what is used up, masses, shares of the sheet, money,
// the parts, and in words what is uncertain.
func estimateText(w io.Writer, x *Estimate) error {
	e := x.Estimate
	t := textWriter{Writer: bufio.NewWriter(w)}
	t.line("%s", estimateHead(x.Path, e))
	t.line("")
	u := units.Of(e.Inches)
	if e.Pace.Cut > 0 {
		t.paragraph("speed      ", fmt.Sprintf("%s on straight cuts, down to %s in sharp corners (%s)", u.Speed(e.Pace.Cut), u.Speed(e.Pace.Fine), e.Pace.Basis), 100)
	}
	t.paragraph("jet        ", fmt.Sprintf("%s, orifice %s, mixing tube %s, %s garnet, %s water, %s kW", u.Pressure(e.Jet.Pressure),
		u.Length(e.Jet.Orifice, 3), u.Length(e.Jet.MixingTube, 3), u.Flow(e.Jet.Abrasive), u.WaterFlow(e.Jet.Water()), fixed(e.Jet.Power(), 1)), 104)
	t.line("")
	t.estimateTime(e)
	t.estimateUse(e)
	t.estimateBill(e)
	t.estimateRows(e)
	t.line("")
	for _, n := range append(slices.Clone(e.Notes), estimateCaution) {
		t.paragraph("- ", clean(n), 98)
	}
	return t.Flush()
}

func estimateHead(path string, e *cutting.Estimate) string {
	head := clean(path) + ": " + plural(e.Parts, "part")
	switch {
	case e.Thickness > 0 && e.Known:
		head += fmt.Sprintf(" in %s, %s", clean(e.Material.Name), units.Of(e.Inches).Length(e.Thickness, 4))
	case e.Thickness > 0:
		head += fmt.Sprintf(", %s thick", units.Of(e.Inches).Length(e.Thickness, 4))
	}
	return head + fmt.Sprintf(", %s edge", job.EdgeWord(e.Quality))
}

func (t textWriter) estimateTime(e *cutting.Estimate) {
	known, u := e.Pace.Cut > 0, units.Of(e.Inches)
	t.line("machine time, one kit                       likely           range")
	row := func(name, what string, s cutting.Span, known bool) {
		if !known {
			t.line("  %-10s %-24s %12s", name, what, "?")
			return
		}
		t.line("  %-10s %-24s %12s   %s to %s", name, what, clock(s.Likely), clock(s.Low), clock(s.High))
	}
	tm := &e.Time
	row("cutting", u.Run(e.Length.Cut())+" with leads", tm.Cut, known)
	t.line("  %-10s (%s of outlines, without tabs and leads)", "", u.Run(e.Length.Drawn))
	if known {
		t.line("  %-10s %-24s %12s", "", "slowing in corners", "("+clock(tm.Slow)+")")
	}
	row("etching", u.Run(e.Length.Etch), tm.Etch, true)
	row("piercing", plural(e.Pierces, "pierce"), tm.Pierce, known)
	row("starting", plural(e.Starts, "start"), tm.Start, true)
	row("travel", u.Run(e.Length.Travel), tm.Travel, true)
	row("total", "", tm.Total, known)
	t.line("")
}

func (t textWriter) estimateUse(e *cutting.Estimate) {
	u := units.Of(e.Inches)
	if e.Pace.Cut > 0 {
		t.line("abrasive   %s", u.MassRange(e.Abrasive.Likely, e.Abrasive.Low, e.Abrasive.High))
		t.line("water      %s", u.VolumeRange(e.Water.Likely, e.Water.Low, e.Water.High))
	}
	if e.PartsMass > 0 {
		s := u.Mass(e.PartsMass, 3) + " of parts"
		if e.SheetMass > 0 {
			s += fmt.Sprintf(" out of a sheet of %s (%s %%)", u.Mass(e.SheetMass, 2), fixed(100*e.PartsMass/e.SheetMass, 1))
		}
		t.line("mass       %s", s)
	}
	if e.SheetArea > 0 {
		t.line("sheet      %s %% by the parts' boxes, %s %% by used length, or the whole; reckoned: %s", fixed(100*e.Shares.Box, 1),
			fixed(100*e.Shares.Length, 1), map[string]string{"box": "boxes", "length": "used length", "whole": "whole sheet", "offcut": "whole sheet less the offcut"}[e.Share])
		if e.Share == "offcut" {
			t.line("           %s %% of it is worth keeping", fixed(100*(1-e.Shares.Less), 1))
		}
	}
	if e.Labour > 0 || e.Setup > 0 {
		setup := ""
		if e.Setup > 0 {
			setup = ", and " + clock(e.Setup) + " once to set up"
		}
		t.line("work       %s for %s and %s%s", clock(e.Labour), plural(e.Parts, "part"), plural(e.Tabs, "tab"), setup)
	}
}

func (t textWriter) estimateBill(e *cutting.Estimate) {
	if e.BillHigh.Total() == 0 {
		return
	}
	in := ""
	if e.Currency != "" {
		in = " in " + clean(e.Currency)
	}
	t.line("")
	t.line("%-38s       likely           range", fmt.Sprintf("cost%s of %s", in, plural(int(math.Round(e.Kits)), "kit")))
	row := func(name string, likely, low, high float64) {
		t.line("  %-35s %12s   %s to %s", name, fixed(likely, 2), fixed(low, 2), fixed(high, 2))
	}
	b, l, h := e.Bill, e.BillLow, e.BillHigh
	row("sheet", b.Sheet, l.Sheet, h.Sheet)
	row("machine", b.Machine, l.Machine, h.Machine)
	row("abrasive", b.Abrasive, l.Abrasive, h.Abrasive)
	row("work by hand", b.Labour, l.Labour, h.Labour)
	row("total", b.Total(), l.Total(), h.Total())
}

func (t textWriter) estimateRows(e *cutting.Estimate) {
	t.line("")
	width := len("number")
	rows := e.Rows
	for i := range rows {
		width = min(max(width, len([]rune(clean(rows[i].Number)))), 24)
	}
	u := units.Of(e.Inches)
	area, mass, cut := u.Areas(), u.Masses(), u.Lengths()
	t.line("%-*s %5s %12s %10s %10s %7s %12s", width, "number", "count", "area "+area.Unit(), "mass "+mass.Unit(), "cut "+cut.Unit(), "starts", "time of one")
	for i := range rows {
		r := &rows[i]
		heavy, time := "?", "?"
		if r.Mass > 0 {
			heavy = mass.Write(r.Mass)
		}
		if r.Time > 0 {
			time = clock(r.Time)
		}
		t.line("%-*s %5d %12s %10s %10s %7d %12s", width, dash(clean(r.Number)), r.Count, area.Write(r.Area), heavy, cut.Write(r.Cut), r.Starts, time)
	}
}

// paragraph writes words broken before a column,
// with a mark before the first line.
func (t textWriter) paragraph(mark, text string, columns int) {
	line := mark
	n := len([]rune(mark))
	for i, word := range strings.Fields(text) {
		l := len([]rune(word))
		if i > 0 && n+1+l > columns {
			t.line("%s", line)
			line, n = strings.Repeat(" ", len(mark)), len(mark)
		} else if i > 0 {
			line, n = line+" ", n+1
		}
		line, n = line+word, n+l
	}
	t.line("%s", line)
}

// clock writes a time: seconds below ten minutes, else hours and minutes.
func clock(s float64) string {
	if math.IsNaN(s) || math.IsInf(s, 0) || s < 0 || s > 1e9 {
		return "?"
	}
	switch r := int(math.Round(s)); {
	case s < 10:
		return fixed(s, 1) + " s"
	case r < 60:
		return fmt.Sprintf("%d s", r)
	case r < 600:
		return fmt.Sprintf("%d min %02d s", r/60, r%60)
	default:
		m := int(math.Round(s / 60))
		if m < 60 {
			return fmt.Sprintf("%d min", m)
		}
		return fmt.Sprintf("%d h %02d min", m/60, m%60)
	}
}
