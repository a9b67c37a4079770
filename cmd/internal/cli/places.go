package cli

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"sluice/cmd/internal/system"
	"sluice/geom/dxf"
	"sluice/lint"
)

// places are the files that a repair writes: "" for none, "-" for standard output.
type places struct {
	out    string // the corrected drawing; "" in a dry run
	report string
	paths  string // the paths ready to run
	list   string // the list to hang at the machine
	offcut string // what a layout leaves of the sheet
}

// place is one of them, with what messages call it.
type place struct{ what, path string }

// named returns those that are files.
func (p *places) named() (files []place) {
	for _, f := range []place{{"drawing", p.out}, {"report", p.report}, {"paths", p.paths}, {"list", p.list}, {"offcut", p.offcut}} {
		if f.path != "" && f.path != "-" {
			files = append(files, f)
		}
	}
	return files
}

// of returns the places of sheet i of n of a layout; one report tells of all.
func (p *places) of(i, n int) places {
	name := func(path string) string {
		if path == "" || path == "-" {
			return path
		}
		return sheetName(path, i, n)
	}
	return places{name(p.out), p.report, name(p.paths), name(p.list), p.offcut}
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

// checkPlaces tells why a place cannot be written to, or is named twice.
func (c *call) checkPlaces(p *places, inputs ...string) error {
	files := p.named()
	for i, f := range files {
		if err := c.checkOutput(f.path, inputs...); err != nil {
			return err
		}
		for _, g := range files[:i] {
			if system.SameFile(f.path, g.path) {
				return fmt.Errorf("%s: is both the %s and the %s; name another file", f.path, g.what, f.what)
			}
		}
	}
	return nil
}

// checkSheets tells why the files of a layout cannot be written, however many
// sheets it takes, so that no search is made in vain. A sheet of an earlier
// layout would pass for one of this.
func (c *call) checkSheets(p *places, most int, inputs ...string) error {
	for i := range most {
		one := p.of(i, max(most, 2))
		if err := c.checkPlaces(&one, inputs...); err != nil {
			return err
		}
	}
	return nil
}

func sheetCount(n int) string {
	if n == 1 {
		return "1 sheet"
	}
	return fmt.Sprintf("%d sheets", n)
}

// clearStale names files of earlier layouts that a layout of n sheets leaves. Drawings
// that say of themselves that they are a sheet of several are taken away, with --force.
func (c *call) clearStale(p *places, n, most int, written []file) {
	for i := range most {
		if i < n && n > 1 {
			continue
		}
		one := p.of(i, max(most, 2))
		for _, f := range one.named() {
			if _, err := os.Lstat(f.path); err != nil || slices.ContainsFunc(written, func(w file) bool { return system.SameFile(w.path, f.path) }) {
				continue
			}
			switch {
			case c.force && f.path == one.out && isSheet(f.path) && os.Remove(f.path) == nil:
				c.tellf("%s: was a sheet of an earlier layout, and is taken away; this one has %s", f.path, sheetCount(n))
			default:
				c.tellf("%s: is of an earlier layout; this one has %s", f.path, sheetCount(n))
			}
		}
	}
}

// isSheet reports whether a file is the drawing of one sheet of several, as this program
// writes them.
func isSheet(path string) bool {
	st, err := os.Lstat(path)
	if err != nil || !st.Mode().IsRegular() {
		return false
	}
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	d, err := dxf.Read(context.Background(), f, dxf.Options{})
	if err != nil {
		return false
	}
	_, _, ok := lint.OneOf(d)
	return ok
}
