package cli

import (
	"sluice/lint/figures"
	"sluice/lint/report"
)

// parts writes the part schedule of a drawing.
func (c *call) parts() int {
	return c.withOne(func(s *jobs) int {
		r, err := c.judgeCounted(c.args[0], s)
		if err != nil {
			return c.failf("%v", err)
		}
		return c.write(&report.Parts{About: c.about(r.Job), Parts: figures.PartsOf(r)})
	})
}

// withOne does what the commands for single drawings have in common: the job
// file and the output are looked at before a drawing is read.
func (c *call) withOne(do func(*jobs) int) int {
	s, err := c.newJobs()
	if err != nil {
		return c.failf("%v", err)
	}
	if c.out != "" && c.out != "-" {
		if err := c.checkOutput(c.out, c.args...); err != nil {
			return c.failf("%v", err)
		}
	}
	return do(s)
}
