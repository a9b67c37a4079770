package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"sluice/cmd/internal/system"
	"sluice/lint"
	"sluice/lint/report"
)

// fixFolder repairs every drawing of a folder. One that cannot be repaired does
// not stop the others.
func (c *call) fixFolder(dir string, s *jobs) int {
	if err := c.checkFolders(dir); err != nil {
		return c.failf("%v", err)
	}
	targets := c.folderTargets(dir, s)
	repairs := make([]repair, len(targets))
	worst, good := statusOK, 0
	inputs := make([]input, len(targets))
	for i := range targets {
		inputs[i] = targets[i].in
	}
	c.inParallel(sizesOf(inputs), func(i int) {
		repairs[i] = c.repairInto(targets[i])
	}, func(i int) {
		r, t := &repairs[i], targets[i]
		if c.ctx.Err() != nil {
			return
		}
		if r.err != nil {
			worst = max(worst, c.failf("%v", fileError(t.in.path, r.err)))
			return
		}
		good++
		c.tellUnused(t.job, true)
		worst = max(worst, c.gradeRepair(r.done), c.print(r.printed))
		if !c.quiet {
			fmt.Fprintf(c.stderr, "%s: edits: %d; left to decide: %s\n",
				oneLine(t.in.path), len(r.done.Edits), report.TallyText(lint.TallyOf(r.done.Left)))
			if r.told != "" {
				fmt.Fprintf(c.stderr, "%s: paths: %s\n", oneLine(t.in.path), r.told)
			}
		}
		*r = repair{} // a large folder must not fill the memory
	})
	if c.ctx.Err() != nil {
		return statusFailure
	}
	if !c.quiet {
		fmt.Fprintf(c.stderr, "%d of %d repaired\n", good, len(targets))
	}
	return worst
}

// checkFolders refuses places that a folder cannot be repaired into.
func (c *call) checkFolders(dir string) error {
	for _, p := range []struct{ flag, path, like string }{
		{"report", c.report, "reports/*.html"}, {"paths", c.paths, "paths/*.dxf"}, {"list", c.list, "lists/*.html"},
	} {
		if p.path == "" || p.path == "-" {
			continue
		}
		if strings.Count(p.path, "*") != 1 {
			return fmt.Errorf("--%s %s: a folder has many drawings; put a * for the name of each, as in %s", p.flag, p.path, p.like)
		}
		if err := makeable(filepath.Dir(p.path[:strings.Index(p.path, "*")] + "x")); err != nil {
			return err
		}
	}
	switch {
	case c.layout:
		return errors.New("--layout lays out the parts of one drawing; name the drawing, not a folder")
	case c.report == "-":
		return errors.New("--format is the form of the reports; name them with --report, as in --report reports/*.json")
	case c.dryRun:
		return nil
	case c.out == "-":
		return errors.New("-o: a folder cannot go to standard output; name a folder")
	case system.SameFile(c.out, dir):
		return fmt.Errorf("%s: the output is the input; name another folder", c.out)
	}
	if st, err := os.Stat(c.out); err == nil && !st.IsDir() {
		return fmt.Errorf("%s: is a file; name a folder, since the input is one", c.out)
	}
	return makeable(c.out)
}

// makeable tells why a folder can neither be used nor made.
func makeable(dir string) error {
	if _, err := os.Stat(dir); err == nil {
		return nil
	}
	if st, err := os.Stat(filepath.Dir(dir)); err != nil || !st.IsDir() {
		return fmt.Errorf("%s: there is no folder %s; make it first", dir, folderOf(dir))
	}
	return nil
}

// folderTargets plans the repair of each drawing. The folder written to is left
// out of the one that is read.
func (c *call) folderTargets(dir string, s *jobs) []*target {
	inputs := expand([]string{dir}, func(d string) bool { return c.out != "" && system.SameFile(d, c.out) })
	taken := map[string]bool{} // the inputs, none of which may be written to
	for _, in := range inputs {
		taken[system.Key(in.path)] = true
	}
	if c.job != "" {
		taken[system.Key(c.job)] = true
	}
	var targets []*target
	for _, in := range inputs {
		t := &target{in: in, err: in.err}
		targets = append(targets, t)
		if t.err != nil {
			continue
		}
		if t.job, t.err = s.of(in); t.err != nil {
			continue
		}
		rel := filepath.FromSlash(in.rel)
		if !c.dryRun {
			t.out = system.Slashes(filepath.Join(c.out, rel))
		}
		named := func(pattern string) string {
			return system.Slashes(strings.Replace(pattern, "*", strings.TrimSuffix(rel, filepath.Ext(rel)), 1))
		}
		t.report, t.paths, t.list = named(c.report), named(c.paths), named(c.list)
		for _, f := range t.named() {
			path := f.path
			if t.err != nil {
				continue
			}
			if err := system.CheckName(path); err != nil {
				t.err = fmt.Errorf("the output %s: %w", path, err)
			} else if taken[system.Key(path)] {
				t.err = fmt.Errorf("the output %s is an input; name another folder", path)
			} else if st, err := os.Lstat(path); err == nil && (st.IsDir() || !c.force) {
				t.err = fmt.Errorf("the output %s exists already; --force replaces it", path)
			}
			taken[system.Key(path)] = true
		}
	}
	return targets
}

// repairInto repairs one drawing of a folder and makes the folders it goes to
// only once there is something to put in them.
func (c *call) repairInto(t *target) repair {
	single := *c
	single.beforeWrite = func(path string) error {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return fmt.Errorf("%s: cannot be made: %w", folderOf(path), plainError(err))
		}
		return nil
	}
	return single.repair(t)
}
