package mend

import (
	"cmp"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"sluice/fix"
	"sluice/fix/label"
	"sluice/fix/tab"
	"sluice/geom"
	"sluice/geom/drawing"
	nearby "sluice/geom/near"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/job"
	"sluice/lint/slats"
)

// newTabs returns the fixes that hold parts and slugs by tabs, one for each that
// wants them. drawn is the index of the sheet.
func (m *mender) newTabs(res *lint.Result, labels map[int]label.Label, drawn func() *nearby.Index) []fix.Fix {
	if !m.o.wants("tab") || m.o.Untab || m.way.bare {
		return nil
	}
	s := res.Sheet
	t := &tabber{
		m: m, res: res, labels: labels, drawn: drawn, hangs: make([]bool, len(s.Outlines)),
		p: tabParams(m.j),
	}
	small, loose, wanted := told(res, "small-part"), told(res, "loose-slug"), slugsAsked(res)
	t.asked = partsAsked(res)
	t.places = m.tabPlaces(res, t.asked)
	gets := func(k int) bool {
		o := &s.Outlines[s.Parts[k].Outer]
		return o.Tabs == 0 && o.Closed && !s.Parts[k].Doubt && t.wants(k, small)
	}
	t.list(gets)
	for k := range s.Parts {
		o := &s.Outlines[s.Parts[k].Outer]
		if gets(k) {
			t.place(k, -1, "small-part", "")
		}
		t.hangs[s.Parts[k].Outer] = t.hangs[s.Parts[k].Outer] || o.Tabs > 0
	}
	inner := slats.Inner(s)
	for k := range s.Parts {
		for _, h := range s.Parts[k].Holes {
			o := &s.Outlines[h]
			if o.Tabs > 0 || !o.Closed || s.Parts[k].Doubt {
				continue
			}
			if hung := t.hung(inner[h]); len(hung) > 0 && m.j.Tabs.Parts != "none" {
				t.place(k, h, "loose-slug", "holds the slug on which "+hung+" by tabs")
			} else if m.j.Tabs.Slugs && loose[lint.AboutOutline(h)] || wanted[lint.AboutOutline(h)] {
				t.place(k, h, "loose-slug", "")
			}
		}
	}
	if note := m.slatNote(res, t.hangs, len(t.fixes) > 0); note != nil {
		if len(t.fixes) == 0 {
			if !m.o.wants("note-slats") {
				return nil
			}
			return each(fix.Auto, []fix.Edit{{
				Kind: "note-slats", Rule: "small-part", At: note.Text.At, Note: "noted: " + note.Text.Value, Ops: []fix.Op{*note},
			}})
		}
		e := &t.fixes[0].Edits[0]
		e.Ops = append(e.Ops, *note)
	}
	return t.fixes
}

// tabParams says how tabs are made under a job.
func tabParams(j *job.Job) tab.Params {
	return tab.Params{Width: cutting.TabWidth(j), Kerf: j.Jet.Kerf, Support: slats.Support(j)}
}

// slugsAsked returns the slugs that a person has asked tabs for.
func slugsAsked(res *lint.Result) map[lint.Subject]bool {
	of := map[lint.Subject]bool{}
	for i := range res.Findings {
		if f := &res.Findings[i]; f.Rule == "loose-slug" && f.Answer == "tab" {
			of[f.Subject] = true
		}
	}
	return of
}

// tabber places tabs on one sheet.
type tabber struct {
	m      *mender
	res    *lint.Result
	p      tab.Params
	labels map[int]label.Label
	pl     *tab.Placer
	drawn  func() *nearby.Index
	hangs  []bool // by outline: it has tabs, or gets them
	fixes  []fix.Fix
	asked  []*job.PartAnswer    // by part; nil: nothing was decided of any
	places map[int][]geom.Point // by part: where a person wants tabs
	best   map[int][]tab.Tab    // by part that nobody decided on: the tabs found for it
}

// ready makes what tabs are placed by.
func (t *tabber) ready() {
	if t.pl == nil {
		t.pl = tab.PlacerOn(t.res.Sheet, t.drawn())
		t.pl.Avoid(t.m.noTabsOn(t.res, t.labels))
	}
}

// list finds the tabs of all parts that get some and that nobody decided on, several
// parts at a time: none depends on another's.
func (t *tabber) list(gets func(k int) bool) {
	var todo []int
	for k := range t.res.Sheet.Parts {
		if (t.asked == nil || t.asked[k] == nil) && gets(k) {
			todo = append(todo, k)
		}
	}
	if len(todo) == 0 {
		return
	}
	t.ready()
	lists := make([][]tab.Tab, len(todo))
	var next atomic.Int32
	var wg sync.WaitGroup
	for range min(cmp.Or(t.m.o.Workers, runtime.GOMAXPROCS(0)), len(todo)) {
		pl := t.pl.Another()
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(todo); i = int(next.Add(1)) - 1 {
				lists[i], _ = pl.Place(todo[i], t.p)
			}
		})
	}
	wg.Wait()
	t.best = make(map[int][]tab.Tab, len(todo))
	for i, k := range todo {
		t.best[k] = lists[i]
	}
}

// wants reports whether part k is to be held by tabs: as a person says of it, else as
// the job says.
func (t *tabber) wants(k int, small map[lint.Subject]bool) bool {
	if t.asked != nil && t.asked[k] != nil && t.asked[k].Tabs.Set {
		return t.asked[k].Tabs.Number > 0
	}
	return t.m.tabsPart(t.res, k, small)
}

// listed returns the tabs of part k: where a person wants them, or as many as asked
// for, else as is best.
func (t *tabber) listed(k int) []tab.Tab {
	if list, ok := t.best[k]; ok {
		return list
	}
	p := t.p
	if t.asked != nil && t.asked[k] != nil {
		a := t.asked[k]
		if len(t.places[k]) > 0 {
			if list := t.tabsAt(k, a, t.places[k]); len(list) > 0 {
				return list
			}
		} else if len(a.Tabs.At) == 0 {
			p.Number = a.Tabs.Number
		}
	}
	list, few := t.pl.Place(k, p)
	if p.Number > len(list) {
		t.m.j.Answers.Refuse(t.asked[k], fmt.Sprintf("part %s has %d of %d tabs: %s", t.res.Names[k], len(list), p.Number, few))
	}
	return list
}

// hung says which of the outlines hang by tabs, "" if none does.
func (t *tabber) hung(inner []int32) string {
	var names []string
	for _, i := range inner {
		if t.hangs[i] {
			names = append(names, t.res.Names[t.res.Sheet.Outlines[i].Part])
		}
	}
	switch len(names) {
	case 0:
		return ""
	case 1:
		return "part " + names[0] + " hangs"
	}
	return "parts " + strings.Join(names, ", ") + " hang"
}

// place looks for tabs on the outside of part k, or on a hole of it that is no -1.
// why goes into what is told of them.
func (t *tabber) place(k int, hole int32, rule, why string) {
	t.ready()
	var list []tab.Tab
	if hole >= 0 {
		list, _ = t.pl.PlaceSlug(int(hole), t.p)
	} else {
		list = t.listed(k)
	}
	var f fix.Fix
	for i := range list {
		x := &list[i]
		if t.m.noTab(x.At) || t.m.onCommon(t.drawn(), t.res, x) {
			continue
		}
		note := fmt.Sprintf("%.3g mm wide after cutting, gap of %.3g mm drawn", t.p.Width, x.Gap())
		if why != "" {
			note += "; " + why
		}
		if x.Given != "" {
			note += "; not to be had: " + x.Given
		}
		f.Edits = append(f.Edits, fix.Edit{
			Kind: "tab", Rule: rule, At: x.At, Part: t.res.Names[k], Entities: partEntities(t.res, k), Note: note,
			Ops: x.Hold(t.res.Drawing, t.res.Sheet.Outlines[x.Outline].Path, t.m.j.Limits.Join),
		})
		t.hangs[x.Outline] = true
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
			boxes = append(boxes, corners(p.Box().Inflate(cutting.DrawnGap(m.j))))
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

// slatNote returns the change that notes below the parts for which slats they are
// held, since that hangs on how the sheet lies on the table: where new tabs are set,
// and where a part without any would not stand with the slats turned. It is nil where
// that does not matter or a drawing says so already.
func (m *mender) slatNote(res *lint.Result, hangs []bool, set bool) *fix.Op {
	if !(m.j.Table.SlatPitch > 0) || m.j.Tabs.Parts == "none" {
		return nil
	}
	text := lint.SlatNote(m.j, slices.Contains(hangs, true))
	said := func(t drawing.Text) bool { return t.Value == text || !set && lint.IsSlatNote(t.Value) }
	if slices.ContainsFunc(res.Drawing.Texts, said) || !set && !m.leansOnSlats(res, hangs) {
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

// leansOnSlats reports whether a part without tabs stands on the slats as they run
// and would not if they were turned.
func (m *mender) leansOnSlats(res *lint.Result, hangs []bool) bool {
	t := slats.Of(m.j)
	turned := t.Turned()
	for k := range res.Sheet.Parts {
		p := &res.Sheet.Parts[k]
		if !hangs[p.Outer] && !p.Unsure() && t.Part(res.Sheet, k).Why == slats.Held && turned.Part(res.Sheet, k).Why != slats.Held {
			return true
		}
	}
	return false
}
