package cli

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"sluice/lint"
	"sluice/lint/job"
)

// lint judges drawings and writes what was found.
func (c *call) lint() int {
	form := c.engine.lintForms[c.formatName()]
	settings, err := c.newJobs()
	if err != nil {
		return c.failf("%v", err)
	}
	inputs := c.shard.pick(expand(c.args, nil))
	if c.out != "" && c.out != "-" {
		if err := c.checkOutput(c.out, paths(inputs)...); err != nil {
			return c.failf("%v", err)
		}
	}
	known, err := c.openBaseline(inputs)
	if err != nil {
		return c.failf("%v", err)
	}
	kept, err := c.openCache()
	if err != nil {
		return c.failf("%v", err)
	}
	results := c.judgeAll(inputs, settings, func(in input, j *job.Job) *lint.Result {
		if form.drawn {
			return c.judge(in, j)
		}
		return c.judgeShort(in, j, kept)
	})
	if kept != nil {
		kept.Trim()
	}
	if c.ctx.Err() != nil {
		return statusFailure
	}
	status := c.acceptKnown(known, results)
	for _, r := range results {
		status = max(status, c.grade(r))
	}
	status = max(status, c.render(func(w io.Writer) error { return form.write(w, c, results) }))
	c.tellUseless(results)
	return status
}

// judgeAll judges the drawings, several at once, and tells those that cannot be
// read, in order. A job file that is wrong is told once.
func (c *call) judgeAll(inputs []input, settings *jobs, judge func(input, *job.Job) *lint.Result) []*lint.Result {
	results := make([]*lint.Result, len(inputs))
	theirs := make([]*job.Job, len(inputs))
	for i, in := range inputs {
		if in.err != nil {
			results[i] = &lint.Result{Path: in.path, Err: in.err}
			continue
		}
		var err error
		if theirs[i], err = settings.of(in); err != nil {
			results[i] = &lint.Result{Path: in.path, Err: err}
		}
	}
	limitMemory(inputs, c.workers())
	c.progress = c.newProgress(len(inputs))
	told := map[string]bool{}
	c.inParallel(len(inputs), func(i int) {
		switch {
		case results[i] != nil:
		case c.ctx.Err() != nil:
			results[i] = &lint.Result{Path: inputs[i].path, Job: theirs[i], Err: c.ctx.Err()}
		default:
			results[i] = judge(inputs[i], theirs[i])
		}
		c.progress.step()
	}, func(i int) {
		if err := results[i].Err; err != nil && c.ctx.Err() == nil {
			if line := fileError(inputs[i].path, err).Error(); !told[line] {
				told[line] = true
				c.tellf("%s", line)
			}
		}
	})
	c.progress.end()
	c.progress = nil
	return results
}

// grade returns the status that a result asks for.
func (c *call) grade(r *lint.Result) int {
	if r.Err != nil {
		return statusFailure
	}
	return c.gradeFindings(r.Findings)
}

func (c *call) gradeFindings(fs []lint.Finding) int {
	least, ok := lint.ParseSeverity(c.failOn)
	if !ok { // never
		return statusOK
	}
	for i := range fs {
		if fs[i].Severity >= least {
			return statusFound
		}
	}
	return statusOK
}

// fileError puts the file in front of what is wrong with it, unless the error
// names a file already.
func fileError(path string, err error) error {
	if path == "-" {
		path = "standard input"
	}
	var je *job.Error
	if errors.As(err, &je) || strings.HasPrefix(err.Error(), path+":") {
		return err
	}
	return fmt.Errorf("%s: %w", path, err)
}

func paths(inputs []input) []string {
	var list []string
	for _, in := range inputs {
		list = append(list, in.path)
	}
	return list
}
