package report

import (
	"math"
	"strconv"
	"strings"

	"sluice/fix/diff"
	"sluice/geom"
	"sluice/lint/figures"
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
	{diff.Scaled, "Scaled", "The same shape in another size."},
	{diff.Moved, "Moved", "The same shape, shifted."},
	{diff.Turned, "Turned", "The same shape, turned."},
}

// diffVerdict says in one line how much differs.
func diffVerdict(d *figures.Changes) string {
	c := d.Count
	total := c.Same + c.Changed()
	var s []string
	switch {
	case total == 0 && d.Same:
		return "no part in either drawing"
	case d.Whole != nil:
		s = append(s, wholeText(d.Diff))
		if n := changeCounts(d); len(n) > 0 {
			s = append(s, strings.Join(n, ", "))
		}
	case c.Changed() == 0:
		s = append(s, sameText(d, total))
	default:
		s = append(s, changedText(d, total))
	}
	if d.Whole != nil && c.Changed() == 0 && c.Same > 0 {
		s = append(s, "otherwise the same shapes, "+plural(total, "part"))
	}
	if d.Uncompared() && c.Changed() > 0 {
		s = append(s, strings.Join(hiddenTexts(d.Diff), ", "))
	}
	if t := repairText(d); t != "" {
		s = append(s, t)
	}
	return strings.Join(s, "; ")
}

// sameText says that no part differs.
func sameText(d *figures.Changes, total int) string {
	switch {
	case d.Same:
		return "same shapes, " + plural(total, "part")
	case d.Uncompared() && total == 0:
		return "nothing to compare: " + strings.Join(hiddenTexts(d.Diff), ", ")
	case d.Uncompared():
		return "the same " + plural(total, "part") + ", but " + strings.Join(hiddenTexts(d.Diff), ", ")
	}
	return "the same " + plural(total, "part") + ", but open cuts differ"
}

// changedText counts the parts that differ. A drawing of one part is that part.
func changedText(d *figures.Changes, total int) string {
	c := d.Count
	if d.Single != nil {
		return "the drawing " + motionText(d.Single)
	}
	var s []string
	for _, v := range []struct {
		n    int
		word string
	}{{c.Reshaped, "reshaped"}, {c.Removed, "removed"}, {c.Added, "added"}, {c.Scaled, "scaled"}, {c.Moved, "moved"}, {c.Turned, "turned"}} {
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

// unitsText names the units where they differ, and says by how much the figures
// of a drawing without a stated unit do.
func unitsText(d *diff.Diff) string {
	a, b := d.Before, d.After
	if a.Unit == b.Unit {
		return ""
	}
	name := func(s *diff.Side) string {
		if s.Guessed {
			return clean(s.Unit) + " (guessed)"
		}
		return clean(s.Unit)
	}
	s := "units " + name(a) + " -> " + name(b)
	if (a.Guessed || b.Guessed) && a.Factor > 0 && b.Factor > 0 {
		f := a.Factor / b.Factor
		if d.Whole != nil {
			f *= d.Whole.Scale
		}
		if f != 1 {
			s += ", figures " + sizeChange(f)
		}
	}
	return s
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
	return d.Laid.Sheet.Parts[p.Before].Box
}

func sizeText(b geom.Box) string { return figure(b.W(), 2) + " × " + figure(b.H(), 2) + " mm" }

func shiftText(s geom.Point) string {
	return figure(s.X, 3) + ", " + figure(s.Y, 3) + " mm"
}

func angleText(a float64) string { return figure(a*180/math.Pi, 3) + "°" }

// holesTold is how many holes of a part are told one by one.
const holesTold = 6

// partChange says what became of part k of a difference.
func partChange(d *figures.Changes, k int) string {
	p := &d.Parts[k]
	var s []string
	if p.Verdict == diff.Scaled {
		s = append(s, sizeChange(p.Scale))
	}
	if p.Mirrored {
		s = append(s, "mirrored")
	}
	if p.Measure.Kind != diff.NoMeasure {
		s = append(s, measureText(&p.Measure, "outline"))
	} else if p.Verdict == diff.Reshaped && !p.Mirrored && d.Outside[k] {
		s = append(s, "up to "+figure(p.Deviation, 3)+" mm off at "+xy(p.To))
	}
	switch {
	case p.Group >= 0 && p.Verdict == diff.Turned:
		s = append(s, turnText(&d.Groups[p.Group]))
	case p.Verdict == diff.Scaled && p.Angle == 0:
	default:
		if p.Angle != 0 {
			s = append(s, "turned by "+angleText(p.Angle))
		}
		if p.Shift != (geom.Point{}) {
			s = append(s, "moved by "+shiftText(p.Shift))
		}
	}
	s = append(s, holeChanges(p)...)
	if p.Verdict == diff.Added || p.Verdict == diff.Removed {
		s = append(s, sizeText(boxOf(d.Diff, p)))
	}
	if len(s) == 0 {
		s = append(s, string(p.Verdict))
	}
	return strings.Join(s, "; ")
}

// holeChanges tells the changes of a part's holes, those that read the same as
// one.
func holeChanges(p *diff.Part) []string {
	var order []string
	at := map[string][]*diff.Hole{}
	for i := range p.Holes {
		what := holeChange(&p.Holes[i])
		if at[what] == nil {
			order = append(order, what)
		}
		at[what] = append(at[what], &p.Holes[i])
	}
	var s []string
	for i, what := range order {
		if i == holesTold {
			rest := 0
			for _, w := range order[i:] {
				rest += len(at[w])
			}
			return append(s, "and "+plural(rest, "more hole"))
		}
		list := at[what]
		noun, rest, _ := strings.Cut(what, " ")
		if len(list) > 1 {
			what = plural(len(list), noun) + " " + rest
		}
		s = append(s, what+" at "+xy(list[0].At))
		for _, h := range list[1:min(len(list), holesTold)] {
			s[len(s)-1] += "; " + xy(h.At)
		}
		if len(list) > holesTold {
			s[len(s)-1] += " and more"
		}
	}
	return s
}

// holeChange says what became of a hole, but not where.
func holeChange(h *diff.Hole) string {
	switch {
	case h.Measure.Kind != diff.NoMeasure:
		noun := "hole"
		if h.Measure.Slot {
			noun = "slot"
		}
		s := measureText(&h.Measure, noun)
		if h.Shift != (geom.Point{}) {
			s += ", moved by " + shiftText(h.Shift)
		}
		return s
	case h.Verdict == diff.Moved:
		return "hole moved by " + shiftText(h.Shift)
	case h.Verdict == diff.Reshaped:
		return "hole reshaped up to " + figure(h.Deviation, 3) + " mm, " + sizeText(h.Box)
	}
	return "hole " + string(h.Verdict) + ", " + sizeText(h.Box)
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
func letteringChange(d *figures.Changes) string {
	var s []string
	for _, c := range []diff.Change{diff.Lost, diff.Gained} {
		if l := d.Lettering[c]; l.Paths > 0 {
			s = append(s, plural(l.Paths, "stroke run")+" of numbers "+string(c)+", "+figure(l.Length, 1)+" mm")
		}
	}
	return strings.Join(s, "; ")
}

func layerChange(l *diff.LayerChange) string {
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

// alikeParts lists the parts of a verdict, those of which the same is to be said
// together. Parts added or removed are told one by one.
func alikeParts(d *figures.Changes, v diff.Verdict) [][]int {
	var out [][]int
	at := map[string]int{}
	for k := range d.Parts {
		if d.Parts[k].Verdict != v {
			continue
		}
		if v == diff.Added || v == diff.Removed {
			out = append(out, []int{k})
			continue
		}
		what := partChange(d, k)
		i, ok := at[what]
		if !ok {
			i = len(out)
			at[what] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], k)
	}
	return out
}

// partNames lists what parts are called, as after, the first twenty of them.
func partNames(d *figures.Changes, list []int) string {
	var names []string
	for _, k := range list {
		names = append(names, partNow(d, diff.Where{Before: d.Parts[k].Before, After: d.Parts[k].After}))
	}
	return firstNames(names)
}
