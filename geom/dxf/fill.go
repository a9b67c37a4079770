package dxf

import (
	"sluice/geom"
	"sluice/geom/drawing"
)

// Third and fourth corner of SOLID and TRACE are swapped.
var solidType = entityType{
	names: []string{"SOLID", "TRACE"}, needs: []int32{10, 20, 11, 21, 12, 22},
	draw: func(rd *reader, r *record, e *env) error { return rd.fill(r, e, [4]int32{0, 1, 3, 2}, 0) },
}

// Edges of a 3DFACE may be invisible (group 70, a bit an edge).
var faceType = entityType{
	names: []string{"3DFACE"}, coords: worldCoords, needs: []int32{10, 20, 11, 21, 12, 22},
	draw: func(rd *reader, r *record, e *env) error { return rd.fill(r, e, [4]int32{0, 1, 2, 3}, r.flags(70)) },
}

// fill tells of a filled area with four corners, or three where group 13 is
// missing, or draws its outline if the options ask for it: in the given order
// of the corners, without the edges hidden.
func (rd *reader) fill(r *record, e *env, order [4]int32, hidden int) error {
	if !rd.o.HatchOutlines {
		rd.tell(drawing.Unread, e, r, r.typ+", a filled area, not cut")
		return nil
	}
	var z [4]float64
	var q [4]geom.Point
	for i, n := range order {
		if n == 3 && !r.has(13) {
			n = 2
		}
		p := r.point(10 + n)
		z[i], q[i] = p.z, e.at(r, p)
	}
	rd.notFlat(r, z[:]...)
	for i := range q {
		a, b := q[i], q[(i+1)%4]
		if a == b || hidden&(1<<i) != 0 {
			continue
		}
		if err := rd.stroke(e, geom.Line(a, b)); err != nil {
			return err
		}
	}
	return nil
}
