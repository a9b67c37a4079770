package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"sluice/cmd/internal/system"
)

// places are the files that a repair writes: "" for none, "-" for standard output.
type places struct {
	out    string // the corrected drawing; "" in a dry run
	report string
	paths  string // the paths ready to run
	list   string // the list to hang at the machine
}

// place is one of them, with what messages call it.
type place struct{ what, path string }

// named returns those that are files.
func (p *places) named() (files []place) {
	for _, f := range []place{{"drawing", p.out}, {"report", p.report}, {"paths", p.paths}, {"list", p.list}} {
		if f.path != "" && f.path != "-" {
			files = append(files, f)
		}
	}
	return files
}

// of returns the places of sheet i of n of a layout.
func (p *places) of(i, n int) places {
	name := func(path string) string {
		if path == "" || path == "-" {
			return path
		}
		return sheetName(path, i, n)
	}
	return places{name(p.out), name(p.report), name(p.paths), name(p.list)}
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

// tellStale names files of earlier layouts that a layout of n sheets leaves.
func (c *call) tellStale(p *places, n, most int) {
	for i := range most {
		if i < n && n > 1 {
			continue
		}
		one := p.of(i, max(most, 2))
		for _, f := range one.named() {
			if _, err := os.Lstat(f.path); err == nil {
				c.tellf("%s: is of an earlier layout; this one has %s", f.path, sheetCount(n))
			}
		}
	}
}
