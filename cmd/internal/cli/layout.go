package cli

import (
	"fmt"

	"sluice/fix/layout"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/report"
)

// layOut repairs a drawing, lays its parts out on sheets and writes a drawing for
// each sheet, with the report, paths and list that are asked for.
func (c *call) layOut(t *target) int {
	f, err := c.open(t.in)
	if err != nil {
		return c.failf("%v", fileError(t.in.path, err))
	}
	defer f.Close()
	shown := c.newProgress(100) // percent
	sheets, err := c.engine.layOut(c.ctx, t.in.path, f, t.job, c.fixOptions(), mend.LayoutOptions{
		Progress: func(p layout.Progress) { shown.share(p.Share) },
	})
	shown.end()
	if err != nil {
		return c.failf("%v", fileError(t.in.path, err))
	}
	told := sheets[0].Repaired.Layout
	for i := range sheets {
		told.Sheets[i].File = sheetName(t.out, i, len(sheets))
	}
	var files []file
	made := make([]repair, len(sheets))
	for i := range sheets {
		at := t.of(i, len(sheets))
		sheet := ""
		if len(sheets) > 1 {
			sheet = fmt.Sprintf("sheet %d of %d", i+1, len(sheets))
		}
		more, err := made[i].written(c, sheets[i].Repaired, sheets[i].Drawing, &at, sheet)
		if err != nil {
			return c.failf("%v", fileError(at.out, err))
		}
		files = append(files, more...)
	}
	if err := c.replace(files...); err != nil {
		return c.failf("%v", err)
	}
	status := 0
	for i := range sheets {
		status = max(status, c.gradeRepair(sheets[i].Repaired))
	}
	if !c.quiet {
		for i := range sheets {
			_ = report.FixSummary(c.stderr, figures.RepairOf(sheets[i].Repaired))
			if made[i].told != "" {
				fmt.Fprintf(c.stderr, "%s: paths: %s\n", oneLine(sheets[i].Repaired.Paths), made[i].told)
			}
		}
		_ = report.LayoutSummary(c.stderr, t.in.path, told) // nobody is left to be told
	}
	c.tellUnused(t.job, true)
	c.tellStale(&t.places, len(sheets), sheetsOf(t.job))
	if len(told.Left) > 0 || told.Cut {
		status = max(status, statusFound)
	}
	return status
}

// sheetsOf returns how many sheets a layout may take at most.
func sheetsOf(j *job.Job) int {
	if j.Layout.Remnant != "" {
		return 1
	}
	return int(j.Layout.Sheets)
}
