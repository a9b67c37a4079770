package cli

import (
	"sluice/lint/assembly"
	"sluice/lint/report"
)

// assemble writes how a kit goes together in space.
func (c *call) assemble() int {
	return c.withOne(func(s *jobs) int {
		r, err := c.judgeCounted(c.args[0], s)
		if err != nil {
			return c.failf("%v", err)
		}
		k := assembly.Of(r.Kit())
		status := c.write(&report.Assembly{About: c.about(r.Job), Result: r, Kit: k})
		if !k.Whole() {
			status = max(status, statusFound)
		}
		return status
	})
}
