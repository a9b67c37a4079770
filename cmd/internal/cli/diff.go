package cli

import (
	"io"

	"sluice/lint"
)

// diff compares two drawings.
func (c *call) diff() int {
	if c.engine.compare == nil {
		return c.missing()
	}
	if c.args[0] == "-" && c.args[1] == "-" {
		return c.failf("standard input can be read only once; name one of the two drawings")
	}
	return c.withOne(func(s *jobs) int {
		var both [2]*lint.Result
		for i, arg := range c.args {
			r, err := c.judgeOne(arg, s)
			if err != nil {
				return c.failf("%v", err)
			}
			both[i] = r
		}
		status := statusOK
		written := c.render(func(w io.Writer) error {
			same, err := c.engine.compare(w, c.formatName(), both[0], both[1])
			if !same {
				status = statusFound
			}
			return err
		})
		return max(status, written)
	})
}
