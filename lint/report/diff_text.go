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
	for _, k := range besides(d) {
		if k.key != "repair" { // told in the first line
			t.list(k.title, append(t.beside(&k), k.plain...))
		}
	}
	var sums []string
	for _, s := range sumsOf(d.Diff) {
		if s.Changed {
			sums = append(sums, s.Name+" "+s.Before+" -> "+s.After)
		}
	}
	t.list("Totals", sums)
	return b.Flush()
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
			lines = append(lines, plural(len(same), "part")+" "+what+": "+partNames(t.d, same))
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

// beside tells changes of one kind a line each, those that read the same but for
// what they are on in one.
func (t diffLister) beside(k *besideKind) (lines []string) {
	on := map[string][]string{}
	count := map[string]int{}
	for i := range k.told {
		b := &k.told[i]
		if b.alike == "" {
			lines = append(lines, whoIs(t.d.Diff, b.Before, b.After)+": "+b.what+", at "+xy(seen(b.At)))
			continue
		}
		if count[b.alike]++; count[b.alike] == 1 {
			lines = append(lines, b.alike)
		}
		on[b.alike] = append(on[b.alike], b.on)
	}
	for i, l := range lines {
		if n := count[l]; n > 0 {
			word, rest, _ := strings.Cut(l, " ")
			lines[i] = plural(n, word) + " " + rest + ": " + firstNames(on[l])
		}
	}
	return lines
}

// firstNames lists names once each, as people count, and how many more there are.
func firstNames(names []string) string {
	slices.SortFunc(names, lint.CompareNames)
	names = slices.Compact(names)
	s := strings.Join(names[:min(len(names), changesTold)], ", ")
	if n := len(names) - changesTold; n > 0 {
		s += fmt.Sprintf(" and %d more", n)
	}
	return s
}

// middle returns a place that stands for a changed part.
func middle(d *diff.Diff, p *diff.Part) geom.Point { return seen(boxOf(d, p).Center()) }
