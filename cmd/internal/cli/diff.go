package cli

import (
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
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
		both, err := c.drawnBoth(s)
		if err != nil {
			return c.failf("%v", err)
		}
		d := c.engine.compare(both[0], both[1], both[0].Job.Limits.Curve)
		status := c.write(&report.Changes{About: c.about(both[0].Job), Changes: figures.ChangesOf(d), All: c.all})
		if !d.Same {
			status = max(status, statusFound)
		}
		return status
	})
}

// drawnBoth reads the two drawings, side by side where there are cores for it. Nothing is
// looked for in them, since no finding is told.
func (c *call) drawnBoth(s *jobs) (both [2]*lint.Result, err error) {
	c.drawn = true
	var in [2]input
	var theirs [2]*job.Job
	var errs [2]error
	for i, arg := range c.args {
		if in[i], errs[i] = c.one(arg); errs[i] == nil {
			theirs[i], errs[i] = s.of(in[i])
		}
	}
	c.inParallel(make([]int64, len(both)), func(i int) {
		if errs[i] == nil {
			both[i] = c.judge(in[i], theirs[i])
		}
	}, func(i int) {
		if errs[i] == nil && both[i].Err != nil {
			errs[i] = fileError(in[i].path, both[i].Err)
		}
		switch {
		case err != nil:
		case errs[i] != nil:
			err = errs[i]
		default:
			c.tellUnused(theirs[i], false)
		}
	})
	return both, err
}
