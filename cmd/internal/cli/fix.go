package cli

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"sluice/cmd/internal/system"
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/report"
)

// target is one drawing to repair and where the results go.
type target struct {
	in  input
	job *job.Job
	places
	more     []input // further drawings of one layout
	moreJobs []*job.Job
	err      error // why it cannot be done
}

// repair is what came of a target.
type repair struct {
	done    *lint.Repaired
	printed []byte // for standard output
	told    string // of the paths, "" without any
	err     error
}

// fix repairs a drawing, or all drawings of a folder.
func (c *call) fix() int {
	if err := c.checkFixFlags(); err != nil {
		return c.failf("%v", err)
	}
	s, err := c.newJobs()
	if err != nil {
		return c.failf("%v", err)
	}
	if isFolder(c.args[0]) && len(c.args) == 1 {
		return c.fixFolder(c.args[0], s)
	}
	t, err := c.fixTarget(s)
	if err != nil {
		return c.failf("%v", err)
	}
	if c.refit == "slots" {
		for _, j := range append([]*job.Job{t.job}, t.moreJobs...) {
			if err := j.Set("fit.refit", "slots"); err != nil {
				return c.failf("%v", err)
			}
		}
	}
	if c.ask {
		if err := c.askAnswers(t); err != nil {
			return c.failf("%v", fileError(t.in.path, err))
		}
	}
	if c.layout {
		return c.layOut(t)
	}
	r := c.repair(t)
	if c.ctx.Err() != nil {
		return statusFailure
	}
	if r.err != nil {
		return c.failf("%v", fileError(t.in.path, r.err))
	}
	c.tellUnused(t.job, true)
	status := c.print(r.printed)
	if !c.quiet {
		_ = report.FixSummary(c.stderr, figures.RepairOf(r.done)) // nobody is left to be told
		if r.told != "" {
			fmt.Fprintf(c.stderr, "paths: %s\n", r.told)
		}
	}
	return max(status, c.gradeRepair(r.done))
}

func (c *call) fixOptions() fixOptions {
	return fixOptions{only: c.only, untab: c.untab, cores: c.cores, spread: c.spread, scale: c.refit == "scale", plain: !c.showsChoices()}
}

// checkFixFlags refuses flags that do not go together.
func (c *call) checkFixFlags() error {
	for _, kind := range c.only {
		if !slices.Contains(c.engine.edits, kind) {
			return fmt.Errorf("--only: %w", unknownWord(kind, c.engine.edits))
		}
	}
	if c.format != "" && c.report == "" && !c.dryRun {
		c.report = "-" // asked for, and standard output is free
	}
	switch {
	case c.ask && (isFolder(c.args[0]) || c.args[0] == "-"):
		return errors.New("--ask goes through one drawing, and reads the answers from standard input; name a file")
	case c.ask && c.noAnswers:
		return errors.New("--ask and --no-answers contradict each other; leave one out")
	case c.out == "" && !c.dryRun:
		return fmt.Errorf("fix needs the place to write to; write sluice fix %s -o OUT, or --dry-run to see the plan", c.args[0])
	case c.report == "-" && (c.out == "-" || c.dryRun):
		return errors.New("--report: standard output is taken; name a file")
	case c.out != "-" && !c.dryRun && !isFolder(c.args[0]) && !endsAsDrawing(c.out):
		return fmt.Errorf("-o %s: what is written is a DXF drawing; name it %s", c.out, strings.TrimSuffix(c.out, filepath.Ext(c.out))+".dxf")
	case c.paths != "" && c.paths != "-" && !endsAsDrawing(c.paths) && !strings.EqualFold(filepath.Ext(c.paths), ".svg"):
		return fmt.Errorf("--paths %s: what is written is a DXF drawing or an SVG picture; name it %s", c.paths, strings.TrimSuffix(c.paths, filepath.Ext(c.paths))+".dxf")
	}
	for _, f := range []struct{ flag, path string }{{"paths", c.paths}, {"list", c.list}} {
		switch {
		case f.path == "-":
			return fmt.Errorf("--%s: name a file; standard output is for the corrected drawing", f.flag)
		case f.path != "" && c.dryRun:
			return fmt.Errorf("--%s: nothing is written in a dry run; leave one of the two out", f.flag)
		}
	}
	if ext := strings.ToLower(filepath.Ext(c.list)); c.list != "" && ext != ".html" && ext != ".htm" {
		return fmt.Errorf("--list %s: the list is a page; end its name in .html", c.list)
	}
	if err := c.checkLayoutFlags(); err != nil {
		return err
	}
	_, err := c.reportForm(c.report)
	return err
}

// isFolder reports whether an argument names a folder.
func isFolder(path string) bool {
	st, err := os.Stat(path)
	return path != "-" && err == nil && st.IsDir()
}

// endsAsDrawing reports whether a name may be that of a DXF file: it ends in .dxf, or
// in nothing that says what a file is.
func endsAsDrawing(path string) bool {
	return filepath.Ext(path) == "" || isDrawing(path)
}

// fixTarget checks the places of a single repair.
func (c *call) fixTarget(s *jobs) (*target, error) {
	in, err := c.one(c.args[0])
	if err != nil {
		return nil, err
	}
	t := &target{in: in, places: places{c.out, c.report, c.paths, c.list, c.offcut}}
	if c.dryRun {
		t.out = ""
	}
	inputs := []string{in.path}
	for _, arg := range c.args[1:] {
		more, err := c.one(arg)
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(inputs, func(p string) bool { return system.SameFile(p, more.path) }) {
			return nil, fmt.Errorf("%s: stands twice; [cost] kits says how many of a kit are cut", more.path)
		}
		t.more, inputs = append(t.more, more), append(inputs, more.path)
	}
	if c.job != "" {
		inputs = append(inputs, c.job)
	}
	if err := c.checkPlaces(&t.places, inputs...); err != nil {
		return nil, err
	}
	if t.job, err = s.of(in); err != nil {
		return nil, err
	}
	for _, more := range t.more {
		j, err := s.of(more)
		if err != nil {
			return nil, err
		}
		t.moreJobs = append(t.moreJobs, j)
	}
	if c.layout {
		err = c.checkSheets(&t.places, sheetsOf(t.job), inputs...)
	}
	return t, err
}

// repair repairs one drawing and writes what is to be written. The report is
// made first, so that a drawing never appears without it.
func (c *call) repair(t *target) (r repair) {
	defer func() {
		if p := recover(); p != nil {
			r = repair{err: fmt.Errorf("internal error: %v", p)}
		}
	}()
	if t.err != nil {
		return repair{err: t.err}
	}
	f, err := c.open(t.in)
	if err != nil {
		return repair{err: err}
	}
	defer f.Close()
	done, drawing, err := c.engine.fix(c.ctx, t.in.path, f, t.job, c.fixOptions())
	if err != nil {
		return repair{err: err}
	}
	files, err := r.written(c, done, drawing, &t.places, "")
	if err == nil {
		err = c.replace(files...)
	}
	r.err = err
	return r
}

// written makes the files of a repair at their places, and what goes to standard
// output. sheet says which one of a layout it is, "" without.
func (r *repair) written(c *call, done *lint.Repaired, drawing []byte, p *places, sheet string) (files []file, err error) {
	done.Output, done.Paths = p.out, p.paths
	if p.out == "" {
		done.Output = "(dry run)"
	}
	r.done = done
	switch p.out {
	case "":
		var plan report.Format
		if plan, err = c.reportForm(""); err == nil {
			r.printed, err = c.reported(plan, done)
		}
	case "-":
		r.printed = drawing
	default:
		files = append(files, file{p.out, drawing})
	}
	if err == nil && p.report != "" {
		var form report.Format
		var text []byte
		if form, err = c.reportForm(p.report); err == nil {
			text, err = c.reported(form, done)
		}
		if p.report == "-" {
			r.printed = text
		} else {
			files = append(files, file{p.report, text})
		}
	}
	if err == nil && p.paths != "" {
		var drawn []byte
		if drawn, r.told, err = c.engine.paths(done, p.paths); err == nil {
			files = append(files, file{p.paths, drawn})
		}
	}
	if err == nil && p.list != "" {
		var b bytes.Buffer
		if err = report.MachineList(&b, &report.List{About: c.about(done.Before.Job), List: figures.ListOf(done, sheet)}); err == nil {
			files = append(files, file{p.list, b.Bytes()})
		}
	}
	return files, err
}

// reported renders the report of a repair.
func (c *call) reported(form report.Format, done *lint.Repaired) ([]byte, error) {
	var b bytes.Buffer
	err := form.Write(&b, &report.Repair{About: c.about(done.Before.Job), Repair: figures.RepairOf(done)})
	return b.Bytes(), err
}

// reportForm returns the form of a report: by --format, else by the ending.
func (c *call) reportForm(path string) (report.Format, error) {
	if c.format != "" {
		return c.form(), nil
	}
	if path == "-" || path == "" {
		f, _ := report.FormatOf("fix", "text")
		return f, nil
	}
	ext := strings.ToLower(filepath.Ext(path))
	forms, _ := report.FormatsOf("fix")
	for _, f := range forms {
		if slices.Contains(f.Endings(), ext) {
			return f, nil
		}
	}
	return report.Format{}, fmt.Errorf("--report %s: the ending tells the form; did you mean %s? (%s)",
		path, job.Nearest(ext, reportEndings()), strings.Join(reportEndings(), ", "))
}

// reportEndings lists the endings of --report, one for each form.
func reportEndings() (list []string) {
	forms, _ := report.FormatsOf("fix")
	for _, f := range forms {
		list = append(list, f.Endings()[0])
	}
	return list
}

// gradeRepair returns the status for what a repair left.
func (c *call) gradeRepair(r *lint.Repaired) int {
	status := c.gradeFindings(r.Left)
	if r.Lesser && c.failOn != "never" {
		status = max(status, statusFound)
	}
	if r.After != nil {
		status = max(status, c.gradeFindings(r.After.Findings))
	}
	return status
}
