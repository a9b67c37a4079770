package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"sluice/fix"
	"sluice/lint"
	"sluice/lint/figures"
)

// fixText writes the whole report of a repair as text: every edit, everything
// left for a person, tabs, numbers, and the account of the entities.
func fixText(w io.Writer, r *Repair) error {
	t := textWriter{Writer: bufio.NewWriter(w)}
	t.fixHead(r.Repair)

	t.line("\nEdits (%d)", len(r.Repaired.Edits))
	for i := range r.Edits {
		k := &r.Edits[i]
		t.line("\n  %s (%d)%s", clean(k.Name), len(k.Edits), spaced(refits(k)))
		for i := range k.Edits {
			t.line("    %s", editText(&k.Edits[i]))
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
	for _, l := range []struct {
		head  string
		edits []fix.Edit
	}{{"Taken back", r.Repaired.Undone}, {"Skipped", r.Repaired.Skipped}} {
		if len(l.edits) > 0 {
			t.line("\n%s (%d)", l.head, len(l.edits))
		}
		for i := range l.edits {
			t.line("  %s %s", clean(l.edits[i].Kind), editText(&l.edits[i]))
		}
	}

	t.line("\nLeft for a person to decide (%d)", len(r.Left))
	for _, fs := range r.LeftByRule {
		t.rule(fs, "", len(fs))
	}

	t.line("\nTabs (%d)", len(r.Tabs))
	for _, n := range holdingWords(&r.Holding) {
		t.paragraph("  ", capital(n)+".", 98)
	}
	for _, b := range r.Tabs {
		t.line("  %s at %s: %s mm left after cutting, drawn as a gap of %s mm",
			partOr(b.Part), xy(seen(b.At)), figure(b.Width, 3), figure(b.Gap, 3))
	}
	t.line("\nNumbers (%d)", len(r.Labels))
	for _, l := range r.Labels {
		t.line("  %s: %q at %s, %s mm high, turned %s degrees, %s",
			partOr(l.Part), clean(l.Text), xy(seen(l.At)), figure(l.Height, 3), figure(l.Angle, 2), clean(l.Where))
	}
	t.account(&r.Account)
	t.line("\nBefore cutting")
	if r.Hazard != "" {
		t.line("  - %s", r.Hazard)
	}
	for _, c := range cautions {
		t.line("  - %s", c)
	}
	t.line("  %s", deference)
	return t.Flush()
}

// refits tells of edits that put arcs in the place of lines or curves how many
// there were, how many there are, and how far they lie apart at most; "" of others.
func refits(k *figures.Kind) string {
	if k.Was == 0 {
		return ""
	}
	what := plural(k.Was, "line")
	if k.Name == "refit-curve" {
		what = plural(k.Was, "curve")
	}
	return fmt.Sprintf("%s put as %s, at most %s mm off", what, plural(k.Now, "piece"), figure(k.Far, 4))
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
	s := "at " + xy(seen(e.At))
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
func (t textWriter) fixHead(r *figures.Repair) {
	t.line("%s -> %s", clean(r.Input), clean(r.Output))
	if r.Unit != nil {
		t.line("  unit     %s", unitText(r.Unit))
	}
	if r.After != nil && r.After.Sheet != nil {
		t.line("  holds    %s, %s", plural(r.Counts.Parts, "part"), plural(r.Counts.Holes, "hole"))
	}
	t.line("  before   %s", TallyText(r.Was))
	t.line("  after    %s", TallyText(r.Is))
}

// The one-screen summary lists so many findings and kinds of edit.
const (
	summaryLeft  = 8
	summaryKinds = 12
)

// FixSummary writes what a repair came to, short enough for one screen.
func FixSummary(w io.Writer, r *figures.Repair) error {
	t := textWriter{Writer: bufio.NewWriter(w)}
	t.fixHead(r)
	var edits []string
	for i := range r.Edits {
		if i == summaryKinds {
			edits = append(edits, "and others")
			break
		}
		edits = append(edits, fmt.Sprintf("%d %s", len(r.Edits[i].Edits), clean(r.Edits[i].Name)))
	}
	if len(edits) == 0 {
		edits = []string{"none"}
	}
	t.wrapped("  edits    ", edits)
	for i := range r.Edits {
		if s := refits(&r.Edits[i]); s != "" {
			t.line("  %-8s %s", "curves", s)
		}
	}
	if n := len(r.Repaired.Undone); n > 0 {
		t.line("  taken back: %s that would have brought a new finding", plural(n, "repair"))
	}
	if n := len(r.Repaired.Skipped); n > 0 {
		t.line("  skipped: %s that could not be made beside the others", plural(n, "repair"))
	}
	if r.Held != "" {
		t.line("  held back: %s", r.Held)
	}
	if r.Hazard != "" {
		t.line("  caution: %s", r.Hazard)
	}
	if s := holdingCaution(&r.Holding); s != "" {
		t.paragraph("  caution: ", s, 98)
	}
	t.line("  entities %s", accountText(&r.Account))
	left := r.LeftByGravity
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
		t.line("    %-7s %s at %s%s: %s", f.Severity, clean(f.Rule), xy(seen(f.At)), commaPart(f.Part), clean(f.Message))
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
