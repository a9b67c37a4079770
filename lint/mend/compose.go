package mend

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"sluice/fix/label"
	"sluice/fix/tab"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	nearby "sluice/geom/near"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/rules"
)

// compose lays out the corrected drawing: outlines part by part with their new
// tabs, open paths, etched marks with the new numbers, and what is carried over.
// It records tabs and numbers as edits.
func (m *mender) compose(res *lint.Result) []dxf.Item {
	labels, names := m.placeLabels(res)
	tabs := m.placeTabs(res, labels)
	s, d := res.Sheet, res.Drawing
	var items []dxf.Item
	if m.way.bare {
		items = m.asDrawn(res)
	} else {
		items = m.cuts(res, tabs)
	}
	var etch []dxf.Item
	for i := range s.Etch {
		etch = append(etch, drawn(dxf.LayerEtch, s.Etch[i].Pieces, false, m.j.Limits.Join)...)
	}
	for _, l := range labels {
		for _, p := range l.Paths {
			etch = append(etch, drawn(dxf.LayerEtch, p, false, m.j.Limits.Join)...)
		}
	}
	items = append(items, inOrder(etch)...)
	var notes []dxf.Item
	for i := range d.Texts {
		if m.dropsSlatNote(&d.Texts[i]) {
			continue
		}
		notes = append(notes, carried(&d.Texts[i]))
	}
	for i, l := range labels {
		notes = append(notes, dxf.Item{Layer: dxf.LayerNote, Text: &dxf.OutText{
			At: l.At, Height: l.Height, Angle: l.Angle * math.Pi / 180, Value: lint.LabelNote(names[i], l.Text), Centered: true,
		}})
	}
	notes = append(notes, m.slatNote(res, tabs)...)
	for i := range s.Noted {
		for _, run := range runs(&s.Noted[i].Path, false) {
			p := settled(run.path)
			notes = append(notes, drawn(dxf.LayerNote, p, closes(p), m.j.Limits.Join)...)
		}
	}
	notes = append(notes, m.asides(res)...)
	for i := range d.Points {
		at := d.Points[i].At
		notes = append(notes, dxf.Item{Layer: dxf.LayerNote, Point: &at})
	}
	return append(items, inOrder(notes)...)
}

// cuts lays out what is cut: outlines part by part with their tabs, then what is
// tangled and open paths, those that nobody has decided on put aside.
func (m *mender) cuts(res *lint.Result, tabs map[int32][]tab.Tab) []dxf.Item {
	m.cutFromNotes(res)
	s := res.Sheet
	var items []dxf.Item
	for i := range s.Outlines {
		o := &s.Outlines[i]
		if o.Tangled {
			continue
		}
		layer := dxf.LayerOutside
		if o.Hole() {
			layer = dxf.LayerInside
		}
		if m.o.Untab && m.o.wants("untab") && o.Tabs > 0 && o.Closed {
			items = append(items, drawn(layer, m.untab(res, o), true, m.j.Limits.Join)...)
			continue
		}
		items = append(items, outlineItems(o, layer, tabs[int32(i)], m.j.Limits.Join)...)
	}
	var open []dxf.Item
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
		o := &s.Open[i]
		layer := dxf.LayerOutside
		switch {
		case o.Loose && !lint.CutMark(res.Drawing, m.j, o):
			m.putAside(res, o)
			layer = dxf.LayerNote
		case o.Part >= 0:
			layer = dxf.LayerInside
		}
		put(layer, &o.Path)
	}
	return append(items, inOrder(append(open, m.setAside(res)...))...)
}

// closes reports whether a path ends exactly where it begins.
func closes(p geom.Path) bool { return p[0].A == p[len(p)-1].B }

func carried(t *drawing.Text) dxf.Item {
	h := t.Height
	if !(h > 0) {
		h = 2.5
	}
	return dxf.Item{Layer: dxf.LayerNote, Text: &dxf.OutText{At: t.At, Height: h, Angle: t.Angle, Value: t.Value, Centered: t.Centered}}
}

// outlineItems draws one outline: whole where nothing is left out of it, else
// as its cut and uncut stretches.
func outlineItems(o *outline.Outline, layer string, tabs []tab.Tab, join float64) []dxf.Item {
	var items []dxf.Item
	add := func(layer string, p geom.Path, closed bool) {
		items = append(items, drawn(layer, p, closed, join)...)
	}
	if len(tabs) > 0 {
		cut, uncut := tab.Cut(o.Path, tabs)
		for i := range cut {
			for _, run := range runs(&cut[i], false) {
				add(layer, run.path, false)
			}
		}
		for i := range uncut {
			for _, run := range runs(&uncut[i], false) {
				add(dxf.LayerTab, run.path, false)
			}
		}
		return items
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

// placeLabels finds a place for the number of every part that lacks one, and
// returns with each the name of its part.
func (m *mender) placeLabels(res *lint.Result) (out []label.Label, names []string) {
	if m.unnumbered > 0 || m.j.Labels.Parts == "none" || !m.o.wants("label") || m.way.bare || m.j.Rules["unnumbered-part"] == "off" {
		return nil, nil
	}
	var pl *label.Placer
	counts := map[int]int{}
	for k := range res.Sheet.Parts {
		counts[res.Sheet.Parts[k].Number]++
	}
	for k := range res.Sheet.Parts {
		if res.Labeled[k] || res.Sheet.Parts[k].Unsure() {
			continue
		}
		if pl == nil {
			pl = label.NewPlacer(res.Sheet, m.j.Jet.Kerf)
			pl.Limit(numberWork(res))
			m.takeMarks(pl, res)
		}
		text := m.labelText(res, k, counts[res.Sheet.Parts[k].Number])
		l, ok := pl.Place(k, label.Request{
			Text: text, Height: m.j.Labels.Height, MinHeight: m.j.Labels.MinHeight,
			Clear: m.j.Jet.Kerf, Mirror: m.j.Labels.Face == "back",
		})
		if pl.Spent() {
			m.unnumbered++
		}
		if !ok {
			continue // unnumbered-part goes on telling it
		}
		pl.TakeLabel(l)
		m.guard.Label(l.Paths)
		out, names = append(out, l), append(names, res.Names[k])
		m.edits = append(m.edits, lint.EditRecord{
			Edit: "label", Rule: "unnumbered-part", At: l.At, Part: res.Names[k], Entities: partEntities(res, k),
			Note: fmt.Sprintf("number %s, %.3g mm high, %s the part", l.Text, l.Height, map[string]string{label.Inside: "on", label.Beside: "beside"}[l.Where]),
		})
	}
	return out, names
}

// numberWork bounds the work of finding places for numbers by the size of the
// sheet, so that it stays a few times that of judging it (measured).
func numberWork(res *lint.Result) int {
	n := 0
	for i := range res.Sheet.Outlines {
		n += len(res.Sheet.Outlines[i].Pieces)
	}
	return 4_000_000 + 10_000*n
}

// takeMarks keeps numbers some way off marks that are there already, so that they
// are not read together: a fifth of their height besides the kerf.
func (m *mender) takeMarks(pl *label.Placer, res *lint.Result) {
	off := m.j.Labels.Height / 5
	paths := make([]geom.Path, 0, len(res.Sheet.Etch)+len(res.Sheet.Noted)+len(res.Sheet.Aside))
	for i := range res.Sheet.Etch {
		paths = append(paths, res.Sheet.Etch[i].Pieces)
	}
	for i := range res.Sheet.Noted { // undecided, it may be etched or cut yet
		paths = append(paths, res.Sheet.Noted[i].Pieces)
	}
	for i := range res.Sheet.Aside { // undecided, it may be etched or cut yet
		paths = append(paths, res.Sheet.Aside[i].Pieces)
	}
	for _, path := range paths {
		for _, p := range path {
			a, b := p.A, p.B
			n := b.Sub(a).Unit().Left().Mul(off)
			if p.R > 0 || n == (geom.Point{}) {
				box := p.Box().Inflate(off)
				a, b, n = geom.Pt(box.Min.X, box.Center().Y), geom.Pt(box.Max.X, box.Center().Y), geom.Pt(0, box.H()/2)
			}
			pl.Take([4]geom.Point{a.Sub(n), b.Sub(n), b.Add(n), a.Add(n)})
		}
	}
}

// labelText fills in the job's template.
func (m *mender) labelText(res *lint.Result, k, count int) string {
	name := ""
	if src := res.Sheet.Outlines[res.Sheet.Parts[k].Outer].Src; len(src) > 0 && src[0] >= 0 {
		name = res.Drawing.LayerName(res.Drawing.Strokes[src[0]].Layer)
	}
	return strings.NewReplacer("{number}", res.Names[k], "{count}", strconv.Itoa(count), "{name}", name).Replace(m.j.Labels.Text)
}

// placeTabs finds places for the tabs of every part that wants them.
func (m *mender) placeTabs(res *lint.Result, labels []label.Label) map[int32][]tab.Tab {
	out := map[int32][]tab.Tab{}
	if !m.o.wants("tab") || m.o.Untab || m.way.bare {
		return out
	}
	boxes := make([][4]geom.Point, 0, len(labels))
	for i := range labels {
		boxes = append(boxes, labels[i].Box)
	}
	for i := range res.Sheet.Etch { // marks that are there already, numbers among them
		for _, p := range res.Sheet.Etch[i].Pieces {
			b := p.Box()
			boxes = append(boxes, [4]geom.Point{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}})
		}
	}
	// Common edges belong to two parts: a tab there would hold neither.
	for i := range res.Sheet.Shared {
		for _, q := range res.Sheet.Shared[i].Pieces {
			b := q.Box().Inflate(m.j.DrawnGap())
			boxes = append(boxes, [4]geom.Point{b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y)})
		}
	}
	p := tab.Params{Width: m.j.Tabs.Width, Kerf: m.j.Jet.Kerf, Support: rules.TableOf(m.j)}
	var pl *tab.Placer
	var drawnNear *nearby.Index
	place := func(k int, hole int32) {
		if pl == nil {
			pl, drawnNear = tab.NewPlacer(res.Sheet), nearby.Sheet(res.Sheet)
		}
		var list []tab.Tab
		if hole >= 0 {
			list, _ = pl.PlaceSlug(int(hole), p, boxes...)
		} else {
			list, _ = pl.Place(k, p, boxes...)
		}
		list = slices.DeleteFunc(list, func(t tab.Tab) bool { return m.noTab(t.At) || m.onCommon(drawnNear, res, &t) })
		for _, t := range list {
			note := fmt.Sprintf("%.3g mm wide after cutting, gap of %.3g mm drawn", p.Width, t.Gap())
			if t.Given != "" {
				note += "; given up: " + t.Given
			}
			rule := "small-part"
			if hole >= 0 {
				rule = "loose-slug"
			}
			m.guard.Tab(t.At, t.Gap())
			m.edits = append(m.edits, lint.EditRecord{Edit: "tab", Rule: rule, At: t.At, Part: res.Names[k], Entities: partEntities(res, k), Note: note})
		}
		if len(list) > 0 {
			out[list[0].Outline] = list
		}
	}
	small, loose := told(res, "small-part"), told(res, "loose-slug")
	for k := range res.Sheet.Parts {
		part := &res.Sheet.Parts[k]
		if part.Doubt {
			continue
		}
		if o := &res.Sheet.Outlines[part.Outer]; o.Tabs == 0 && o.Closed && m.tabsPart(res, k, small) {
			place(k, -1)
		}
		for _, h := range part.Holes {
			if o := &res.Sheet.Outlines[h]; m.j.Tabs.Slugs && o.Tabs == 0 && o.Closed && loose[lint.AboutOutline(h)] {
				place(k, h)
			}
		}
	}
	return out
}

// tabsPart reports whether the job wants tabs on a part.
func (m *mender) tabsPart(res *lint.Result, k int, small map[lint.Subject]bool) bool {
	switch m.j.Tabs.Parts {
	case "none":
		return false
	case "all":
		return !res.Sheet.Parts[k].Unsure()
	}
	return small[lint.AboutPart(k)]
}

// told returns the subjects of the findings of a rule, such as the parts that
// are too small for the slats.
func told(res *lint.Result, rule string) map[lint.Subject]bool {
	of := map[lint.Subject]bool{}
	for i := range res.Findings {
		if f := &res.Findings[i]; f.Rule == rule {
			of[f.Subject] = true
		}
	}
	return of
}

// partEntities names the entities of a part's outside.
func partEntities(res *lint.Result, k int) []string {
	p := lint.Pass{Drawing: res.Drawing}
	return p.EntityIDs(res.Sheet.Outlines[res.Sheet.Parts[k].Outer].Src...)
}
