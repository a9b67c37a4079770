package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"sluice/fix"
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/units"
)

// fixText writes the whole report of a repair as text: every edit, everything
// left for a person, tabs, numbers, and the account of the entities.
func fixText(w io.Writer, r *Repair) error {
	t := textWriter{Writer: bufio.NewWriter(w), units: units.Of(r.Inches())}
	t.fixHead(r.Repair, r.Verdict())

	t.line("\nEdits (%d)", len(r.Repaired.Edits))
	for i := range r.Edits {
		k := &r.Edits[i]
		t.say("\n  %s (%d)%s", clean(k.Name), len(k.Edits), spaced(refits(k)))
		for i := range k.Edits {
			t.say("    %s", t.edit(&k.Edits[i]))
		}
	}

	if s := r.Spread; s != nil {
		t.say("\nMoved apart: %s lay too close; the largest shift is %s mm", plural(s.Pairs, "pair"), fixed(s.Most, 2))
	}
	if l := r.Layout; l != nil {
		t.line("\nLaid out on %s (seed %d)", plural(len(l.Sheets), "sheet"), l.Seed)
		for _, p := range l.Left {
			t.line("  no place for %d of part %s: %s", p.Count, clean(p.Part), clean(p.Why))
		}
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
			t.say("  %s %s", clean(l.edits[i].Kind), t.edit(&l.edits[i]))
		}
	}

	t.line("\nLeft for a person to decide (%d)", len(r.Left))
	for _, fs := range r.LeftByRule {
		t.rule(fs, "")
	}

	t.line("\nTabs (%d)", len(r.Tabs))
	for _, n := range holdingWords(&r.Holding) {
		t.paragraph("  ", t.units.Words(capital(n)+"."), 98)
	}
	for _, b := range r.Tabs {
		t.say("  %s at %s: %s mm left after cutting, drawn as a gap of %s mm",
			partOr(b.Part), t.place(b.At), figure(b.Width, 3), figure(b.Gap, 3))
	}
	t.line("\nNumbers (%d)", len(r.Labels))
	for _, l := range r.Labels {
		t.say("  %s: %q at %s, %s mm high, turned %s degrees, %s",
			partOr(l.Part), clean(l.Text), t.place(l.At), figure(l.Height, 3), figure(l.Angle, 2), clean(l.Where))
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
	return fmt.Sprintf("%s drawn as %s, at most %s mm off", what, plural(k.Now, "piece"), figure(k.Far, 4))
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

// edit says what an edit did, where and by how much.
func (t textWriter) edit(e *fix.Edit) string {
	s := "at " + t.place(e.At)
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

// fixHead writes what a repair came to: how the kit stands to the sheet, what was
// mended, what is left, and the settings in force.
func (t textWriter) fixHead(r *figures.Repair, v *figures.Verdict) {
	t.line("%s -> %s", clean(r.Input), clean(r.Output))
	if v.Scaled != "" {
		t.wrap("  ", "  ", capital(clean(v.Scaled))+".", "")
	}
	t.stand(v)
	if s := playText(v.Play); s != "" {
		t.wrap("  Play: ", "  ", s+".", "")
	}
	if n := len(r.Left); n > 0 {
		t.wrap("  ", "  ", fmt.Sprintf("Left to decide (%d): %s; cut as it is, they stay.", n, TallyText(v.Tally)), "")
	} else {
		t.line("  Nothing is left to decide.")
	}
	t.wrap("  Mended: ", "  ", mendedText(r)+".", "")
	t.wrap("  Before: ", "  ", fmt.Sprintf("%s; in the new drawing: %s.", TallyText(r.Was), TallyText(r.Is)), "")
	for _, c := range repairCautions(r) {
		t.wrap("  ", "  ", c, "")
	}
	holds := "nothing"
	if r.After != nil && r.After.Sheet != nil {
		holds = plural(r.Counts.Parts, "part") + ", " + plural(r.Counts.Holes, "hole")
	}
	t.wrap("  Holds: ", "  ", holds, "")
	t.wrap("  In force: ", "  ", forceText(v), "")
}

// FixSummary writes what a repair came to, short enough for one screen, and what is
// left in facts.
func FixSummary(w io.Writer, r *figures.Repair) error {
	t := textWriter{Writer: bufio.NewWriter(w), units: units.Of(r.Inches())}
	v := r.Verdict()
	t.fixHead(r, v)
	if len(r.Left) > 0 {
		t.line("")
		t.facts(v.Facts, "the report has them all")
	}
	return t.Flush()
}

// mendedText says what a repair did, in words.
func mendedText(r *figures.Repair) string {
	var s []string
	for i := range r.Edits {
		s = append(s, editCount(&r.Edits[i]))
	}
	if len(s) == 0 {
		return "nothing"
	}
	return strings.Join(s, ", ")
}

// repairCautions say what of a repair was not made, and what to mind.
func repairCautions(r *figures.Repair) []string {
	var s []string
	if n := len(r.Repaired.Undone); n > 0 {
		s = append(s, "Taken back: "+plural(n, "repair")+" that would have brought a new finding.")
	}
	if n := len(r.Repaired.Skipped); n > 0 {
		s = append(s, "Skipped: "+plural(n, "repair")+" that could not be made beside the others.")
	}
	if r.Held != "" {
		s = append(s, "Held back: "+r.Held+".")
	}
	if r.Hazard != "" {
		s = append(s, "Caution: "+r.Hazard+".")
	}
	if c := holdingCaution(&r.Holding); c != "" {
		s = append(s, "Caution: "+c+".")
	}
	return s
}

func commaPart(part string) string {
	if part == "" {
		return ""
	}
	return ", " + partText(part)
}
