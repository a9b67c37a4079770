package cli

import (
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/report"
)

// diff compares two drawings. Parts are the same within the tolerance to which the
// job has curves refitted, so that a repair that only does that leaves the same
// shapes.
func (c *call) diff() int {
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
		d := c.engine.compare(both[0], both[1], both[0].Job.Limits.Curve)
		status := c.write(&report.Changes{About: c.about(both[0].Job), Changes: figures.ChangesOf(d), All: c.all})
		if !d.Same {
			status = max(status, statusFound)
		}
		return status
	})
}
