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
		// What rounding left beside a stretch that is put aside is no cut.
		rest := k == i+1 && path.Length() <= m.j.Limits.Join &&
			(i > 0 && m.parted(&list[i-1], &list[i]) && layerFor(role(&list[i-1])) == "" || k < len(list) && m.parted(&list[i], &list[k]) && layerFor(role(&list[k])) == "")
		i = k
		if rest {
			continue
		}
		items = append(items, drawn(layer, path, len(path) > 1 && path[len(path)-1].B == path[0].A || path[0].IsCircle(), m.j.Limits.Join)...)
	}
	return items
}

// parted reports whether p and q are stretches, one after the other, into which a repair
// has parted a stroke.
func (m *mender) parted(p, q *drawing.Stroke) bool {
	return p.Made == drawing.Edited && q.Made == drawing.Edited && p.Entity >= 0 && p.Entity == q.Entity && p.B.Dist(q.A) <= m.j.Limits.Join
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
