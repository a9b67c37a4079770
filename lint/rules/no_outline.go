package rules

import (
	"fmt"
	"strings"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/outline"
	"sluice/lint"
)

var noOutline = &lint.Rule{
	ID:       "no-outline",
	Brought:  lint.BroughtWorse,
	Severity: lint.Error,
	Repair:   lint.None,
	Paths:    true,
	Doc: lint.Doc{
		Title:      "Nothing to cut",
		What:       "A drawing without any closed outline and without any open path on a cut layer.",
		Why:        "It reads as clean, and the sheet comes off the table as it went on.",
		Bad:        "A drawing of two points; a drawing whose outlines all lie on an etch layer.",
		Good:       "A drawing with one closed outline.",
		Exceptions: "A drawing whose outlines do not close is told under open-outline. A drawing of paths that fix --paths made is a note: it is for the machine.",
		Limit:      "None.",
		Fix:        "Look at what the message says it holds: layers taken for marks or left out ([layers] etch, ignore), or another export.",
		Reason:     "Nothing can be made of nothing.",
		Since:      "0.2",
	},
	Check: func(p *lint.Pass) {
		if len(p.Sheet.Outlines)+len(p.Sheet.Open)+len(p.Sheet.Strays) > 0 {
			return
		}
		f := lint.Finding{Message: "no outline to cut: " + holdings(p)}
		if p.Drawing.Paths {
			f.Severity, f.Message = lint.Note, pathsHeld(p.Drawing)
		}
		f.Fact = lint.Fact{One: f.Message, Many: "drawings of nothing to cut", Whole: true}
		if box := p.Drawing.Extents(); !box.Empty() {
			f.At, f.Box = box.Center(), box
		} else if at, ok := anywhere(p); ok {
			f.At = at
		}
		p.Report(f)
	},
}

// pathsHeld says what a drawing of paths holds.
func pathsHeld(d *drawing.Drawing) string {
	runs := map[string]map[int32]bool{} // by layer: entities
	for i := range d.Strokes {
		s := &d.Strokes[i]
		name := d.LayerName(s.Layer)
		if runs[name] == nil {
			runs[name] = map[int32]bool{}
		}
		runs[name][s.Entity] = true
	}
	raised := len(runs[dxf.LayerWayRaised])
	text := fmt.Sprintf("a drawing of paths for the machine: %d cuts, %d marks; run it as drawn, without offset, and check the drawing of the parts instead",
		len(runs[dxf.LayerRunOutside])+len(runs[dxf.LayerRunInside]), len(runs[dxf.LayerRunEtch]))
	if raised > 0 {
		text += fmt.Sprintf("; %d moves lead over loose pieces: raise the head there", raised)
	}
	return text
}

// anywhere returns the place of a text or point.
func anywhere(p *lint.Pass) (geom.Point, bool) {
	d := p.Drawing
	switch {
	case len(d.Texts) > 0:
		return d.Texts[0].At, true
	case len(d.Points) > 0:
		return d.Points[0].At, true
	}
	return geom.Point{}, false
}

// holdings says what a drawing without outlines does hold.
func holdings(p *lint.Pass) string {
	d, s := p.Drawing, p.Sheet
	var held []string
	add := func(n int, one, many string) {
		if n == 1 {
			held = append(held, "1 "+one)
		} else if n > 1 {
			held = append(held, fmt.Sprintf("%d %s", n, many))
		}
	}
	told := map[int32]bool{} // entities
	note := func(path *outline.Path) {
		for _, src := range path.Src {
			if src >= 0 {
				told[d.Strokes[src].Entity] = true
			}
		}
	}
	for _, list := range [][]outline.Open{s.Etch, s.Noted} {
		for i := range list {
			note(&list[i].Path)
		}
	}
	for i := range s.Aside {
		note(&s.Aside[i].Path)
	}
	for i := range d.Texts {
		told[d.Texts[i].Entity] = true
	}
	for i := range d.Points {
		told[d.Points[i].Entity] = true
	}
	left := 0
	for i := range d.Entities {
		if !told[int32(i)] {
			left++
		}
	}
	add(len(s.Etch), "path on an etch layer", "paths on etch layers")
	add(len(s.Noted)+len(s.Aside), "path that is carried, not cut", "paths that are carried, not cut")
	add(len(d.Texts), "text", "texts")
	add(len(d.Points), "point", "points")
	add(left, "entity that is left out", "entities that are left out")
	if len(held) == 0 {
		return "the drawing is empty"
	}
	return "the drawing holds only " + strings.Join(held, ", ")
}
