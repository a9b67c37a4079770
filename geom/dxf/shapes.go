package dxf

import (
	"math"

	"sluice/geom"
	"sluice/geom/curve"
	"sluice/geom/drawing"
)

func (rd *reader) line(r *record, e *env) error {
	p, q := r.point(10), r.point(11)
	rd.notFlat(r, p.z, q.z)
	return rd.stroke(e, geom.Line(e.place(p), e.place(q)))
}

// arc draws ARC and CIRCLE. Angles are degrees counter-clockwise in the object
// plane.
func (rd *reader) arc(r *record, e *env) error {
	c, rad := r.point(10), r.num(40, 0)
	if !(rad > 0) {
		return rd.problemOf("bad-radius", int(r.line), e.ent, true, "the "+r.typ+" is not read: radius "+ftoa(rad))
	}
	rd.notFlat(r, c.z)
	pl := e.plane(r, c.z)
	if r.kind == kindArc {
		return rd.drawTurn(e, &pl, c.flat(), rad, r.num(50, 0), r.num(51, 0))
	}
	return rd.drawArc(e, &pl, c.flat(), rad, 0, 360)
}

// Angles are rounded when they are written.
const (
	// wholeShort is what a whole turn may lack, degrees: 2 pi with six decimals
	// lacks a third of that.
	wholeShort = 6e-5
	// angleStep is more, degrees, than the last of three decimals (fewer are
	// common practice nowhere; from memory), by which angles that were equal may
	// differ.
	angleStep = 1.5e-3
)

// arcTurn returns by how much an arc turns from angle start to end, counter-
// clockwise, degrees: above 0 and at most 360. Angles a whole turn apart as
// written (0 and 360, -180 and 180) mean just that.
//
// Angles that are equal but for rounding come of arcs shorter than their last
// decimal as well as of circles, and of the two the angles do not tell: then same
// is true, and turn how far the end lies before (above 0) or behind the start.
func arcTurn(start, end float64) (turn float64, same bool) {
	by := end - start
	turn = math.Remainder(by, 360)
	switch {
	case by >= 360-wholeShort && turn >= -wholeShort && turn <= angleStep:
		return 360, false
	case abs(turn) <= angleStep && !(by > angleStep && by < 360):
		return turn, true
	case turn < 0:
		turn += 360
	}
	return turn, false
}

// drawTurn draws an arc of the object plane from angle start to end.
func (rd *reader) drawTurn(e *env, pl *plane, c geom.Point, rad, start, end float64) error {
	turn, same := arcTurn(start, end)
	start = math.Mod(start, 360)
	if !same {
		return rd.drawArc(e, pl, c, rad, start, turn)
	}
	t := drawing.Turn{
		Kind: "ARC", Ahead: turn > 0, Center: pl.apply(c), Radius: rad * max(pl.u.Norm(), pl.v.Norm()),
		Piece: geom.Line(pl.ray(c, rad, start), pl.ray(c, rad, start+turn)),
	}
	if t.Ahead && pl.kind <= planeSimilar {
		t.Piece = pl.arc(c, rad, start, turn)
	}
	return rd.turn(e, t)
}

// drawArc draws an arc of the object plane from angle a0 through turn degrees,
// 0 < turn <= 360.
func (rd *reader) drawArc(e *env, pl *plane, c geom.Point, rad, a0, turn float64) error {
	t0, sweep := a0*(math.Pi/180), turn*(math.Pi/180)
	switch pl.kind {
	case planeSkewed:
		return rd.conic(e, pl.apply(c), pl.dir(geom.Pt(rad, 0)), pl.dir(geom.Pt(0, rad)), t0, t0+sweep, "ELLIPSE")
	case planeEdge:
		return rd.flattened(e, pl.apply(c), pl.dir(geom.Pt(rad, 0)), pl.dir(geom.Pt(0, rad)), t0, t0+sweep)
	}
	return rd.stroke(e, pl.arc(c, rad, a0, turn))
}

// ray returns the place on a circle of the object plane at an angle (degrees).
func (p *plane) ray(c geom.Point, rad, a float64) geom.Point {
	sin, cos := sincosDeg(a)
	return p.apply(geom.Pt(c.X+rad*cos, c.Y+rad*sin))
}

// arc returns an arc of the object plane as it is in the drawing, in a plane in
// which circles stay circles.
func (p *plane) arc(c geom.Point, rad, a0, turn float64) geom.Piece {
	q := geom.Piece{A: p.ray(c, rad, a0), C: p.apply(c), R: rad, Sweep: turn * (math.Pi / 180)}
	if p.kind == planeSimilar {
		q.R = rad * p.scale()
	}
	if turn >= 360 {
		q.B, q.Sweep = q.A, 2*math.Pi
	} else {
		q.B = p.ray(c, rad, a0+turn)
		if q.A == q.B { // too short to be told from a point
			return geom.Line(q.A, q.B)
		}
	}
	if p.mirrors() {
		q.Sweep = -q.Sweep
	}
	return q
}

// scale returns the factor by which lengths grow in a similar plane.
func (p *plane) scale() float64 { return math.Sqrt(abs(p.u.Cross(p.v))) }

func (rd *reader) spline(r *record, e *env) error {
	s := &curve.Spline{Degree: r.flags(71)}
	flags := r.flags(70)
	s.Closed, s.Periodic = flags&1 != 0, flags&2 != 0
	var p point3
	lo, hi := math.Inf(1), math.Inf(-1)
	ctrl := func(code int32, list *[]geom.Point) {
		open := false
		put := func() {
			if open {
				*list = append(*list, e.place(p))
				lo, hi = min(lo, p.z), max(hi, p.z)
			}
		}
		lead := r.lead(code)
		for i := range r.nums {
			n := &r.nums[i]
			if n.code == lead {
				put()
				p, open = point3{}, true
			}
			switch n.code {
			case code:
				p.x = n.v
			case code + 10:
				p.y = n.v
			case code + 20:
				p.z = n.v
			}
		}
		put()
	}
	ctrl(10, &s.Ctrl)
	ctrl(11, &s.Fit)
	for i := range r.nums {
		switch n := &r.nums[i]; n.code {
		case 40:
			s.Knots = append(s.Knots, n.v)
		case 41:
			s.Weights = append(s.Weights, n.v)
		}
	}
	impliedDegree(s)
	s.StartTan, s.EndTan = e.direction(r.point(12)), e.direction(r.point(13))
	ctrls, fits, knots := len(s.Ctrl), len(s.Fit), len(s.Knots)
	if why := checkSpline(s); why != "" {
		return rd.problemOf("bad-curve", int(r.line), e.ent, true, "the SPLINE is not read: "+why)
	}
	if err := rd.saidPoints(r, e, ctrls, fits, knots); err != nil {
		return err
	}
	rd.notFlat(r, lo, hi)
	return rd.curve(e, drawing.Curve{Kind: "SPLINE", Spline: s})
}

// saidPoints tells where a SPLINE has fewer points or knots than it says.
func (rd *reader) saidPoints(r *record, e *env, ctrl, fit, knots int) error {
	for _, c := range []struct {
		code int32
		has  int
		what string
	}{{73, ctrl, "control points"}, {74, fit, "fit points"}, {72, knots, "knots"}} {
		if says := r.num(c.code, 0); says > float64(c.has) {
			return rd.problemOf("vertex-count", int(r.line), e.ent, true, "the SPLINE says it has "+ftoa(says)+" "+c.what+", but has "+itoa(c.has))
		}
	}
	return nil
}

// direction returns the flat image of a direction in world coordinates.
func (e *env) direction(p point3) geom.Point {
	if e.nested {
		p = e.frame.dir(p)
	}
	return p.flat()
}

// impliedDegree sets the degree of a curve that states none: a curve of degree p
// through n control points has n+p+1 knots.
func impliedDegree(s *curve.Spline) {
	if s.Degree == 0 && len(s.Ctrl) > 0 {
		s.Degree = max(0, len(s.Knots)-len(s.Ctrl)-1)
	}
}

// checkSpline drops what cannot go together and says what is missing, "" if
// the curve is fit for use: either control points with as many knots as points
// plus degree plus 1, or fit points.
func checkSpline(s *curve.Spline) string {
	if len(s.Weights) != len(s.Ctrl) {
		s.Weights = nil
	}
	for _, w := range s.Weights {
		if !(w > 0) {
			return "a weight that is not positive"
		}
	}
	rising := true
	for i := 1; i < len(s.Knots); i++ {
		rising = rising && s.Knots[i] >= s.Knots[i-1]
	}
	n, p := len(s.Ctrl), s.Degree
	if n > 0 && p >= 1 && p <= 25 && n > p && len(s.Knots) == n+p+1 && rising && s.Knots[n] > s.Knots[p] {
		return ""
	}
	if len(s.Fit) > 1 {
		s.Ctrl, s.Knots, s.Weights = nil, nil, nil
		if s.Degree < 1 {
			s.Degree = 3
		}
		return ""
	}
	switch {
	case n == 0:
		return "no control points"
	case p < 1 || p > 25:
		return "degree " + itoa(p)
	case n <= p:
		return itoa(n) + " control points for degree " + itoa(p)
	case len(s.Knots) != n+p+1:
		return itoa(len(s.Knots)) + " knots for " + itoa(n) + " control points of degree " + itoa(p)
	}
	return "its knots do not rise"
}

// ellipse draws an ELLIPSE: centre and major axis in world coordinates, minor
// axis = normal x major x ratio, and parameters (not angles) in radians.
func (rd *reader) ellipse(r *record, e *env) error {
	c, major, ratio := r.point(10), r.point(11), r.num(40, 1)
	n, _ := r.extrusion()
	minor := n.cross(major).mul(ratio)
	t0, t1 := r.num(41, 0), r.num(42, 2*math.Pi)
	if l, ok := major.unit(); !ok || l == (point3{}) || ratio == 0 || abs(t0) > 1e6 || abs(t1) > 1e6 {
		return rd.problemOf("bad-curve", int(r.line), e.ent, true, "the ELLIPSE is not read: an axis without length")
	}
	rd.notFlat(r, c.z)
	return rd.drawEllipse(e, e.place(c), e.direction(major), e.direction(minor), t0, t1)
}

// drawEllipse draws center + u cos t + v sin t from t0 to t1 (radians).
func (rd *reader) drawEllipse(e *env, center, u, v geom.Point, t0, t1 float64) error {
	turn, same := arcTurn(t0*(180/math.Pi), t1*(180/math.Pi))
	end := t0 + turn*(math.Pi/180)
	if !same {
		return rd.conic(e, center, u, v, t0, end, "ELLIPSE")
	}
	at := func(t float64) geom.Point { return center.Add(u.Mul(math.Cos(t))).Add(v.Mul(math.Sin(t))) }
	return rd.turn(e, drawing.Turn{
		Kind: "ELLIPSE", Ahead: turn > 0, Center: center, Radius: max(u.Norm(), v.Norm()), Piece: geom.Line(at(t0), at(end)),
	})
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

// corners tells of a fill, SOLID, TRACE or 3DFACE, or draws its outline if the
// options ask for it. Third and fourth corner of SOLID and TRACE are swapped; some
// edges of a 3DFACE may be invisible (group 70).
func (rd *reader) corners(r *record, e *env) error {
	if !rd.o.HatchOutlines {
		rd.tell(drawing.Unread, e, r, r.typ+", a filled area, not cut")
		return nil
	}
	p := [4]point3{r.point(10), r.point(11), r.point(12), r.point(13)}
	if !r.has(13) {
		p[3] = p[2]
	}
	var q [4]geom.Point
	hiddenEdges := 0
	if r.kind == kindFace {
		for i := range p {
			q[i] = e.place(p[i])
		}
		hiddenEdges = r.flags(70)
	} else {
		p[2], p[3] = p[3], p[2]
		pl := e.plane(r, p[0].z)
		for i := range p {
			q[i] = pl.apply(p[i].flat())
		}
	}
	rd.notFlat(r, p[0].z, p[1].z, p[2].z, p[3].z)
	for i := range q {
		a, b := q[i], q[(i+1)%4]
		if a == b || hiddenEdges&(1<<i) != 0 {
			continue
		}
		if err := rd.stroke(e, geom.Line(a, b)); err != nil {
			return err
		}
	}
	return nil
}
