package mend

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/outline"
	"sluice/lint"
)

// compose lays out the corrected drawing: outlines part by part with their tabs,
// open paths, etched marks, and what is carried over. It only writes what is there:
// numbers, tabs and what is put aside are in the drawing already.
func (m *mender) compose(res *lint.Result) []dxf.Item {
	s, d := res.Sheet, res.Drawing
	join := m.j.Limits.Join
	var items []dxf.Item
	if m.way.bare {
		items = m.asDrawn(res)
	} else {
		items = m.cuts(res)
	}
	var etch []dxf.Item
	for i := range s.Etch {
		etch = append(etch, drawn(dxf.LayerEtch, s.Etch[i].Pieces, false, join)...)
	}
	items = append(items, inOrder(etch)...)
	var notes []dxf.Item
	for i := range d.Texts {
		notes = append(notes, carried(&d.Texts[i], d.Own))
	}
	for i := range s.Noted {
		for _, run := range runs(&s.Noted[i].Path, false) {
			p := settled(run.path)
			notes = append(notes, drawn(dxf.LayerNote, p, closes(p), join)...)
		}
	}
	for i := range s.Aside {
		a := &s.Aside[i]
		for _, r := range runs(&a.Path, a.Closed) {
			for _, it := range drawn(dxf.LayerNote, r.path, r.whole, join) {
				it.Settled = a.Settled
				notes = append(notes, it)
			}
		}
	}
	for i := range d.Points {
		at := d.Points[i].At
		notes = append(notes, dxf.Item{Layer: dxf.LayerNote, Point: &at})
	}
	return append(items, inOrder(notes)...)
}

// cuts lays out what is cut: outlines part by part with their tabs, then what is
// tangled and open paths.
func (m *mender) cuts(res *lint.Result) []dxf.Item {
	s := res.Sheet
	var items, open []dxf.Item
	for i := range s.Outlines {
		o := &s.Outlines[i]
		switch {
		case o.Tangled:
		case o.Hole():
			items = append(items, outlineItems(o, dxf.LayerInside, m.j.Limits.Join)...)
		default:
			items = append(items, outlineItems(o, dxf.LayerOutside, m.j.Limits.Join)...)
		}
	}
	put := func(layer string, p *outline.Path) {
		for _, run := range runs(p, false) {
			l := layer
			if run.flag&outline.IsTab != 0 {
				l = dxf.LayerTab
			}
			open = append(open, m.open(l, run.path)...)
		}
	}
	for i := range s.Tangles {
		put(dxf.LayerOutside, &s.Tangles[i])
	}
	for i := range s.Open {
		layer := dxf.LayerOutside
		if s.Open[i].Part >= 0 {
			layer = dxf.LayerInside
		}
		put(layer, &s.Open[i].Path)
	}
	return append(items, inOrder(append(open, m.setAside(res)...))...)
}

// closes reports whether a path ends exactly where it begins.
func closes(p geom.Path) bool { return p[0].A == p[len(p)-1].B }

// carried returns the item that draws a text. What somebody else's drawing says of
// a part opens with a capital, so that it is not read as the note of a number.
func carried(t *drawing.Text, own bool) dxf.Item {
	value := t.Value
	if _, _, note := lint.ReadLabelNote(value); note && !own && t.Entity >= 0 {
		value = strings.ToUpper(value[:1]) + value[1:]
	}
	h := t.Height
	if !(h > 0) {
		h = 2.5
	}
	return dxf.Item{Layer: dxf.LayerNote, Text: &dxf.OutText{At: t.At, Height: h, Angle: t.Angle, Value: value, Centered: t.Centered}}
}

// outlineItems draws one outline: whole where nothing is left out of it, else
// as its cut and uncut stretches.
func outlineItems(o *outline.Outline, layer string, join float64) []dxf.Item {
	var items []dxf.Item
	add := func(layer string, p geom.Path, closed bool) {
		items = append(items, drawn(layer, p, closed, join)...)
	}
	list := runs(&o.Path, true)
	if len(list) == 1 && list[0].flag == 0 && list[0].whole {
		add(layer, list[0].path, true)
		return items
	}
	for _, run := range list {
		if run.flag&outline.IsTab == 0 {
			add(layer, run.path, false)
		}
	}
	for _, run := range list {
		if run.flag&outline.IsTab != 0 {
			add(dxf.LayerTab, run.path, false)
		}
	}
	return items
}

// run is a stretch of a path of one kind.
type run struct {
	path  geom.Path
	flag  outline.Flag
	whole bool // the closed path itself
}

// undrawn flags what is not drawn with an outline: bridges, and edges that
// another outline draws.
const undrawn = outline.IsBridge | outline.IsTwin

// runs parts a path where its flags change and leaves out what is not drawn. A closed
// path with changes is taken from its first change, so that no stretch is cut
// at the start.
func runs(p *outline.Path, closed bool) []run {
	n := len(p.Pieces)
	start := 0
	if closed {
		for k := range n {
			if p.Flags[k] != p.Flags[(k+n-1)%n] {
				start = k
				break
			}
		}
		if start == 0 && (n == 0 || p.Flags[0] == p.Flags[n-1]) && p.Flags[0]&undrawn == 0 {
			return []run{{p.Pieces, p.Flags[0], true}}
		}
	}
	var out []run
	prev := undrawn
	for i := range n {
		k := (start + i) % n
		f := p.Flags[k]
		if f&undrawn == 0 {
			if len(out) == 0 || f != prev {
				out = append(out, run{flag: f})
			}
			r := &out[len(out)-1]
			r.path = append(r.path, p.Pieces[k])
		}
		prev = f
	}
	return out
}

// settled turns an open path so that its end further up, or further left at one
// height, comes first, and a ring so that it starts at its highest corner and runs
// counter-clockwise: how it was walked does not show.
func settled(p geom.Path) geom.Path {
	if len(p) == 0 || len(p) == 1 && p[0].IsCircle() {
		return p
	}
	less := func(a, b geom.Point) bool {
		return cmp.Or(cmp.Compare(inSteps(b.Y), inSteps(a.Y)), cmp.Compare(inSteps(a.X), inSteps(b.X))) < 0
	}
	first, last := p[0].A, p[len(p)-1].B
	if inSteps(first.X) != inSteps(last.X) || inSteps(first.Y) != inSteps(last.Y) {
		if less(last, first) {
			return p.Reverse()
		}
		return p
	}
	if area, _ := p.Moments(); area < 0 {
		p = p.Reverse()
	}
	best := 0
	for k := range p {
		if less(p[k].A, p[best].A) {
			best = k
		}
	}
	return slices.Concat(p[best:], p[:best])
}

// inSteps rounds a coordinate so that what the writing rounds decides nothing.
func inSteps(v float64) float64 { return math.Round(v * 1e4) }

// inOrder sorts items from the top down, then from left to right, by where they
// start, so that the order does not depend on how they came about.
func inOrder(items []dxf.Item) []dxf.Item {
	at := func(i *dxf.Item) geom.Point {
		switch {
		case i.Text != nil:
			return i.Text.At
		case i.Point != nil:
			return *i.Point
		}
		return i.Path[0].A
	}
	slices.SortStableFunc(items, func(x, y dxf.Item) int {
		p, q := at(&x), at(&y)
		return cmp.Or(cmp.Compare(inSteps(q.Y), inSteps(p.Y)), cmp.Compare(inSteps(p.X), inSteps(q.X)))
	})
	return items
}
