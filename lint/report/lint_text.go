package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/units"
)

// TextOptions shape the text report.
type TextOptions struct {
	All   bool   // every finding at its place, not facts
	Quiet bool   // only files with findings, without counts and totals
	Color bool   // colours by terminal sequences
	After string // said after the totals, such as what a baseline accepts; "": nothing
}

// inks are the terminal sequences by severity.
var inks = map[lint.Severity]string{lint.Error: "31;1", lint.Warning: "33", lint.Note: "36"}

type textWriter struct {
	*bufio.Writer
	color bool
	units units.System
}

func (t textWriter) ink(code, s string) string {
	if !t.color || code == "" {
		return s
	}
	return "\x1b[" + code + "m" + s + "\x1b[0m"
}

func (t textWriter) line(format string, args ...any) {
	fmt.Fprintln(t, noCommand(fmt.Sprintf(format, args...)))
}

// say writes a line with its lengths in the units to tell them in.
func (t textWriter) say(format string, args ...any) {
	t.line("%s", t.units.Words(fmt.Sprintf(format, args...)))
}

// place writes a place on a drawing.
func (t textWriter) place(p geom.Point) string { return placeText(t.units, p) }

// noCommand keeps a line that begins with a name from being read as a command of a
// workflow that shows the text.
func noCommand(line string) string {
	if rest, ok := strings.CutPrefix(strings.TrimLeft(line, " "), "::"); ok {
		return strings.TrimSuffix(line, "::"+rest) + ": :" + rest
	}
	return line
}

// lintText writes the results for reading on a terminal: a heading for each
// file, its findings by rule, a table of the files where there are several, and a
// line of totals.
func lintText(w io.Writer, c *Check) error {
	t := textWriter{Writer: bufio.NewWriter(w), color: c.Text.Color}
	rules := c.byID()
	verdicts := make([]*figures.Verdict, len(c.Files))
	var read []*figures.Verdict
	for i := range c.Files {
		if verdicts[i] = c.Files[i].Verdict(); c.Files[i].Err == nil {
			read = append(read, verdicts[i])
		}
	}
	common := commonForce(read)
	shown := 0
	for i := range c.Files {
		f := &c.Files[i]
		if f.Err != nil || c.Text.Quiet && len(f.Findings) == 0 {
			continue // what cannot be read is told on standard error
		}
		if shown++; shown > 1 {
			t.line("")
		}
		t.file(f, verdicts[i], rules, common == "", &c.Text)
	}
	if !c.Text.Quiet {
		if common != "" {
			t.line("")
			all := t
			all.units = units.Of(read[0].Inches)
			all.wrap("In force: ", "", common, "")
		}
		if shown > 0 {
			t.line("")
		}
		if len(c.Files) > 1 {
			t.table(c.Files)
		}
		end := ""
		if c.Unreadable > 0 {
			end = "; " + plural(c.Unreadable, "file") + " could not be read"
		}
		if c.Text.After != "" {
			end += "; " + clean(c.Text.After)
		}
		t.line("%s: %s%s", plural(len(c.Files), "file"), TallyText(c.Totals), end)
	}
	return t.Flush()
}

// table sums up the files, one a line. Those without a finding are only counted.
func (t textWriter) table(files []figures.File) {
	width, sound, flawed := len("drawing"), 0, 0
	for i := range files {
		switch f := &files[i]; {
		case f.Err != nil:
		case len(f.Findings) > 0:
			width = max(width, utf8.RuneCountInString(clean(f.Path)))
			flawed++
		default:
			sound++
		}
	}
	if flawed > 0 {
		t.line("  %s", t.ink("1", fmt.Sprintf("%-*s  parts  errors  warnings  notes", width, "drawing")))
	}
	for i := range files {
		f := &files[i]
		path := fmt.Sprintf("%-*s", width, clean(f.Path))
		switch n := f.Tally; {
		case f.Err == nil && n.Sum() > 0:
			t.line("  %s  %5d  %6d  %8d  %5d", path, f.Counts.Parts, n.Error, n.Warning, n.Note)
		}
	}
	if sound > 0 {
		t.line("  %s without findings", plural(sound, "drawing"))
	}
	t.line("")
}

// file writes what is told of one drawing; force tells the settings with it.
func (t textWriter) file(f *figures.File, v *figures.Verdict, rules map[string]*Rule, force bool, o *TextOptions) {
	t.units = units.Of(f.Inches())
	t.line("%s", t.ink("1", clean(f.Path)))
	if !o.Quiet {
		t.verdict(v)
		holds := describe(f)
		if !force && v.Unit != nil {
			holds += "; unit " + unitText(v.Unit)
		}
		t.wrap("  Holds: ", "  ", holds, "")
		if force {
			t.wrap("  In force: ", "  ", forceText(v), "")
		}
	}
	if len(f.Findings) == 0 {
		return
	}
	if !o.All {
		if !o.Quiet {
			t.line("")
		}
		t.facts(v.Facts, "--all shows them, each with its place")
		return
	}
	if a := f.Sum; a != nil && a.Read > 0 {
		t.line("  %s: %s", accountText(a), accountLine(a))
	}
	for _, fs := range f.ByRule {
		title := ""
		if d := rules[fs[0].Rule]; d != nil {
			title = clean(d.Title)
		}
		t.rule(fs, title)
	}
}

// columns is how wide the text is at most, but for names that are wider.
const columns = 80

// verdict writes what a person wants to know first of a drawing.
func (t textWriter) verdict(v *figures.Verdict) {
	t.stand(v)
	t.wrap("  ", "  ", workText(v), "")
}

// stand writes how a kit stands to its sheet, and what to do about it.
func (t textWriter) stand(v *figures.Verdict) {
	text, do := standText(v)
	if text != "" {
		ink := ""
		if v.None {
			ink = inks[lint.Error]
		}
		t.wrap("  ", "  ", text, ink)
	}
	if do != "" {
		t.wrap("  Do: ", "  ", do, "")
	}
}

// mostLines is how many facts are told one by one, mostInchLines where they are
// longer by the inches.
const mostLines, mostInchLines = 14, 12

// facts writes the facts of a drawing: what a person decides, worst first, then
// what fix mends by itself. where says where every finding is told.
func (t textWriter) facts(f *figures.Facts, where string) {
	show, places := f.Asked, 0
	most := mostLines
	if t.units == units.Inches {
		most = mostInchLines
	}
	if len(show) > most {
		show = show[:most-1]
	}
	for i := range show {
		t.fact(&show[i])
		places += show[i].Count + show[i].Also.Sum() - 1
	}
	if left := f.Asked[len(show):]; len(left) > 0 {
		t.wrap("  also     ", "           ", tailText(left), "")
		places += figures.Count(left)
	}
	if n := figures.Count(f.Mended); n > 0 {
		t.wrap(fmt.Sprintf("  fix mends by itself (%d): ", n), "  ", mendsText(f.Mended), "")
		places += n
	}
	if places > 0 {
		more := "more"
		if len(show) == len(f.Asked) {
			more = "more of these" // every fact stands there, not every place
		}
		t.line("  and %d %s (%s)", places, more, where)
	}
}

// fact writes one fact in a line, or as few as it takes.
func (t textWriter) fact(f *figures.Fact) {
	head := "  " + t.ink(inks[f.Severity], fmt.Sprintf("%-7s", f.Severity)) + "  "
	t.wrapAt(head, 11, "           ", factText(f)+" ["+clean(f.Rule)+"]", "")
}

// held stands for a blank at which no line is broken: between a number and its
// unit.
const held = "\x00"

// wrap writes words behind head, broken before the last column; the lines that
// follow begin with hang.
func (t textWriter) wrap(head, hang, text, ink string) {
	t.wrapAt(head, utf8.RuneCountInString(head), hang, text, ink)
}

// wrapAt is wrap behind a head that is at columns wide.
func (t textWriter) wrapAt(head string, at int, hang, text, ink string) {
	line, empty := head, true
	var words []string
	flush := func() { t.line("%s%s", line, t.ink(ink, strings.Join(words, " "))) }
	text = strings.NewReplacer(" mm", held+"mm", " in (", held+"in (").Replace(t.units.Words(text))
	for _, w := range strings.Fields(text) {
		w = strings.ReplaceAll(w, held, " ")
		n := utf8.RuneCountInString(w)
		if !empty && at+1+n > columns {
			flush()
			line, at, words, empty = hang, utf8.RuneCountInString(hang), nil, true
		}
		if !empty {
			at++
		}
		words, at, empty = append(words, w), at+n, false
	}
	flush()
}

// describe says in one line what a drawing holds.
func describe(f *figures.File) string {
	var s []string
	if f.Extents.Finite() && f.Extents.Diagonal() > 0 {
		s = append(s, fmt.Sprintf("%s x %s mm", figure(f.Extents.W(), 2), figure(f.Extents.H(), 2)))
	}
	c := &f.Counts
	s = append(s, fmt.Sprintf("%s, %s", plural(c.Parts, "part"), plural(c.Holes, "hole")))
	if c.Unread > 0 {
		s = append(s, fmt.Sprintf("%d not read", c.Unread))
	}
	return strings.Join(s, "; ")
}

// rule writes the findings of one rule.
func (t textWriter) rule(fs []lint.Finding, title string) {
	head := clean(fs[0].Rule)
	if title != "" {
		head += ": " + title
	}
	t.line("")
	t.line("  %s (%d)", t.ink("1", head), len(fs))
	t.findings(fs)
}

// findings writes one line a finding, in columns.
func (t textWriter) findings(fs []lint.Finding) {
	places, parts := make([]string, len(fs)), make([]string, len(fs))
	placeWidth, partWidth := 0, 0
	for i := range fs {
		places[i], parts[i] = t.place(fs[i].At), partText(fs[i].Part)
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
		t.line("%s  %s", line, t.units.Words(clean(f.Message)))
	}
}

// partText returns "part 3", or "" for what belongs to no part.
func partText(part string) string {
	if part == "" {
		return ""
	}
	return "part " + clean(part)
}
