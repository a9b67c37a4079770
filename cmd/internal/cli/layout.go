package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"sluice/fix/layout"
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/report"
)

// layOut repairs drawings and lays their parts out on sheets, and writes a drawing for
// each sheet, with the paths and lists that are asked for, one report of all, and what
// is left.
func (c *call) layOut(t *target) int {
	sheets, err := c.search(t)
	if err != nil {
		if c.ctx.Err() != nil {
			return statusFailure // told by whoever called
		}
		if len(t.more) > 0 { // it names the drawing itself
			return c.failf("%v", err)
		}
		return c.failf("%v", fileError(t.in.path, err))
	}
	// What was found is written, though the search was interrupted.
	c.ended = true
	writing := *c
	writing.ctx = context.WithoutCancel(c.ctx)
	told := sheets[0].Repaired.Layout
	files, made, err := writing.laidFiles(t, sheets)
	if err == nil {
		err = writing.replace(files...)
	}
	if err != nil {
		return c.failf("%v", fileError(t.out, err))
	}
	status := 0
	for i := range sheets {
		status = max(status, c.gradeRepair(sheets[i].Repaired))
	}
	if !c.quiet {
		_ = report.LayoutSummary(c.stderr, t.name(), told) // nobody is left to be told
		for _, r := range summaries(sheets) {
			_ = report.FixSummary(c.stderr, r)
		}
		for i := range made {
			if made[i] != "" {
				fmt.Fprintf(c.stderr, "%s: paths: %s\n", oneLine(sheets[i].Repaired.Paths), made[i])
			}
		}
		c.tellOffcut(told)
	}
	for _, j := range append([]*job.Job{t.job}, t.moreJobs...) {
		c.tellUnused(j, true)
	}
	c.clearStale(&t.places, len(sheets), sheetsOf(t.job), files)
	if len(told.Left) > 0 || told.Cut {
		status = max(status, statusFound)
	}
	return status
}

// search mends and lays out.
func (c *call) search(t *target) ([]mend.SheetOut, error) {
	inputs := []mend.LayoutInput{}
	for i, in := range append([]input{t.in}, t.more...) {
		f, err := c.open(in)
		if err != nil {
			return nil, fileError(in.path, err)
		}
		defer f.Close()
		j := t.job
		if i > 0 {
			j = t.moreJobs[i-1]
		}
		inputs = append(inputs, mend.LayoutInput{Path: in.path, R: f, Job: j})
	}
	shown := c.newProgress(100) // percent
	defer shown.end()
	most := 0.0
	stop := func() bool { return true }
	defer func() { stop() }()
	var begun sync.Once
	return c.engine.layOut(c.ctx, inputs, c.fixOptions(), mend.LayoutOptions{
		Parts: c.again.list, Deadline: time.Duration(t.job.Layout.Deadline * float64(time.Second)),
		Progress: func(p layout.Progress) {
			begun.Do(func() {
				stop = context.AfterFunc(c.ctx, func() {
					shown.clear()
					c.tellf("the search is ended; the best layout found until now is written (once more ends at once)")
				})
			})
			most = max(most, p.Share) // never backwards
			shown.share(most)
		},
	})
}

// name is what the drawings of a target are called together.
func (t *target) name() string {
	s := t.in.path
	for _, in := range t.more {
		s += ", " + in.path
	}
	return s
}

// summaries sums up the repair of all sheets; of each by itself where they are of
// several kinds, for which different things are told.
func summaries(sheets []mend.SheetOut) []*figures.Repair {
	all := repairedOf(sheets)
	for i := range all {
		if a, b := &all[i].Layout.Sheets[i].Stock, &all[0].Layout.Sheets[0].Stock; a.Thickness != b.Thickness || a.Material != b.Material {
			return figures.RepairOfSheets(all).Sheets
		}
	}
	return []*figures.Repair{figures.RepairOfSheets(all)}
}

func repairedOf(sheets []mend.SheetOut) []*lint.Repaired {
	out := make([]*lint.Repaired, len(sheets))
	for i := range sheets {
		out[i] = sheets[i].Repaired
	}
	return out
}

// laidFiles makes the files of a layout, and says of each sheet what its paths hold.
func (c *call) laidFiles(t *target, sheets []mend.SheetOut) (files []file, made []string, err error) {
	told := sheets[0].Repaired.Layout
	if files, err = c.offcutFiles(t, told); err != nil {
		return nil, nil, err
	}
	for i := range sheets {
		told.Sheets[i].File = sheetName(t.out, i, len(sheets))
	}
	for i := range sheets {
		at := t.of(i, len(sheets))
		at.report, at.offcut = "", ""
		sheet := ""
		if len(sheets) > 1 {
			sheet = fmt.Sprintf("sheet %d of %d", i+1, len(sheets))
		}
		var r repair
		more, err := r.written(c, sheets[i].Repaired, sheets[i].Drawing, &at, sheet)
		if err != nil {
			return nil, nil, fileError(at.out, err)
		}
		files, made = append(files, more...), append(made, r.told)
	}
	if t.report == "" {
		return files, made, nil
	}
	form, err := c.reportForm(t.report)
	if err != nil {
		return nil, nil, err
	}
	var b bytes.Buffer
	err = form.Write(&b, &report.Repair{About: c.about(t.job), Repair: figures.RepairOfSheets(repairedOf(sheets))})
	return append(files, file{t.report, b.Bytes()}), made, err
}

// offcutFiles draws what is left of the last sheet, of each kind of sheet where there
// are several.
func (c *call) offcutFiles(t *target, told *lint.Layout) (files []file, err error) {
	if t.offcut == "" {
		return nil, nil
	}
	kinds, n := 0, 0
	for i := range told.Sheets {
		if told.Sheets[i].Last {
			kinds++
		}
	}
	for i := range told.Sheets {
		s := &told.Sheets[i]
		if !s.Last {
			continue
		}
		name := sheetName(t.offcut, n, kinds)
		n++
		if s.Offcut == nil {
			continue
		}
		s.Offcut.File = name
		data, err := mend.OffcutDrawing(s, filepath.Base(t.in.path), c.dayOf())
		if err != nil {
			return nil, fileError(name, err)
		}
		files = append(files, file{name, data})
	}
	return files, nil
}

// dayOf is the date to note on an offcut: as given, or that of today; "" for none.
func (c *call) dayOf() string {
	if c.date == "today" {
		return time.Now().Format(time.DateOnly)
	}
	return c.date
}

// tellOffcut says what was written of what is left, or that there is nothing to keep.
func (c *call) tellOffcut(told *lint.Layout) {
	if c.offcut == "" {
		return
	}
	for i := range told.Sheets {
		if s := &told.Sheets[i]; s.Last && s.Offcut == nil {
			c.tellf("--offcut: nothing that is worth keeping is left of %s, and no drawing of it is written", s.File)
		}
	}
}

// sheetsOf returns how many sheets a layout may take at most.
func sheetsOf(j *job.Job) int {
	if j.Layout.Remnant != "" {
		return 1
	}
	n := 0
	for _, s := range j.Sheets() {
		if s.Count == 0 {
			s.Count = j.Layout.Sheets
		}
		n += int(s.Count)
	}
	for i := range j.Stock {
		n += int(j.Stock[i].Count)
	}
	return n
}

// askedParts are the parts that --part asks for, each with the count behind it.
type askedParts struct {
	list  []mend.PartCount
	first int // of those that the last --part named
}

// mostCount bounds how often a part may be asked for.
const mostCount = 10_000

// part takes the value of --part: a number, or several.
func (a *askedParts) part(s string) error {
	a.first = len(a.list)
	for w := range strings.SplitSeq(s, ",") {
		if w = strings.TrimSpace(w); w != "" {
			a.list = append(a.list, mend.PartCount{Part: w, Count: 1})
		}
	}
	if a.first == len(a.list) {
		return errors.New("its value is empty; write --part 7, as sluice parts numbers it")
	}
	return nil
}

// count takes the value of --count: for what the --part before it named.
func (a *askedParts) count(n int) error {
	if len(a.list) == 0 {
		return errors.New("says how often a part is cut; write it behind the part, as in --part 7 --count 2")
	}
	for i := a.first; i < len(a.list); i++ {
		a.list[i].Count = n
	}
	return nil
}

// checkLayoutFlags refuses flags that only a layout knows, or that do not go with one.
func (c *call) checkLayoutFlags() error {
	switch {
	case len(c.args) > 1 && !c.layout:
		return fmt.Errorf("fix takes one drawing or one folder, not %q as well; with --layout the parts of several are laid out together", c.args[1])
	case len(c.args) > 1 && (c.ask || c.answers != ""):
		return errors.New("--ask and --answers are for one drawing; each of several has its answers beside it")
	case c.layout && (c.dryRun || c.out == "-" || c.report == "-" || c.spread):
		return errors.New("--layout writes a drawing for each sheet; it goes with neither --dry-run, --spread nor standard output")
	case c.layout && c.offcut == "-":
		return errors.New("--offcut: name a file; standard output is for nothing here")
	case c.offcut != "" && !endsAsDrawing(c.offcut):
		return fmt.Errorf("--offcut %s: what is written is a DXF drawing; name it %s", c.offcut, strings.TrimSuffix(c.offcut, filepath.Ext(c.offcut))+".dxf")
	case c.date != "" && c.offcut == "":
		return errors.New("--date is noted on what --offcut writes; add --offcut FILE")
	case c.layout:
		return nil
	case len(c.again.list) > 0:
		return errors.New("--part lays single parts out again; add --layout")
	case c.offcut != "":
		return errors.New("--offcut writes what a layout leaves of the sheet; add --layout")
	}
	return nil
}
