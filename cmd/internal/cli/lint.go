package cli

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"strings"

	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/report"
)

// lint judges drawings and writes what was found.
func (c *call) lint() int {
	form := c.form()
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
	theirs, results := jobsOf(inputs, settings)
	about := c.about(commonJob(theirs))
	var page *pages // of several drawings
	if form.Media == "text/html" && len(inputs) > 1 {
		if page, err = c.newPages(about, inputs, known); err != nil {
			return c.failf("%v", err)
		}
		defer page.drop()
	}
	c.judgeAll(inputs, results, func(i int) *lint.Result {
		switch {
		case page != nil:
			return page.add(i, c.judge(inputs[i], theirs[i]))
		case form.Drawn:
			return c.judge(inputs[i], theirs[i])
		}
		return c.judgeShort(inputs[i], theirs[i], kept)
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
	failOn, _ := lint.ParseSeverity(c.failOn) // never: off
	if page != nil {
		status = max(status, c.writePages(page, results))
	} else {
		status = max(status, c.write(&report.Check{
			About: about, Check: figures.CheckOf(results), FailOn: failOn,
			Text: report.TextOptions{All: c.all, Quiet: c.quiet, Color: c.colored(), After: c.acceptedText()},
		}))
	}
	c.tellUseless(results)
	for _, r := range results {
		if r.Err == nil {
			c.tellUnused(r.Job, false)
		}
	}
	return status
}

// jobsOf returns the jobs of the drawings, and the results of those that cannot be
// judged; the others are nil.
func jobsOf(inputs []input, settings *jobs) (theirs []*job.Job, results []*lint.Result) {
	results = make([]*lint.Result, len(inputs))
	theirs = make([]*job.Job, len(inputs))
	for i, in := range inputs {
		err := in.err
		if err == nil {
			theirs[i], err = settings.of(in)
		}
		if err != nil {
			results[i] = &lint.Result{Path: in.path, Err: err}
		}
	}
	return theirs, results
}

// judgeAll judges the drawings that have no result yet, several at once, and tells
// those that cannot be read, in order. A job file that is wrong is told once.
func (c *call) judgeAll(inputs []input, results []*lint.Result, judge func(i int) *lint.Result) {
	sizes := sizesOf(inputs)
	limitMemory(sizes, c.workers())
	c.progress = c.newProgress(len(inputs))
	told := map[string]bool{}
	c.inParallel(sizes, func(i int) {
		switch {
		case results[i] != nil:
		case c.ctx.Err() != nil:
			results[i] = &lint.Result{Path: inputs[i].path, Err: c.ctx.Err()}
		default:
			results[i] = judge(i)
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

// form returns the form of output that is asked for, else the command's default.
func (c *call) form() report.Format {
	f, _ := report.FormatOf(c.command.name, c.format) // the flags have been checked
	return f
}

// write writes what the command has to say in the form asked for.
func (c *call) write(content any) int {
	return c.render(func(w io.Writer) error { return c.form().Write(w, content) })
}

// about returns what reports say of the program and of the rules, with the
// severities that a job sets; without one (nil) with their own.
func (c *call) about(j *job.Job) report.About { return report.AboutOf(Version, c.engine.rules, j) }

// commonJob returns a job that sets the severities of all drawings, nil if their
// jobs differ in that; then the rules' own are the only ones true of all.
func commonJob(theirs []*job.Job) *job.Job {
	var common *job.Job
	for _, j := range theirs {
		switch {
		case j == nil || j == common:
		case common == nil:
			common = j
		case !maps.Equal(common.Rules, j.Rules):
			return nil
		}
	}
	return common
}
