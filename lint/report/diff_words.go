package report

import (
	"math"
	"strconv"
	"strings"

	"sluice/fix/diff"
	"sluice/geom"
)

// verdicts are the kinds of changed part in the order in which they are told.
var verdicts = []struct {
	kind  diff.Verdict
	title string
	about string
}{
	{diff.Reshaped, "Reshaped", "Another shape in the same place, or with the same number."},
	{diff.Removed, "Removed", "In the drawing before, not in the one after."},
	{diff.Added, "Added", "In the drawing after, not in the one before."},
	{diff.Moved, "Moved", "The same shape, shifted."},
	{diff.Turned, "Turned", "The same shape, turned."},
}

// diffVerdict says in one line how much differs.
func diffVerdict(d *diff.Diff) string {
	c := d.Count
	total := c.Same + c.Changed()
	switch {
	case d.Same && total == 0:
		return "no part in either drawing"
	case d.Same:
		return "same shapes, " + plural(total, "part")
	case c.Changed() == 0:
		return "the same " + plural(total, "part") + ", but open cuts differ"
	}
	var s []string
	for _, v := range []struct {
		n    int
		word string
	}{{c.Reshaped, "reshaped"}, {c.Removed, "removed"}, {c.Added, "added"}, {c.Moved, "moved"}, {c.Turned, "turned"}} {
		if v.n > 0 {
			s = append(s, strconv.Itoa(v.n)+" "+v.word)
		}
	}
	verb := "differ"
	if c.Changed() == 1 {
		verb = "differs"
	}
	return strconv.Itoa(c.Changed()) + " of " + plural(total, "part") + " " + verb + ": " + strings.Join(s, ", ")
}

// deviationText says how closely the shapes that are in both drawings agree.
func deviationText(d *diff.Diff) string {
	return "largest deviation " + figure(d.Deviation, 4) + " mm, tolerance " + figure(d.Tolerance, 4) + " mm"
}

func nameOf(s *diff.Side, k int) string {
	if k >= 0 && k < len(s.Names) {
		return clean(s.Names[k])
	}
	return ""
}

// whoIs names the part that a change is about.
func whoIs(d *diff.Diff, before, after int) string {
	a, b := nameOf(d.Before, before), nameOf(d.After, after)
	switch {
	case before < 0 && after < 0:
		return "scrap"
	case before < 0 || a == b:
		return partOr(b)
	case after < 0 || b == "":
		return partOr(a)
	}
	return partText(a) + " (now " + b + ")"
}

// boxOf returns the box of a changed part, as after where it is there.
func boxOf(d *diff.Diff, p *diff.Part) geom.Box {
	if p.After >= 0 {
		return d.After.Sheet.Parts[p.After].Box
	}
	return d.Before.Sheet.Parts[p.Before].Box
}

func sizeText(b geom.Box) string { return figure(b.W(), 2) + " × " + figure(b.H(), 2) + " mm" }

func shiftText(s geom.Point) string {
	return figure(s.X, 3) + ", " + figure(s.Y, 3) + " mm"
}

func angleText(a float64) string { return figure(a*180/math.Pi, 3) + "°" }

// holesTold is how many holes of a part are told one by one.
const holesTold = 6

// partChange says what became of a part.
func partChange(d *diff.Diff, p *diff.Part) string {
	var s []string
	if p.Mirrored {
		s = append(s, "mirrored")
	}
	if p.Verdict == diff.Reshaped && !p.Mirrored && p.Deviation > d.Tolerance {
		s = append(s, "up to "+figure(p.Deviation, 3)+" mm off at "+xy(p.To))
	}
	if p.Angle != 0 {
		s = append(s, "turned by "+angleText(p.Angle))
	}
	if p.Shift != (geom.Point{}) {
		s = append(s, "moved by "+shiftText(p.Shift))
	}
	for i, h := range p.Holes {
		if i == holesTold {
			s = append(s, "and "+plural(len(p.Holes)-i, "more hole"))
			break
		}
		s = append(s, holeChange(&h))
	}
	if p.Verdict == diff.Added || p.Verdict == diff.Removed {
		s = append(s, sizeText(boxOf(d, p)))
	}
	if len(s) == 0 {
		s = append(s, string(p.Verdict))
	}
	return strings.Join(s, "; ")
}

func holeChange(h *diff.Hole) string {
	s := "hole " + string(h.Verdict)
	if h.Verdict == diff.Reshaped {
		s += " up to " + figure(h.Deviation, 3) + " mm"
	}
	if h.Verdict == diff.Moved {
		s += " by " + shiftText(h.Shift)
	} else {
		s += ", " + sizeText(h.Box)
	}
	return s + " at " + xy(h.At)
}

func tabChange(t *diff.TabChange) string {
	switch t.Change {
	case diff.Altered:
		return "gap " + figure(t.GapBefore, 3) + " -> " + figure(t.GapAfter, 3) + " mm"
	case diff.Shifted:
		s := "moved by " + shiftText(t.Shift)
		if math.Abs(t.GapBefore-t.GapAfter) > 0.005 {
			s += ", gap " + figure(t.GapBefore, 3) + " -> " + figure(t.GapAfter, 3) + " mm"
		}
		return s
	case diff.Lost:
		return "removed, gap " + figure(t.GapBefore, 3) + " mm"
	}
	return "added, gap " + figure(t.GapAfter, 3) + " mm"
}

func quoted(s string) string { return "“" + clean(s) + "”" }

func textChange(t *diff.TextChange) string {
	switch t.Change {
	case diff.Altered:
		return quoted(t.Was) + " -> " + quoted(t.Is)
	case diff.Shifted:
		return quoted(t.Is) + " moved by " + shiftText(t.Shift)
	case diff.Lost:
		return quoted(t.Was) + " removed"
	}
	return quoted(t.Is) + " added"
}

func lineChange(l *diff.LineChange) string {
	what := "etched path"
	if l.Open {
		what = "open path"
	}
	return plural(l.Paths, what) + " " + string(l.Change) + ", " + figure(l.Length, 1) + " mm"
}

// letteringChange sums up the etched strokes of numbers that came or went, ""
// if none did.
func letteringChange(d *diff.Diff) string {
	var s []string
	for _, c := range []diff.Change{diff.Lost, diff.Gained} {
		paths, length := 0, 0.0
		for i := range d.Lines {
			if l := &d.Lines[i]; l.Lettering && l.Change == c {
				paths, length = paths+l.Paths, length+l.Length
			}
		}
		if paths > 0 {
			s = append(s, plural(paths, "stroke run")+" of numbers "+string(c)+", "+figure(length, 1)+" mm")
		}
	}
	return strings.Join(s, "; ")
}

func layerChange(d *diff.Diff, l *diff.LayerChange) string {
	names := func(list []string) string {
		if len(list) == 0 {
			return "no layer"
		}
		return strings.Join(cleanAll(list, 6), ", ")
	}
	return plural(len(l.Parts), "part") + ": " + names(l.Before) + " -> " + names(l.After)
}

// sum is a total before and after, as written.
type sum struct {
	Name, Before, After string
	Changed             bool
}

func sumsOf(d *diff.Diff) []sum {
	a, b := d.Sums[0], d.Sums[1]
	n := func(name string, x, y int) sum { return sum{name, strconv.Itoa(x), strconv.Itoa(y), x != y} }
	f := func(name string, x, y, unit float64, decimals int) sum {
		s := sum{Name: name, Before: figure(x/unit, decimals), After: figure(y/unit, decimals)}
		s.Changed = s.Before != s.After
		return s
	}
	return []sum{
		n("parts", a.Parts, b.Parts), n("holes", a.Holes, b.Holes), n("tabs", a.Tabs, b.Tabs), n("numbers", a.Numbers, b.Numbers),
		n("open paths", a.Open, b.Open), f("area, cm²", a.Area, b.Area, 100, 2),
		f("cut, mm", a.Cut, b.Cut, 1, 1), f("etched, mm", a.Etch, b.Etch, 1, 1),
	}
}
