package mend

import (
	"fmt"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/outline"
	"sluice/lint"
)

// asDrawn writes what is to be cut stroke by stroke as it was drawn, joined only
// where the strokes of one entity follow on from each other. What is no cut, a
// mark or an outline that bounds no part, lies on NOTE.
func (m *mender) asDrawn(res *lint.Result) []dxf.Item {
	role, _ := lint.Roles(res.Drawing, m.j)
	note := m.notCut(res)
	aside := map[int32]bool{} // written with what is set aside
	for i := range res.Sheet.Aside {
		for _, s := range res.Sheet.Aside[i].Src {
			aside[s] = true
		}
	}
	var items []dxf.Item
	list := res.Drawing.Strokes
	for i := 0; i < len(list); {
		layer := layerFor(role(&list[i]))
		if layer == "" || note[int32(i)] || aside[int32(i)] {
			i++
			continue
		}
		path := geom.Path{list[i].Piece}
		k := i + 1
		for ; k < len(list) && follows(&list[k-1], &list[k]) && layerFor(role(&list[k])) == layer && !note[int32(k)] && !aside[int32(k)]; k++ {
			path = append(path, list[k].Piece)
		}
		i = k
		items = append(items, drawn(layer, path, len(path) > 1 && path[len(path)-1].B == path[0].A || path[0].IsCircle(), m.j.Limits.Join)...)
	}
	for i := range list {
		if note[int32(i)] {
			m.guard.SetAside(geom.Path{list[i].Piece})
			items = append(items, drawn(dxf.LayerNote, geom.Path{list[i].Piece}, list[i].IsCircle(), m.j.Limits.Join)...)
		}
	}
	return items
}

// layerFor returns the layer for what has a role in cutting, "" for all else.
func layerFor(r outline.Role) string {
	switch r {
	case outline.Cut:
		return dxf.LayerOutside
	case outline.Tab:
		return dxf.LayerTab
	}
	return ""
}

// follows reports whether stroke q goes on where p of the same entity ends.
func follows(p, q *drawing.Stroke) bool {
	return p.Entity >= 0 && p.Entity == q.Entity && p.B == q.A && !p.IsCircle() && !q.IsCircle()
}

// notCut returns the strokes all of which are marks that nobody has decided on.
func (m *mender) notCut(res *lint.Result) map[int32]bool {
	note := map[int32]bool{}
	for i := range res.Sheet.Open {
		if o := &res.Sheet.Open[i]; o.Loose && !lint.CutMark(res.Drawing, m.j, o) {
			for _, s := range o.Src {
				if s >= 0 {
					note[s] = true
				}
			}
		}
	}
	for i := range res.Sheet.Outlines {
		for _, s := range res.Sheet.Outlines[i].Src {
			delete(note, s)
		}
	}
	for i := range res.Sheet.Tangles {
		for _, s := range res.Sheet.Tangles[i].Src {
			delete(note, s)
		}
	}
	return note
}

// putAside tells that a mark which no edit has put aside lies on NOTE.
func (m *mender) putAside(res *lint.Result, o *outline.Open) {
	for _, r := range runs(&o.Path, false) {
		if r.flag&outline.IsTab == 0 {
			m.guard.SetAside(r.path)
		}
	}
	at, _ := o.Pieces.Along(o.Length / 2)
	m.edits = append(m.edits, lint.EditRecord{
		Edit: "note-mark", Rule: "loose-mark", At: at, Part: m.partName(res, o.Part), Entities: m.inputEntities(res, o.Src),
		Note: fmt.Sprintf("path of %.4g mm put on NOTE, not cut: undecided", o.Length),
	})
}
