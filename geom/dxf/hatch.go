package dxf

import (
	"math"

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
	i := 0
	for i < len(r.nums) && r.nums[i].code != 92 {
		i++
	}
	for i < len(r.nums) && r.nums[i].code == 92 {
		flags := r.nums[i].v
		j := i + 1
		for j < len(r.nums) && r.nums[j].code != 92 && r.nums[j].code != 75 {
			j++
		}
		path := r.nums[i+1 : j]
		i = j
		var err error
		flags = max(0, min(flags, 1e6))
		if int(flags)&2 != 0 {
			err = rd.hatchPolyline(e, pl, path)
		} else {
			err = rd.hatchEdges(e, &pl, path)
		}
		if err != nil {
			return err
		}
		if err := rd.saidEdges(r, e, path, int(flags)&2 != 0); err != nil {
			return err
		}
	}
	return nil
}

// saidEdges tells where a path of a HATCH has fewer edges or corners than it
// says (93).
func (rd *reader) saidEdges(r *record, e *env, path []number, polyline bool) error {
	p := &record{nums: path}
	has, what := p.count(72), "edges"
	if polyline {
		has, what = p.count(10), "corners"
	}
	if says := p.num(93, 0); says > float64(has) {
		return rd.problemOf("vertex-count", int(r.line), e.ent, true, "a path of the HATCH says it has "+ftoa(says)+" "+what+", but has "+itoa(has))
	}
	return nil
}

// hatchStart returns r with the points of its paths alone: the elevation point
// before them says nothing of where the hatch is.
func hatchStart(r *record) *record {
	c := &record{kind: r.kind, typ: r.typ}
	path := false
	for _, n := range r.nums {
		path = path || n.code == 92
		if path && (n.code == 92 || n.code == 10 || n.code == 20) || n.code >= 210 && n.code < 240 {
			c.nums = append(c.nums, n)
		}
	}
	return c
}

func (rd *reader) hatchPolyline(e *env, pl plane, path []number) error {
	u := run{rd: rd, e: e, pl: pl}
	var p geom.Point
	bulge, open, closed := 0.0, false, true
	put := func() error {
		if !open {
			return nil
		}
		return u.add(p, bulge)
	}
	for _, n := range path {
		switch n.code {
		case 10:
			if err := put(); err != nil {
				return err
			}
			p, bulge, open = geom.Pt(n.v, 0), 0, true
		case 20:
			p.Y = n.v
		case 42:
			bulge = n.v
		case 73:
			closed = n.v != 0
		}
	}
	if err := put(); err != nil {
		return err
	}
	return u.end(closed)
}

func (rd *reader) hatchEdges(e *env, pl *plane, path []number) error {
	for i := 0; i < len(path); {
		if path[i].code != 72 {
			i++
			continue
		}
		j := i + 1
		for j < len(path) && path[j].code != 72 {
			j++
		}
		if err := rd.hatchEdge(e, pl, path[i].v, &record{kind: &unknownType, nums: path[i+1 : j]}); err != nil {
			return err
		}
		i = j
	}
	return nil
}

// hatchEdge draws one edge: 1 line, 2 arc, 3 ellipse, 4 spline. The angles of a
// clockwise arc (73 = 0) are counted clockwise.
func (rd *reader) hatchEdge(e *env, pl *plane, kind float64, r *record) error {
	c, q := r.point(10).flat(), r.point(11).flat()
	a0, a1 := r.num(50, 0), r.num(51, 360)
	if r.num(73, 1) == 0 {
		a0, a1 = -a1, -a0
	}
	switch kind {
	case 1:
		return rd.stroke(e, geom.Line(pl.apply(c), pl.apply(q)))
	case 2:
		if rad := r.num(40, 0); rad > 0 {
			return rd.drawTurn(e, pl, c, rad, a0, a1)
		}
	case 3:
		minor := q.Left().Mul(r.num(40, 1))
		t0, t1 := a0*(math.Pi/180), a1*(math.Pi/180)
		if abs(t0) < 1e6 && abs(t1) < 1e6 {
			return rd.drawEllipse(e, pl.apply(c), pl.dir(q), pl.dir(minor), t0, t1)
		}
	case 4:
		s := &curve.Spline{Degree: r.flags(94), Periodic: r.flags(74) != 0}
		var x float64
		for _, n := range r.nums {
			switch n.code {
			case 40:
				s.Knots = append(s.Knots, n.v)
			case 42:
				s.Weights = append(s.Weights, n.v)
			case 10, 11:
				x = n.v
			case 20:
				s.Ctrl = append(s.Ctrl, pl.apply(geom.Pt(x, n.v)))
			case 21:
				s.Fit = append(s.Fit, pl.apply(geom.Pt(x, n.v)))
			}
		}
		impliedDegree(s)
		if checkSpline(s) == "" {
			return rd.curve(e, drawing.Curve{Kind: "SPLINE", Spline: s})
		}
	}
	rd.tell(drawing.Unread, e, r, "HATCH edge without a shape")
	return nil
}
