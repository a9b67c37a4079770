package cli

import "io"

// estimate writes what a drawing takes to cut.
func (c *call) estimate() int {
	if c.engine.estimate == nil {
		return c.missing()
	}
	return c.withOne(func(s *jobs) int {
		r, err := c.judgeOne(c.args[0], s)
		if err != nil {
			return c.failf("%v", err)
		}
		return c.render(func(w io.Writer) error { return c.engine.estimate(w, c.formatName(), r) })
	})
}

// formatName returns the format asked for, else the command's first.
func (c *call) formatName() string {
	if c.format != "" {
		return c.format
	}
	return c.command.formats[0]
}
