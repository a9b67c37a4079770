package cli

import (
	"fmt"
	"strings"

	"sluice/lint/job"
)

// man prints the manual page of the program, or of one command, for man(1).
func (c *call) man() int {
	if len(c.args) == 0 {
		return c.emit([]byte(overviewPage()))
	}
	about := findCommand(c.args[0])
	if about == nil {
		return c.failf("no page on %q; did you mean %q? (%s)",
			c.args[0], job.Nearest(c.args[0], commandNames()), strings.Join(commandNames(), ", "))
	}
	return c.emit([]byte(about.page()))
}

// heading starts a page. It carries no date, so that the same version gives the
// same bytes.
func heading(b *strings.Builder, name, title string) {
	fmt.Fprintf(b, ".TH %s 1 \"\" \"sluice %s\"\n.SH NAME\n%s \\- %s\n",
		strings.ToUpper(roff(name)), Version, roff(name), roff(title))
}

func overviewPage() string {
	var b strings.Builder
	heading(&b, "sluice", "make a drawing of flat parts ready for an abrasive water-jet table")
	b.WriteString(".SH SYNOPSIS\n.B sluice\n.I COMMAND\n[flags] ...\n.SH COMMANDS\n")
	for _, c := range commands() {
		fmt.Fprintf(&b, ".TP\n.B sluice\\-%s\n%s\n", roff(c.name), roff(c.title))
	}
	b.WriteString(".SH LENGTHS\nA length takes a unit, such as 0.9mm, 0.035in or 3/16in; bare numbers are mm.\n")
	b.WriteString(".SH EXIT STATUS\n" +
		".TP\n0\ndone, and nothing stands in the way\n" +
		".TP\n1\nfindings at or above \\-\\-fail\\-on, something left for a person, or shapes that differ\n" +
		".TP\n2\nbad usage, or an input that cannot be read; it is told in one line on standard error\n")
	b.WriteString(".SH FILES\n.TP\n.I " + roff(job.FileName) + "\nthe job file, looked for beside the drawing and in the folders above it up to the root of the\n" +
		"repository\n" +
		".TP\n.I sluice\nin the user's cache folder: what was found in drawings, by a hash of all it depends on; it may be\n" +
		"deleted at any time\n" +
		".SH ENVIRONMENT\n.TP\n.B NO_COLOR\nset to anything, text is not coloured\n")
	return b.String()
}

func (c *command) page() string {
	var b strings.Builder
	heading(&b, "sluice-"+c.name, c.title)
	fmt.Fprintf(&b, ".SH SYNOPSIS\n.B sluice %s\n[flags] %s\n.SH DESCRIPTION\n%s\n.SH FLAGS\n", roff(c.name), roff(c.args), roff(c.about))
	for _, f := range c.visible() {
		b.WriteString(".TP\n")
		if f.short != "" {
			fmt.Fprintf(&b, "\\fB\\-%s\\fR, ", roff(f.short))
		}
		fmt.Fprintf(&b, "\\fB\\-\\-%s\\fR", roff(f.name))
		if f.arg != "" {
			fmt.Fprintf(&b, " \\fI%s\\fR", roff(f.arg))
		}
		about := f.about
		if f == formFlag {
			about += ": " + orList(c.formats())
		}
		fmt.Fprintf(&b, "\n%s\n", roff(about))
	}
	b.WriteString(".SH EXAMPLES\n")
	for _, e := range c.examples {
		fmt.Fprintf(&b, ".TP\n.B %s\n%s\n", roff(e.line), roff(e.does))
	}
	b.WriteString(".SH SEE ALSO\n.BR sluice (1)\n")
	return b.String()
}

// roff writes text so that it is only text.
func roff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(s)
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = `\&` + l
		}
	}
	return strings.Join(lines, "\n")
}
