package mend

import (
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/outline"
	"sluice/lint"
)

// asDrawn writes what is to be cut stroke by stroke as it was drawn, joined only
// where the strokes of one entity follow on from each other. What is no cut has
// been put aside before.
func (m *mender) asDrawn(res *lint.Result) []dxf.Item {
	role, _ := lint.Roles(res.Drawing, m.j)
	var items []dxf.Item
	list := res.Drawing.Strokes
	for i := 0; i < len(list); {
		layer := layerFor(role(&list[i]))
		if layer == "" {
			i++
			continue
		}
		path := geom.Path{list[i].Piece}
		k := i + 1
		for ; k < len(list) && follows(&list[k-1], &list[k]) && layerFor(role(&list[k])) == layer; k++ {
			path = append(path, list[k].Piece)
		}
		rest := k == i+1 && path.Length() <= m.j.Limits.Join &&
			(i > 0 && m.beside(&list[i-1], &list[i], &list[i], role) || k < len(list) && m.beside(&list[i], &list[k], &list[i], role))
		i = k
		if rest {
			continue
		}
		items = append(items, drawn(layer, path, len(path) > 1 && path[len(path)-1].B == path[0].A || path[0].IsCircle(), m.j.Limits.Join)...)
	}
	return items
}

// beside reports whether p and q were one stroke, and the other of the two than s is put
// aside: a short s is then what rounding left beside it.
func (m *mender) beside(p, q, s *drawing.Stroke, role func(*drawing.Stroke) outline.Role) bool {
	other := p
	if s == p {
		other = q
	}
	return s.Made == drawing.Edited && other.Made == drawing.Edited && p.Entity >= 0 && p.Entity == q.Entity &&
		p.B.Dist(q.A) <= m.j.Limits.Join && layerFor(role(other)) == ""
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
