package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"sluice/lint"
)

// TextOptions shape the text report.
type TextOptions struct {
	All     bool                     // every finding, not only the first 20 of a rule
	Quiet   bool                     // only files with findings, without counts and totals
	Color   bool                     // colours by terminal sequences
	Explain func(rule string) string // title of a rule; nil or "": the id stands alone
	After   string                   // said after the totals, such as what a baseline accepts; "": nothing
}

// findingsPerRule is how many findings of a rule the text report shows unless
// all are asked for.
const findingsPerRule = 20

// inks are the terminal sequences by severity.
var inks = map[lint.Severity]string{lint.Error: "31;1", lint.Warning: "33", lint.Note: "36"}

type textWriter struct {
	*bufio.Writer
	color bool
}

func (t textWriter) ink(code, s string) string {
	if !t.color || code == "" {
		return s
	}
	return "\x1b[" + code + "m" + s + "\x1b[0m"
}

func (t textWriter) line(format string, args ...any) { fmt.Fprintf(t, format+"\n", args...) }

// LintText writes the results for reading on a terminal: a heading for each
// file, its findings by rule, a table of the files where there are several, and a
// line of totals.
func LintText(w io.Writer, results []*lint.Result, o TextOptions) error {
	t := textWriter{bufio.NewWriter(w), o.Color}
	var totals Tally
	unreadable, shown := 0, 0
	for _, r := range results {
		totals = totals.plus(TallyOf(r.Findings))
		if r.Err != nil {
			unreadable++
		} else if o.Quiet && len(r.Findings) == 0 {
			continue
		}
		if shown++; shown > 1 {
			t.line("")
		}
		t.file(r, o)
	}
	if !o.Quiet {
		if shown > 0 {
			t.line("")
		}
		if len(results) > 1 {
			t.table(results)
		}
		end := ""
		if unreadable > 0 {
			end = "; " + plural(unreadable, "file") + " could not be read"
		}
		if o.After != "" {
			end += "; " + clean(o.After)
		}
		t.line("%s: %s%s", plural(len(results), "file"), totals, end)
	}
	return t.Flush()
}

// table sums up the files, one a line. Those without a finding are only counted.
func (t textWriter) table(results []*lint.Result) {
	width, sound := len("drawing"), 0
	for _, r := range results {
		if r.Err != nil || len(r.Findings) > 0 {
			width = max(width, utf8.RuneCountInString(clean(r.Path)))
		} else {
			sound++
		}
	}
	if sound < len(results) {
		t.line("  %s", t.ink("1", fmt.Sprintf("%-*s  parts  errors  warnings  notes", width, "drawing")))
	}
	for _, r := range results {
		path := fmt.Sprintf("%-*s", width, clean(r.Path))
		switch n := TallyOf(r.Findings); {
		case r.Err != nil:
			t.line("  %s  %s", path, t.ink(inks[lint.Error], "cannot be read"))
		case n.Sum() > 0:
			t.line("  %s  %5d  %6d  %8d  %5d", path, countsOf(r).Parts, n.Error, n.Warning, n.Note)
		}
	}
	if sound > 0 {
		t.line("  %s without findings", plural(sound, "drawing"))
	}
	t.line("")
}

func (t textWriter) file(r *lint.Result, o TextOptions) {
	t.line("%s", t.ink("1", clean(r.Path)))
	if r.Err != nil {
		t.line("  %s %s", t.ink(inks[lint.Error], "cannot be read:"), clean(r.Err.Error()))
		return
	}
	if !o.Quiet {
		t.line("  %s", describe(r))
		if a := accountOf(r); a != nil && a.Read > 0 {
			t.line("  %s: %s", accountText(a), accountLine(a))
		}
	}
	if len(r.Findings) == 0 {
		t.line("  no findings")
		return
	}
	fs := sorted(r.Findings)
	for len(fs) > 0 {
		n := 1
		for n < len(fs) && fs[n].Rule == fs[0].Rule {
			n++
		}
		t.rule(fs[:n], o)
		fs = fs[n:]
	}
}

// describe says in one line what a drawing holds.
func describe(r *lint.Result) string {
	var s []string
	if u, ok := unitOf(r); ok {
		s = append(s, unitText(u))
	}
	if usable(r.Extents) {
		s = append(s, fmt.Sprintf("%s x %s mm", figure(r.Extents.W(), 2), figure(r.Extents.H(), 2)))
	}
	c := countsOf(r)
	s = append(s, fmt.Sprintf("%s, %s, %s, %s", plural(c.Entities, "entity"),
		plural(c.Outlines, "outline"), plural(c.Parts, "part"), plural(c.Holes, "hole")))
	if c.Unread > 0 {
		s = append(s, fmt.Sprintf("%d unread", c.Unread))
	}
	return strings.Join(s, "; ")
}

// rule writes the findings of one rule.
func (t textWriter) rule(fs []lint.Finding, o TextOptions) {
	head := clean(fs[0].Rule)
	if o.Explain != nil {
		if title := clean(o.Explain(fs[0].Rule)); title != "" {
			head += ": " + title
		}
	}
	t.line("")
	t.line("  %s (%d)", t.ink("1", head), len(fs))
	show := fs
	if !o.All && len(fs) > findingsPerRule {
		show = fs[:findingsPerRule]
	}
	t.findings(show)
	if n := len(fs) - len(show); n > 0 {
		t.line("    and %d more (--all shows them)", n)
	}
}

// findings writes one line a finding, in columns.
func (t textWriter) findings(fs []lint.Finding) {
	places, parts := make([]string, len(fs)), make([]string, len(fs))
	placeWidth, partWidth := 0, 0
	for i := range fs {
		places[i], parts[i] = xy(place(fs[i].At)), partText(fs[i].Part)
		placeWidth = max(placeWidth, len(places[i]))
		partWidth = max(partWidth, utf8.RuneCountInString(parts[i]))
	}
	partWidth = min(partWidth, 24)
	for i := range fs {
		f := &fs[i]
		severity := t.ink(inks[f.Severity], fmt.Sprintf("%-7s", f.Severity))
		line := fmt.Sprintf("    %s  %*s", severity, placeWidth, places[i])
		if partWidth > 0 {
			line += fmt.Sprintf("  %-*s", partWidth, parts[i])
		}
		t.line("%s  %s", line, clean(f.Message))
	}
}

// partText returns "part 3", or "" for what belongs to no part.
func partText(part string) string {
	if part == "" {
		return ""
	}
	return "part " + clean(part)
}
