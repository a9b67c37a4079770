package cli

import (
	"io"

	"sluice/lint/job"
)

// printJob prints a complete job file: the defaults, or the settings in force
// where --job or a flag changes them.
func (c *call) printJob() int {
	if c.ask {
		return c.askJob()
	}
	s, err := c.newJobs()
	if err != nil {
		return c.failf("%v", err)
	}
	if c.forFile != "" {
		return c.printOrigins(s)
	}
	j, err := s.load(c.job)
	if err != nil {
		return c.failf("%v", err)
	}
	return c.render(func(w io.Writer) error { return c.engine.withRules(j).Write(w) })
}

// withRules returns the job with every rule set: those that it leaves alone are
// at their own severity.
func (e *engine) withRules(j *job.Job) *job.Job {
	full := *j
	full.Rules = map[string]string{}
	for i := range e.rules {
		full.Rules[e.rules[i].ID] = e.rules[i].Severity
	}
	for id, severity := range j.Rules {
		full.Rules[id] = severity
	}
	return &full
}
