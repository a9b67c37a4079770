package dxf

import "sluice/geom/drawing"

var mlineType = entityType{names: []string{"MLINE"}, coords: worldCoords, points: []int32{11}, draw: (*reader).mline}

// mlineVertex is one corner of an MLINE: where it stands, the direction of the
// mitre there, and how far along the mitre each element of the style lies.
type mlineVertex struct {
	p, mitre point3
	at       []float64
	broken   bool // an element is interrupted in the stretch that begins here
}

// mlineVertices reads the corners of an MLINE. Each begins with group 11; 12 is
// the direction of the stretch, 13 the mitre, and for each element of the style
// 74 says how many groups 41 follow, the first of which is the distance along
// the mitre, the second where the element begins, the others where it is cut.
func mlineVertices(r *record) []mlineVertex {
	var vs []mlineVertex
	for ns, rest := r.fromPoint(11).cut(); len(ns) > 0; ns, rest = rest.cut() {
		v := mlineVertex{p: ns.point(11), mitre: ns.point(13)}
		nth := 0
		for _, n := range ns {
			switch n.code {
			case 74:
				nth = 0
			case 41:
				if nth++; nth == 1 {
					v.at = append(v.at, n.v)
				} else if nth > 2 {
					v.broken = true
				}
			}
		}
		vs = append(vs, v)
	}
	return vs
}

// mline draws the element lines of an MLINE: parallel lines mitred at the
// corners. What its style adds, end caps and fill, is not in the entity.
func (rd *reader) mline(r *record, e *env) error {
	vs := mlineVertices(r)
	elements := len(vs)
	if len(vs) > 0 {
		elements = len(vs[0].at)
	}
	lo, hi := 0.0, 0.0
	for i := range vs {
		if len(vs[i].at) != elements || elements == 0 {
			return rd.problemOf("no-vertices", int(r.line), e.ent, true, "the MLINE is not read: its corners do not have the same elements")
		}
		lo, hi = min(lo, vs[i].p.z), max(hi, vs[i].p.z)
		if vs[i].broken {
			rd.tell(drawing.Unread, e, r, "the breaks of an MLINE, which is drawn whole")
		}
	}
	if len(vs) < 2 {
		return rd.problemOf("no-vertices", int(r.line), e.ent, true, "the MLINE is not read: it has fewer than two corners")
	}
	rd.notFlat(r, lo, hi)
	closed := r.flags(71)&2 != 0
	for k := range elements {
		u := run{rd: rd, e: e} // in world coordinates
		for i := range vs {
			p := vs[i].p.add(vs[i].mitre.mul(vs[i].at[k]))
			if err := u.add(e.place(p), 0); err != nil {
				return err
			}
		}
		if err := u.end(closed); err != nil {
			return err
		}
	}
	return nil
}
