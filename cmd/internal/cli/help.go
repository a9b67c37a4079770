package cli

import (
	"fmt"
	"strings"

	"sluice/lint/job"
	"sluice/lint/report"
)

func (c *call) version() int {
	return c.emit([]byte("sluice " + Version + "\n"))
}

func (c *call) help() int {
	if len(c.args) == 0 {
		return c.emit([]byte(overview()))
	}
	about := findCommand(c.args[0])
	if about == nil {
		return c.failf("no help on %q; did you mean %q? (%s)",
			c.args[0], job.Nearest(c.args[0], commandNames()), strings.Join(commandNames(), ", "))
	}
	return c.emit([]byte(about.help()))
}

// overview is the help of the whole program.
func overview() string {
	var b strings.Builder
	b.WriteString("sluice makes a drawing of flat parts (DXF) ready for an abrasive water-jet table.\n\n")
	b.WriteString("usage: sluice COMMAND [flags] ...\n\ncommands:\n")
	for _, c := range commands() {
		fmt.Fprintf(&b, "  %-11s %s\n", c.name, c.title)
	}
	b.WriteString("\nexamples:\n")
	examples(&b, []example{
		{"sluice lint kit.dxf", "what is wrong with it?"},
		{"sluice fix kit.dxf -o kit-jet.dxf --report kit-jet.html", "repair it"},
		{"sluice explain narrow-slot", "what does that mean?"},
	})
	b.WriteString("\nsluice help COMMAND tells the flags. Lengths take a unit (0.9mm, 0.035in, 3/16in); bare numbers\n" +
		"are mm.\n")
	return b.String()
}

// help is the help of one command.
func (c *command) help() string {
	var b strings.Builder
	fmt.Fprintf(&b, "usage: sluice %s\n\n%s\n\nflags:\n", c.usage(), c.about)
	for _, f := range c.visible() {
		if f.with != "" {
			continue
		}
		left := "      --" + f.name
		if f.short != "" {
			left = "  -" + f.short + ", --" + f.name
		}
		if f.arg != "" {
			left += " " + f.arg
		}
		about := f.about
		if f == formFlag {
			about += ": " + orList(c.formats())
		}
		report.Hang(&b, fmt.Sprintf("%-25s ", left), about)
	}
	b.WriteString("\nexamples:\n")
	examples(&b, c.examples)
	return b.String()
}

func examples(b *strings.Builder, list []example) {
	width := 0
	for _, e := range list {
		width = max(width, len(e.line))
	}
	for _, e := range list {
		b.WriteString(strings.TrimRight(fmt.Sprintf("  %-*s  %s", width, e.line, e.does), " ") + "\n")
	}
}
