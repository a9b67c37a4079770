package report

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"sluice/fix/diff"
	"sluice/geom"
	"sluice/lint"
	"sluice/lint/figures"
)

// changesTold is how many changes of a kind the text tells one by one.
const changesTold = 20

// diffText writes a difference as text that reads as it stands and as a comment
// on a change: a line that sums it up, then lists, each cut short after twenty
// unless all is set.
func diffText(w io.Writer, c *Changes) error {
	b := bufio.NewWriter(w)
	d := c.Changes
	t := diffLister{b, d, c.All}
	fmt.Fprintln(b, noCommand(clean(d.Before.Name)+" -> "+clean(d.After.Name)+": "+diffVerdict(d)))
	fmt.Fprintf(b, "(%s", deviationText(d.Diff))
	if t := unitsText(d.Diff); t != "" {
		b.WriteString("; " + t)
	}
	b.WriteString(")\n")
	for _, v := range verdicts {
		lines, n := t.parts(v.kind)
		t.listOf(v.title, n, lines)
	}
	t.list("Not compared", append(hiddenTexts(d.Diff), notedTexts(d.Diff)...))
	l := t.lists()
	t.list("Open cuts", l.open)
	t.list("Tabs", l.tabs)
	t.list("Numbers", l.numbers)
	t.list("Lettering", l.texts)
	t.list("Etched lines", l.etched)
	t.list("Layers", l.layers)
	var sums []string
	for _, s := range sumsOf(d.Diff) {
		if s.Changed {
			sums = append(sums, s.Name+" "+s.Before+" -> "+s.After)
		}
	}
	t.list("Totals", sums)
	return b.Flush()
}

// diffLists are the lines about what is no change of form, by kind.
type diffLists struct{ open, tabs, numbers, texts, etched, layers []string }

// lists tells what is no change of form; tabs and numbers that came or went and
// read the same are gathered.
func (t diffLister) lists() (l diffLists) {
	d := t.d
	came := map[string]*gathered{}
	for i := range d.Tabs {
		switch c := &d.Tabs[i]; c.Change {
		case diff.Gained, diff.Lost:
			l.tabs = gather(came, l.tabs, plainTab(c), t.partName(c.Where))
		default:
			l.tabs = append(l.tabs, t.at(c.Where, tabChange(c)))
		}
	}
	for i := range d.Texts {
		c := &d.Texts[i]
		switch {
		case c.Number && (c.Change == diff.Gained || c.Change == diff.Lost):
			l.numbers = gather(came, l.numbers, "number "+string(c.Change), clean(c.Was+c.Is))
		case c.Number:
			l.numbers = append(l.numbers, t.at(c.Where, textChange(c)))
		default:
			l.texts = append(l.texts, t.at(c.Where, textChange(c)))
		}
	}
	for _, list := range [][]string{l.tabs, l.numbers} {
		for i := range list {
			if g := came[list[i]]; g != nil {
				list[i] = g.String()
			}
		}
	}
	for i := range d.Lines {
		switch c := &d.Lines[i]; {
		case c.Open:
			l.open = append(l.open, t.at(c.Where, lineChange(c)))
		case !c.Lettering:
			l.etched = append(l.etched, t.at(c.Where, lineChange(c)))
		}
	}
	if s := letteringChange(d); s != "" {
		l.etched = append(l.etched, s)
	}
	for i := range d.Layers {
		l.layers = append(l.layers, layerChange(&d.Layers[i]))
	}
	return l
}

type diffLister struct {
	*bufio.Writer
	d   *figures.Changes
	all bool
}

func (t diffLister) list(title string, lines []string) { t.listOf(title, len(lines), lines) }

// listOf writes lines that tell of n things.
func (t diffLister) listOf(title string, n int, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(t, "\n%s (%d)\n", title, n)
	for i, l := range lines {
		if i == changesTold && !t.all {
			fmt.Fprintf(t, "- and %d more\n", len(lines)-i)
			break
		}
		fmt.Fprintf(t, "- %s\n", l)
	}
}

// parts tells what became of the parts of one verdict, those of which the same
// is to be said in one line, and how many they are.
func (t diffLister) parts(v diff.Verdict) (lines []string, n int) {
	for _, same := range alikeParts(t.d, v) {
		n += len(same)
		p := &t.d.Parts[same[0]]
		what := partChange(t.d, same[0])
		if len(same) > 1 {
			lines = append(lines, plural(len(same), "part")+" "+what+": "+partNames(t.d.Diff, same))
			continue
		}
		s := whoIs(t.d.Diff, p.Before, p.After) + ": " + what
		if !strings.Contains(s, " at ") {
			s += ", at " + xy(boxOf(t.d.Diff, p).Center())
		}
		lines = append(lines, s)
	}
	return lines, n
}

func (t diffLister) at(w diff.Where, what string) string {
	return whoIs(t.d.Diff, w.Before, w.After) + ": " + what + ", at " + xy(seen(w.At))
}

func (t diffLister) partName(w diff.Where) string {
	if n := nameOf(t.d.After, w.After); n != "" {
		return n
	}
	return nameOf(t.d.Before, w.Before)
}

func plainTab(c *diff.TabChange) string {
	return "tab " + string(c.Change) + " with a gap of " + figure(c.GapBefore+c.GapAfter, 3) + " mm"
}

// gathered is changes that read the same but for what they are on.
type gathered struct {
	what string
	on   []string
	n    int
}

// gather adds a change to those that read like it; the first of them takes a
// line.
func gather(all map[string]*gathered, lines []string, what, on string) []string {
	g := all[what]
	if g == nil {
		g = &gathered{what: what}
		all[what] = g
		lines = append(lines, what)
	}
	g.n++
	if !slices.Contains(g.on[max(0, len(g.on)-changesTold):], on) {
		g.on = append(g.on, on)
	}
	return lines
}

// String returns, say, "12 tabs added with a gap of 1.8 mm: 1, 2, 3 and 4 more".
func (g *gathered) String() string {
	slices.SortFunc(g.on, lint.CompareNames)
	on := slices.Compact(g.on)
	word, rest, _ := strings.Cut(g.what, " ")
	s := plural(g.n, word) + " " + rest + ": " + strings.Join(on[:min(len(on), changesTold)], ", ")
	if len(on) > changesTold {
		s += fmt.Sprintf(" and %d more", len(on)-changesTold)
	}
	return s
}

// middle returns a place that stands for a changed part.
func middle(d *diff.Diff, p *diff.Part) geom.Point { return seen(boxOf(d, p).Center()) }
