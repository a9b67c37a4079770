package mend

import (
	"fmt"
	"math"
	"slices"

	"sluice/fix"
	"sluice/fix/label"
	"sluice/fix/tab"
	"sluice/geom"
	"sluice/geom/drawing"
	nearby "sluice/geom/near"
	"sluice/lint"
	"sluice/lint/rules"
)

// newTabs returns the fixes that hold parts and slugs by tabs, one for each that
// wants them.
func (m *mender) newTabs(res *lint.Result, labels map[int]label.Label) []fix.Fix {
	if !m.o.wants("tab") || m.o.Untab || m.way.bare {
		return nil
	}
	t := &tabber{m: m, res: res, p: tab.Params{Width: m.j.Tabs.Width, Kerf: m.j.Jet.Kerf, Support: rules.TableOf(m.j)}}
	small, loose := told(res, "small-part"), told(res, "loose-slug")
	for k := range res.Sheet.Parts {
		part := &res.Sheet.Parts[k]
		if part.Doubt {
			continue
		}
		if o := &res.Sheet.Outlines[part.Outer]; o.Tabs == 0 && o.Closed && m.tabsPart(res, k, small) {
			t.place(k, -1, labels)
		}
		for _, h := range part.Holes {
			if o := &res.Sheet.Outlines[h]; m.j.Tabs.Slugs && o.Tabs == 0 && o.Closed && loose[lint.AboutOutline(h)] {
				t.place(k, h, labels)
			}
		}
	}
	if note := m.slatNote(res); note != nil && len(t.fixes) > 0 {
		e := &t.fixes[0].Edits[0]
		e.Ops = append(e.Ops, *note)
	}
	return t.fixes
}

// tabber places tabs on one sheet.
type tabber struct {
	m     *mender
	res   *lint.Result
	p     tab.Params
	pl    *tab.Placer
	drawn *nearby.Index
	avoid [][4]geom.Point
	fixes []fix.Fix
}

// place looks for tabs on the outside of part k, or on a hole of it that is no -1.
func (t *tabber) place(k int, hole int32, labels map[int]label.Label) {
	if t.pl == nil {
		t.pl, t.drawn = tab.NewPlacer(t.res.Sheet), nearby.Sheet(t.res.Sheet)
		t.avoid = t.m.noTabsOn(t.res, labels)
	}
	var list []tab.Tab
	rule := "small-part"
	if hole >= 0 {
		rule = "loose-slug"
		list, _ = t.pl.PlaceSlug(int(hole), t.p, t.avoid...)
	} else {
		list, _ = t.pl.Place(k, t.p, t.avoid...)
	}
	var f fix.Fix
	for i := range list {
		x := &list[i]
		if t.m.noTab(x.At) || t.m.onCommon(t.drawn, t.res, x) {
			continue
		}
		note := fmt.Sprintf("%.3g mm wide after cutting, gap of %.3g mm drawn", t.p.Width, x.Gap())
		if x.Given != "" {
			note += "; not to be had: " + x.Given
		}
		f.Edits = append(f.Edits, fix.Edit{
			Kind: "tab", Rule: rule, At: x.At, Part: t.res.Names[k], Entities: partEntities(t.res, k), Note: note,
			Ops: x.Hold(t.res.Drawing, t.res.Sheet.Outlines[x.Outline].Path, t.m.j.Limits.Join),
		})
	}
	if len(f.Edits) > 0 {
		t.fixes = append(t.fixes, f)
	}
}

// noTabsOn returns the boxes in which no tab may lie: numbers, marks that are there
// already, and common edges, which belong to two parts, so that a tab there would
// hold neither.
func (m *mender) noTabsOn(res *lint.Result, labels map[int]label.Label) [][4]geom.Point {
	boxes := make([][4]geom.Point, 0, len(labels))
	for k := range res.Sheet.Parts {
		if l, ok := labels[k]; ok {
			boxes = append(boxes, l.Box)
		}
	}
	for i := range res.Sheet.Etch {
		for _, p := range res.Sheet.Etch[i].Pieces {
			boxes = append(boxes, corners(p.Box()))
		}
	}
	for i := range res.Sheet.Shared {
		for _, p := range res.Sheet.Shared[i].Pieces {
			boxes = append(boxes, corners(p.Box().Inflate(m.j.DrawnGap())))
		}
	}
	return boxes
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

// onCommon reports whether a tab lies along something that is cut besides its
// outline, an edge in common with another or a repeat of it: it would be cut
// through all the same. x holds everything drawn.
func (m *mender) onCommon(x *nearby.Index, res *lint.Result, t *tab.Tab) bool {
	own := &res.Sheet.Outlines[t.Outline]
	same := m.j.Limits.Same
	common := false
	for _, share := range [3]float64{0.25, 0.5, 0.75} {
		q, _ := own.Pieces.Along(math.Mod(t.S0+share*t.Gap(), own.Length))
		x.In(geom.BoxOf(q).Inflate(same), func(i int32) bool {
			it := &x.Items[i]
			common = common || !it.Etch && it.Outline != t.Outline && it.Dist(q) <= same
			return !common
		})
	}
	return common
}

// slatNote returns the change that notes below the parts for which slats new tabs
// are set, since they hang on how the sheet lies on the table; nil where a drawing
// says so already.
func (m *mender) slatNote(res *lint.Result) *fix.Op {
	text := lint.SlatNote(m.j)
	if !(m.j.Table.SlatPitch > 0) || slices.ContainsFunc(res.Drawing.Texts, func(t drawing.Text) bool { return t.Value == text }) {
		return nil
	}
	box := geom.NoBox()
	for i := range res.Sheet.Parts {
		box = box.Union(res.Sheet.Parts[i].Box)
	}
	h := m.j.Labels.MinHeight
	at := geom.Pt(box.Min.X, box.Min.Y-2*h)
	return &fix.Op{Kind: fix.AddText, Text: &drawing.Text{Entity: -1, Layer: -1, At: at, Insert: at, Height: h, Value: text}}
}
