package report

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"sluice/fix/diff"
	"sluice/geom"
)

// diffLines is how many changes of a kind the text tells one by one.
const diffLines = 20

// DiffText writes a difference as text that reads as it stands and as a comment
// on a change: a line that sums it up, then lists, each cut short after twenty
// unless all is set.
func DiffText(w io.Writer, d *diff.Diff, all bool) error {
	b := bufio.NewWriter(w)
	t := diffText{b, d, all}
	fmt.Fprintf(b, "%s -> %s: %s\n", clean(d.Before.Name), clean(d.After.Name), diffVerdict(d))
	fmt.Fprintf(b, "(%s", deviationText(d))
	if t := unitsText(d); t != "" {
		b.WriteString("; " + t)
	}
	b.WriteString(")\n")
	for _, v := range verdicts {
		lines, n := t.parts(v.kind)
		t.listOf(v.title, n, lines)
	}
	t.list("Not compared", append(hiddenTexts(d), notedTexts(d)...))
	var tabs, numbers, texts, open, etched, layers []string
	came := map[string]*gathered{}
	for i := range d.Tabs {
		switch c := &d.Tabs[i]; c.Change {
		case diff.Gained, diff.Lost:
			tabs = gather(came, tabs, plainTab(c), t.partName(c.Where))
		default:
			tabs = append(tabs, t.at(c.Where, tabChange(c)))
		}
	}
	for i := range d.Texts {
		c := &d.Texts[i]
		switch {
		case c.Number && (c.Change == diff.Gained || c.Change == diff.Lost):
			numbers = gather(came, numbers, "number "+string(c.Change), clean(c.Was+c.Is))
		case c.Number:
			numbers = append(numbers, t.at(c.Where, textChange(c)))
		default:
			texts = append(texts, t.at(c.Where, textChange(c)))
		}
	}
	for _, list := range [][]string{tabs, numbers} {
		for i := range list {
			if g := came[list[i]]; g != nil {
				list[i] = g.String()
			}
		}
	}
	for i := range d.Lines {
		switch c := &d.Lines[i]; {
		case c.Open:
			open = append(open, t.at(c.Where, lineChange(c)))
		case !c.Lettering:
			etched = append(etched, t.at(c.Where, lineChange(c)))
		}
	}
	if s := letteringChange(d); s != "" {
		etched = append(etched, s)
	}
	for i := range d.Layers {
		layers = append(layers, layerChange(d, &d.Layers[i]))
	}
	t.list("Open cuts", open)
	t.list("Tabs", tabs)
	t.list("Numbers", numbers)
	t.list("Lettering", texts)
	t.list("Etched lines", etched)
	t.list("Layers", layers)
	var sums []string
	for _, s := range sumsOf(d) {
		if s.Changed {
			sums = append(sums, s.Name+" "+s.Before+" -> "+s.After)
		}
	}
	t.list("Totals", sums)
	return b.Flush()
}

type diffText struct {
	*bufio.Writer
	d   *diff.Diff
	all bool
}

func (t diffText) list(title string, lines []string) { t.listOf(title, len(lines), lines) }

// listOf writes lines that tell of n things.
func (t diffText) listOf(title string, n int, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(t, "\n%s (%d)\n", title, n)
	for i, l := range lines {
		if i == diffLines && !t.all {
			fmt.Fprintf(t, "- and %d more\n", len(lines)-i)
			break
		}
		fmt.Fprintf(t, "- %s\n", l)
	}
}

// parts tells what became of the parts of one verdict, those of which the same
// is to be said in one line, and how many they are.
func (t diffText) parts(v diff.Verdict) (lines []string, n int) {
	for _, same := range alikeParts(t.d, v) {
		n += len(same)
		p := &t.d.Parts[same[0]]
		what := partChange(t.d, p)
		if len(same) > 1 {
			lines = append(lines, plural(len(same), "part")+" "+what+": "+partNames(t.d, same))
			continue
		}
		s := whoIs(t.d, p.Before, p.After) + ": " + what
		if !strings.Contains(s, " at ") {
			s += ", at " + xy(boxOf(t.d, p).Center())
		}
		lines = append(lines, s)
	}
	return lines, n
}

func (t diffText) at(w diff.Where, what string) string {
	return whoIs(t.d, w.Before, w.After) + ": " + what + ", at " + xy(place(w.At))
}

func (t diffText) partName(w diff.Where) string {
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
	if !slices.Contains(g.on[max(0, len(g.on)-diffLines):], on) {
		g.on = append(g.on, on)
	}
	return lines
}

// String returns, say, "12 tabs added with a gap of 1.8 mm: 1, 2, 3 and 4 more".
func (g *gathered) String() string {
	slices.SortFunc(g.on, compareNatural)
	on := slices.Compact(g.on)
	word, rest, _ := strings.Cut(g.what, " ")
	s := plural(g.n, word) + " " + rest + ": " + strings.Join(on[:min(len(on), diffLines)], ", ")
	if len(on) > diffLines {
		s += fmt.Sprintf(" and %d more", len(on)-diffLines)
	}
	return s
}

// middle returns a place that stands for a changed part.
func middle(d *diff.Diff, p *diff.Part) geom.Point { return place(boxOf(d, p).Center()) }
