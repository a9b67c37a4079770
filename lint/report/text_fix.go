package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"sluice/fix"
	"sluice/lint"
)

// editGroup is the edits of one kind, in the order made.
type editGroup struct {
	Kind  string
	Edits []fix.Edit
}

// groupEdits gathers edits by kind, kinds in the order in which they first come.
func groupEdits(edits []fix.Edit) []editGroup {
	var groups []editGroup
	at := map[string]int{}
	for _, e := range edits {
		i, ok := at[e.Kind]
		if !ok {
			i = len(groups)
			at[e.Kind] = i
			groups = append(groups, editGroup{Kind: e.Kind})
		}
		groups[i].Edits = append(groups[i].Edits, e)
	}
	return groups
}

// FixText writes the whole report of a repair as text: every edit, everything
// left for a person, tabs, numbers, and the account of the entities.
func FixText(w io.Writer, r *lint.Repaired) error {
	t := textWriter{Writer: bufio.NewWriter(w)}
	t.fixHead(r)

	t.line("\nEdits (%d)", len(r.Edits))
	for _, g := range groupEdits(r.Edits) {
		t.line("\n  %s (%d)%s", clean(g.Kind), len(g.Edits), spaced(g.refits()))
		for _, e := range g.Edits {
			t.line("    %s", editText(&e))
		}
	}

	if s := r.Spread; s != nil {
		t.line("\nMoved apart: %s lay too close; the largest shift is %s mm", plural(s.Pairs, "pair"), fixed(s.Most, 2))
	}
	if l := r.Layout; l != nil {
		t.line("\nLaid out on %s (seed %d)", plural(len(l.Sheets), "sheet"), l.Seed)
		t.sheets(l)
	}

	if r.Held != "" {
		t.line("\nHeld back: %s", r.Held)
	}
	if len(r.Undone) > 0 {
		t.line("\nTaken back (%d)", len(r.Undone))
		for _, e := range r.Undone {
			t.line("  %s %s", clean(e.Kind), editText(&e))
		}
	}

	if len(r.Skipped) > 0 {
		t.line("\nSkipped (%d)", len(r.Skipped))
		for _, e := range r.Skipped {
			t.line("  %s %s", clean(e.Kind), editText(&e))
		}
	}

	t.line("\nLeft for a person to decide (%d)", len(r.Left))
	left := sorted(r.Left)
	for len(left) > 0 {
		n := 1
		for n < len(left) && left[n].Rule == left[0].Rule {
			n++
		}
		t.rule(left[:n], TextOptions{All: true})
		left = left[n:]
	}

	t.line("\nTabs (%d)", len(r.Tabs))
	if len(r.Tabs) > 0 && r.After != nil && r.After.Job != nil {
		t.line("  %s; check that the sheet lies so", lint.SlatNote(r.After.Job))
	}
	for _, b := range r.Tabs {
		t.line("  %s at %s: %s mm left after cutting, drawn as a gap of %s mm",
			partOr(b.Part), xy(place(b.At)), figure(b.Width, 3), figure(b.Gap, 3))
	}
	t.line("\nNumbers (%d)", len(r.Labels))
	for _, l := range r.Labels {
		t.line("  %s: %q at %s, %s mm high, turned %s degrees, %s",
			partOr(l.Part), clean(l.Text), xy(place(l.At)), figure(l.Height, 3), figure(l.Angle, 2), clean(l.Where))
	}
	t.account(&r.Account)
	t.line("\nBefore cutting")
	for _, c := range cautions {
		t.line("  - %s", c)
	}
	t.line("  %s", deference)
	return t.Flush()
}

// refits sums up edits that put arcs in the place of lines or curves: how many
// there were, how many there are, and how far they lie apart at most; "" for other
// edits.
func (g *editGroup) refits() string {
	was, now, far := 0, 0, 0.0
	for i := range g.Edits {
		e := &g.Edits[i]
		was, now, far = was+e.Was, now+e.Now, max(far, e.Moved)
	}
	if was == 0 {
		return ""
	}
	what := plural(was, "line")
	if g.Kind == "refit-curve" {
		what = plural(was, "curve")
	}
	return fmt.Sprintf("%s put as %s, at most %s mm off", what, plural(now, "piece"), figure(far, 4))
}

// spaced puts a colon and a space before what is not empty.
func spaced(s string) string {
	if s == "" {
		return ""
	}
	return ": " + s
}

func partOr(part string) string {
	if part == "" {
		return "no part"
	}
	return partText(part)
}

// editText says what an edit did, where and by how much.
func editText(e *fix.Edit) string {
	s := "at " + xy(place(e.At))
	if e.Part != "" {
		s += ", " + partText(e.Part)
	}
	if e.Moved > 0 {
		s += ", moved " + figure(e.Moved, 4) + " mm"
	}
	if len(e.Entities) > 0 {
		s += ", " + strings.Join(cleanAll(e.Entities, 6), " ")
	}
	if e.Note != "" {
		s += ": " + clean(e.Note)
	}
	return s
}

// cleanAll returns at most n of the strings, cleaned, and tells how many were
// left off.
func cleanAll(ss []string, n int) []string {
	var out []string
	for i, s := range ss {
		if i == n {
			return append(out, fmt.Sprintf("and %d more", len(ss)-n))
		}
		out = append(out, clean(s))
	}
	return out
}

func (t textWriter) account(a *lint.Account) {
	t.line("\nEntities of the input: %s", accountText(a))
	if len(a.ByType) > 0 {
		t.line("  %-16s %8s %8s %8s %8s %8s", "type", "read", "used", "carried", "replaced", "left out")
		for _, b := range a.ByType {
			t.line("  %-16s %8d %8d %8d %8d %8d", clean(b.Type), b.Read, b.Used, b.Carried, b.Replaced, b.LeftOut)
		}
	}
	for _, l := range a.Left {
		t.line("  left out: %d %s: %s", l.Count, clean(l.Type), clean(l.Why))
	}
}

func accountText(a *lint.Account) string {
	return fmt.Sprintf("%d read = %d used + %d carried + %d replaced + %d left out",
		a.Read, a.Used, a.Carried, a.Replaced, a.LeftOut)
}

// fixHead writes names, unit, parts and the counts before and after.
func (t textWriter) fixHead(r *lint.Repaired) {
	t.line("%s -> %s", clean(r.Input), clean(r.Output))
	if u, ok := unitOf(r.Before); ok {
		t.line("  unit     %s", unitText(u))
	}
	if r.After != nil && r.After.Sheet != nil {
		c := countsOf(r.After)
		t.line("  holds    %s, %s", plural(c.Parts, "part"), plural(c.Holes, "hole"))
	}
	t.line("  before   %s", TallyOf(findingsOf(r.Before)))
	t.line("  after    %s", TallyOf(findingsOf(r.After)))
}

// summaryLeft is how many findings the one-screen summary lists.
const summaryLeft = 8

// FixSummary writes what a repair came to, short enough for one screen.
func FixSummary(w io.Writer, r *lint.Repaired) error {
	t := textWriter{Writer: bufio.NewWriter(w)}
	t.fixHead(r)
	var edits []string
	for i, g := range groupEdits(r.Edits) {
		if i == 12 {
			edits = append(edits, "and others")
			break
		}
		edits = append(edits, fmt.Sprintf("%d %s", len(g.Edits), clean(g.Kind)))
	}
	if len(edits) == 0 {
		edits = []string{"none"}
	}
	t.wrapped("  edits    ", edits)
	for _, g := range groupEdits(r.Edits) {
		if s := g.refits(); s != "" {
			t.line("  %-8s %s", "curves", s)
		}
	}
	if n := len(r.Undone); n > 0 {
		t.line("  taken back: %s that would have brought a new finding", plural(n, "repair"))
	}
	if n := len(r.Skipped); n > 0 {
		t.line("  skipped: %s that could not be made beside the others", plural(n, "repair"))
	}
	if r.Held != "" {
		t.line("  held back: %s", r.Held)
	}
	t.line("  entities %s", accountText(&r.Account))
	left := bySeverity(r.Left)
	if len(left) == 0 {
		t.line("  nothing is left to decide")
		return t.Flush()
	}
	t.line("  left to decide (%d):", len(left))
	n := len(left)
	if n > summaryLeft {
		n = summaryLeft - 1
	}
	for _, f := range left[:n] {
		t.line("    %-7s %s at %s%s: %s", f.Severity, clean(f.Rule), xy(place(f.At)), commaPart(f.Part), clean(f.Message))
	}
	if n < len(left) {
		t.line("    and %d more; the report has them all", len(left)-n)
	}
	return t.Flush()
}

func commaPart(part string) string {
	if part == "" {
		return ""
	}
	return ", " + partText(part)
}

// wrapped writes the words after head, separated by commas, broken before
// column 100 and aligned below the first word.
func (t textWriter) wrapped(head string, words []string) {
	line, width := head, len(head)
	for i, w := range words {
		if i < len(words)-1 {
			w += ","
		}
		if len(line)+len(w)+1 > 100 && len(line) > width {
			t.line("%s", strings.TrimRight(line, " "))
			line = strings.Repeat(" ", width)
		}
		line += w + " "
	}
	t.line("%s", strings.TrimRight(line, " "))
}
