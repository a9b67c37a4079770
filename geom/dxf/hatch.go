package dxf

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/curve"
	"sluice/geom/drawing"
)

// Before its paths a HATCH has a point, of which only the height counts.
var hatchType = entityType{names: []string{"HATCH"}, pointsBy: 92, draw: (*reader).hatch}

// hatch tells of a HATCH, or draws its boundaries if the options ask for it.
//
// The groups of a HATCH have a fixed order: an elevation point, the number of
// paths (91), then for each path its kind (92: bit 2 a polyline, else edges
// that begin with 72), then the pattern from 75 on.
func (rd *reader) hatch(r *record, e *env) error {
	z := r.num(30, 0)
	if !rd.o.HatchOutlines {
		rd.tell(drawing.Unread, e, hatchStart(r), "HATCH, not cut")
		return nil
	}
	pl := e.plane(r, z)
	rd.notFlat(r, z)
	for path, rest := r.from(92).cut(); len(path) > 0; path, rest = rest.cut() {
		end := slices.IndexFunc(path, func(n number) bool { return n.code == 75 })
		polyline := int(max(0, min(path[0].v, 1e6)))&2 != 0
		lines := path[1:]
		if end >= 0 {
			lines = path[1:end]
		}
		err := error(nil)
		if polyline {
			err = rd.hatchPolyline(e, pl, lines)
		} else {
			err = rd.hatchEdges(e, &pl, lines)
		}
		if err == nil {
			err = rd.saidEdges(r, e, lines, polyline)
		}
		if err != nil || end >= 0 {
			return err
		}
	}
	return nil
}

// saidEdges tells where a path of a HATCH has fewer edges or corners than it
// says (93).
func (rd *reader) saidEdges(r *record, e *env, path nums, polyline bool) error {
	has, what := path.count(72), "edges"
	if polyline {
		has, what = path.count(10), "corners"
	}
	if says := path.num(93, 0); says > float64(has) {
		return rd.problemOf("vertex-count", int(r.line), e.ent, true, "a path of the HATCH says it has "+ftoa(says)+" "+what+", but has "+itoa(has))
	}
	return nil
}

// hatchStart returns r with the points of its paths alone: the elevation point
// before them says nothing of where the hatch is.
func hatchStart(r *record) *record {
	c := &record{kind: r.kind, typ: r.typ, extruded: r.extruded}
	path := false
	for _, n := range r.nums {
		path = path || n.code == 92
		if path && (n.code == 92 || n.code == 10 || n.code == 20) || n.code >= 210 && n.code < 240 {
			c.keep(n)
		}
	}
	return c
}

func (rd *reader) hatchPolyline(e *env, pl plane, path nums) error {
	u := run{rd: rd, e: e, pl: pl}
	for v, rest := path.fromPoint(10).cut(); len(v) > 0; v, rest = rest.cut() {
		if err := u.add(v.point(10).flat(), v.num(42, 0)); err != nil {
			return err
		}
	}
	return u.end(path.num(73, 1) != 0)
}

func (rd *reader) hatchEdges(e *env, pl *plane, path nums) error {
	for edge, rest := path.from(72).cut(); len(edge) > 0; edge, rest = rest.cut() {
		if err := rd.hatchEdge(e, pl, edge[0].v, edge[1:]); err != nil {
			return err
		}
	}
	return nil
}

// hatchEdge draws one edge: 1 line, 2 arc, 3 ellipse, 4 spline. The angles of a
// clockwise arc (73 = 0) are counted clockwise.
func (rd *reader) hatchEdge(e *env, pl *plane, kind float64, edge nums) error {
	c, q := edge.point(10).flat(), edge.point(11).flat()
	a0, a1 := edge.num(50, 0), edge.num(51, 360)
	if edge.num(73, 1) == 0 {
		a0, a1 = -a1, -a0
	}
	switch kind {
	case 1:
		return rd.stroke(e, geom.Line(pl.apply(c), pl.apply(q)))
	case 2:
		if rad := edge.num(40, 0); rad > 0 {
			return rd.drawTurn(e, pl, c, rad, a0, a1)
		}
	case 3:
		minor := q.Left().Mul(edge.num(40, 1))
		t0, t1 := a0*(math.Pi/180), a1*(math.Pi/180)
		if abs(t0) < 1e6 && abs(t1) < 1e6 {
			return rd.drawEllipse(e, pl.apply(c), pl.dir(q), pl.dir(minor), t0, t1)
		}
	case 4:
		s := &curve.Spline{Degree: edge.flags(94), Periodic: edge.flags(74) != 0}
		for v, rest := edge.fromPoint(10).cut(); len(v) > 0; v, rest = rest.cut() {
			s.Ctrl = append(s.Ctrl, pl.apply(v.point(10).flat()))
		}
		for v, rest := edge.fromPoint(11).cut(); len(v) > 0; v, rest = rest.cut() {
			s.Fit = append(s.Fit, pl.apply(v.point(11).flat()))
		}
		for _, n := range edge {
			switch n.code {
			case 40:
				s.Knots = append(s.Knots, n.v)
			case 42:
				s.Weights = append(s.Weights, n.v)
			}
		}
		impliedDegree(s)
		if checkSpline(s) == "" {
			return rd.curve(e, drawing.Curve{Kind: "SPLINE", Spline: s})
		}
	}
	r := &record{kind: &unknownType}
	for _, n := range edge {
		r.keep(n)
	}
	rd.tell(drawing.Unread, e, r, "HATCH edge without a shape")
	return nil
}
