package cli

import (
	"fmt"
	"path/filepath"
	"strings"

	"sluice/lint/figures"
	"sluice/lint/report"
)

// layOut repairs a drawing, lays its parts out on sheets and writes a drawing,
// and a report if one is asked for, for each sheet.
func (c *call) layOut(t *target) int {
	f, err := c.open(t.in)
	if err != nil {
		return c.failf("%v", fileError(t.in.path, err))
	}
	defer f.Close()
	shown := c.newProgress(100) // percent
	sheets, err := c.engine.layOut(c.ctx, t.in.path, f, t.job, c.fixOptions(), shown.share)
	shown.end()
	if err != nil {
		return c.failf("%v", fileError(t.in.path, err))
	}
	var files []file
	told := sheets[0].Repaired.Layout
	for i := range sheets {
		s := &sheets[i]
		s.Repaired.Output = sheetName(t.out, i, len(sheets))
		told.Sheets[i].File = s.Repaired.Output
	}
	for i := range sheets {
		s := &sheets[i]
		if err := c.checkOutput(s.Repaired.Output, t.in.path); err != nil {
			return c.failf("%v", err)
		}
		files = append(files, file{s.Repaired.Output, s.Drawing})
		if t.report == "" || t.report == "-" {
			continue
		}
		form, err := c.reportForm(t.report)
		if err != nil {
			return c.failf("%v", err)
		}
		text, err := c.reported(form, s.Repaired)
		if err != nil {
			return c.failf("%v", err)
		}
		files = append(files, file{sheetName(t.report, i, len(sheets)), text})
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
		}
		_ = report.LayoutSummary(c.stderr, t.in.path, told) // nobody is left to be told
	}
	if len(told.Left) > 0 || told.Cut {
		status = max(status, statusFound)
	}
	return status
}

// sheetName returns the name of sheet i of n: the name itself if there is one
// sheet, else with -1, -2 and so on before the ending.
func sheetName(name string, i, n int) string {
	if n == 1 {
		return name
	}
	ext := filepath.Ext(name)
	return fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ext), i+1, ext)
}
