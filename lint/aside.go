package lint

import (
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/outline"
	"sluice/lint/job"
)

// AsideAt returns the place at which what is set aside is told: its middle, or the
// middle of its length where it does not close.
func AsideAt(a *outline.Aside) geom.Point {
	if a.Closed {
		return a.Box.Center()
	}
	at, _ := a.Pieces.Along(a.Length / 2)
	return at
}

// asideChoices says what the job decides of outlines that bound no part.
func asideChoices(j *job.Job) (c [outline.AsideKinds]outline.Choice) {
	switch j.Repair.Border {
	case "ignore":
		c[outline.Border] = outline.Settle
	case "part":
		c[outline.Border] = outline.Keep
	}
	switch j.Repair.Steps {
	case "smaller":
		c[outline.Step] = outline.Settle
	case "both":
		c[outline.Step] = outline.Keep
	}
	switch j.Repair.Lettering {
	case "cut":
		c[outline.Letter] = outline.Keep
	case "leave":
		c[outline.Letter] = outline.Settle
	}
	return c
}

// textsAt lists where text stands, but for the numbers of parts.
func textsAt(d *drawing.Drawing) []outline.TextAt {
	var at []outline.TextAt
	for i := range d.Texts {
		t := &d.Texts[i]
		if _, _, number := ReadLabelNote(t.Value); !number && t.Height > 0 {
			at = append(at, outline.TextAt{At: t.At, Height: t.Height})
		}
	}
	return at
}

// markSettled finds what a drawing of our own carries as decided: it has a colour
// of its own on NOTE.
func markSettled(d *drawing.Drawing) {
	if !d.Own {
		return
	}
	for i := range d.Strokes {
		s := &d.Strokes[i]
		if s.Color == dxf.SettledColor && d.LayerName(s.Layer) == LayerNote {
			s.As = drawing.AsSettled
		}
	}
}

// carryAside counts what is set aside as carried, unless part of the same entity
// is cut.
func carryAside(f []Fate, d *drawing.Drawing, s *outline.Sheet) {
	if len(s.Aside) == 0 {
		return
	}
	used := make([]bool, len(d.Entities))
	note := func(p *outline.Path) {
		for _, src := range p.Src {
			if src >= 0 && d.Strokes[src].Entity >= 0 { // else added by an edit
				used[d.Strokes[src].Entity] = true
			}
		}
	}
	for i := range s.Outlines {
		note(&s.Outlines[i].Path)
	}
	for _, list := range [][]outline.Open{s.Open, s.Etch} {
		for i := range list {
			note(&list[i].Path)
		}
	}
	for i := range s.Aside {
		for _, src := range s.Aside[i].Src {
			if src < 0 {
				continue
			}
			if e := d.Strokes[src].Entity; e >= 0 && !used[e] && f[e] == Used {
				f[e] = Carried
			}
		}
	}
}
