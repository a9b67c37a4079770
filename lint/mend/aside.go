package mend

import (
	"fmt"

	"sluice/geom/dxf"
	"sluice/geom/outline"
	"sluice/lint"
)

// asides carries on NOTE what closes but bounds no part. It records an edit for
// each group.
func (m *mender) asides(res *lint.Result) []dxf.Item {
	var items []dxf.Item
	s := res.Sheet
	first := map[int]int{} // group -> its record in m.edits
	for i := range s.Aside {
		a := &s.Aside[i]
		for _, r := range runs(&a.Path, a.Closed) {
			for _, it := range drawn(dxf.LayerNote, r.path, r.whole, m.j.Limits.Join) {
				it.Settled = a.Settled
				items = append(items, it)
			}
		}
		if a.Written {
			continue
		}
		m.guard.SetAside(a.Pieces)
		ids := m.inputEntities(res, a.Src)
		if k, ok := first[a.Group]; ok {
			m.edits[k].Entities = append(m.edits[k].Entities, ids...)
			continue
		}
		first[a.Group] = len(m.edits)
		m.edits = append(m.edits, lint.EditRecord{
			Edit: "set-aside", Rule: asideRule(a.Kind), At: lint.AsideAt(a), Part: m.partName(res, a.Part), Entities: ids, Note: asideNote(a),
		})
	}
	return items
}

// cutFromNotes tells which outlines were carried on NOTE and are cut, as a person
// decided.
func (m *mender) cutFromNotes(res *lint.Result) {
	for i := range res.Sheet.Outlines {
		o := &res.Sheet.Outlines[i]
		if o.Was == 0 {
			continue
		}
		m.guard.CutNote(o.Pieces)
		m.edits = append(m.edits, lint.EditRecord{
			Edit: "cut-mark", Rule: asideRule(o.Was), At: o.Box.Center(), Part: m.partName(res, o.Part), Entities: m.inputEntities(res, o.Src),
			Note: fmt.Sprintf("path of %.4g mm to be cut", o.Length),
		})
	}
}

// inputEntities names the entities of strokes; none once what was written is
// repaired, since those are not the input's.
func (m *mender) inputEntities(res *lint.Result, strokes []int32) []string {
	if m.again {
		return []string{}
	}
	p := lint.Pass{Drawing: res.Drawing}
	return p.EntityIDs(strokes...)
}

func (m *mender) partName(res *lint.Result, part int32) string {
	if part < 0 {
		return ""
	}
	return res.Names[part]
}

func asideRule(k outline.AsideKind) string {
	switch k {
	case outline.Step:
		return "stepped-hole"
	case outline.Letter:
		return "lettering"
	}
	return "sheet-border"
}

func asideNote(a *outline.Aside) string {
	what := "border or frame"
	switch a.Kind {
	case outline.Step:
		what = "wider outline of a stepped hole"
	case outline.Letter:
		what = "lettering"
	}
	note := fmt.Sprintf("%s put on NOTE, not cut", what)
	if !a.Settled {
		note += ": undecided"
	}
	return note
}
