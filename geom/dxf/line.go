package dxf

import (
	"sluice/geom"
	"sluice/geom/drawing"
)

var lineType = entityType{
	names: []string{"LINE", "3DLINE"}, coords: worldCoords,
	needs: []int32{10, 20, 11, 21}, whole: groups(10, 20, 11, 21),
	draw: func(rd *reader, r *record, e *env) error {
		p, q := r.point(10), r.point(11)
		rd.notFlat(r, p.z, q.z)
		return rd.stroke(e, geom.Line(e.place(p), e.place(q)))
	},
}

var pointType = entityType{
	names: []string{"POINT"}, coords: worldCoords,
	needs: []int32{10, 20}, whole: groups(10, 20), draw: (*reader).mark,
}

func (rd *reader) mark(r *record, e *env) error {
	p := r.point(10)
	rd.notFlat(r, p.z)
	at := e.place(p)
	if !inRange(at) {
		rd.told.spoiled = true
		return nil
	}
	rd.d.Points = append(rd.d.Points, drawing.Mark{Entity: e.ent, Layer: e.layer, Color: e.color, At: at})
	return rd.count(e, 1)
}
