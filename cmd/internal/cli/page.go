package cli

import (
	"io"

	"sluice/cmd/internal/wasm"
	"sluice/lint/report"
)

func pageCommand() *command {
	return &command{
		name: "page", args: "-o OUT.html", needs: "no argument", least: 0, most: 0,
		title: "write a page that works without the program: drop a drawing, settle it, save it",
		about: "Writes a page that holds the program itself. It works from a folder, by a double click, or from any\n" +
			"place that serves files: drop a drawing on it, see what is found, decide what is yours to decide,\n" +
			"save the corrected drawing, the report and the answers. The bytes are those of fix. Nothing leaves\n" +
			"the computer, and nothing is loaded from outside. The page's part of the program, " + wasm.Name + ",\n" +
			"lies beside the program; in a checkout it is built with go.\n" +
			"Status: 0 written; 2 bad usage, or there is nothing to make the page of.",
		only: "html", outputs: true,
		flags: []*flagDef{
			{name: "out", short: "o", arg: "OUT", about: "the page",
				at: func(o *options) any { return &o.out }},
			{name: "wasm", arg: "FILE", about: "the page's part of the program, with " + wasm.Script + " beside it",
				at: func(o *options) any { return &o.wasm }},
		},
		examples: []example{
			{"sluice page -o sluice.html", "a page for a computer without the program"},
		},
		run: (*call).page,
	}
}

// page writes the page that holds the program.
func (c *call) page() int {
	if c.out == "" {
		return c.failf("page needs the place to write to; write sluice page -o sluice.html")
	}
	if c.out != "-" {
		if err := c.checkOutput(c.out); err != nil {
			return c.failf("%v", err)
		}
	}
	e, err := c.pageEngine()
	if err != nil {
		return c.failf("%v", err)
	}
	return c.render(func(w io.Writer) error { return report.AlonePage(w, Version, e) })
}

func (c *call) pageEngine() (*report.Engine, error) {
	if c.wasm != "" {
		return wasm.Load(c.wasm)
	}
	return wasm.Find(c.ctx, func(told string) {
		if !c.quiet {
			c.tellf("%s", told)
		}
	})
}
