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
// plane; an arc whose angles are equal is a full circle.
func (rd *reader) arc(r *record, e *env) error {
	c, rad := r.point(10), r.num(40, 0)
	if !(rad > 0) {
		return rd.problemOf("bad-radius", int(r.line), e.ent, true, "the "+r.typ+" is not read: radius "+ftoa(rad))
	}
	rd.notFlat(r, c.z)
	pl := e.plane(r, c.z)
	a0, turn := 0.0, 360.0
	if r.kind == kindArc {
		a0 = math.Mod(r.num(50, 0), 360)
		turn = math.Mod(r.num(51, 0)-r.num(50, 0), 360)
		if turn <= 0 {
			turn += 360
		}
		if turn > 360-1e-9 {
			turn = 360 // rounding of the writing program
		}
	}
	return rd.drawArc(e, &pl, c.flat(), rad, a0, turn)
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
	ray := func(a float64) geom.Point {
		s, co := sincosDeg(a)
		return pl.apply(geom.Pt(c.X+rad*co, c.Y+rad*s))
	}
	p := geom.Piece{A: ray(a0), C: pl.apply(c), R: rad, Sweep: sweep}
	if pl.kind == planeSimilar {
		p.R = rad * pl.scale()
	}
	if turn >= 360 {
		p.B, p.Sweep = p.A, 2*math.Pi
	} else {
		p.B = ray(a0 + turn)
		if p.A == p.B { // too short to be told from a point
			return rd.stroke(e, geom.Line(p.A, p.B))
		}
	}
	if pl.mirrors() {
		p.Sweep = -p.Sweep
	}
	return rd.stroke(e, p)
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
	turn := math.Mod(t1-t0, 2*math.Pi)
	if turn <= 1e-9 {
		turn += 2 * math.Pi
	}
	// A whole turn is often rounded to a few decimals, above 2 pi or below.
	if whole := abs(math.Remainder(t1-t0, 2*math.Pi)) < 1e-6 && abs(t1-t0) > 1; whole || turn > 2*math.Pi-1e-9 {
		turn = 2 * math.Pi
	}
	rd.notFlat(r, c.z)
	return rd.conic(e, e.place(c), e.direction(major), e.direction(minor), t0, t0+turn, "ELLIPSE")
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

// corners draws the outline of SOLID and TRACE, whose third and fourth corner
// are swapped, and of 3DFACE, some edges of which may be invisible (group 70).
func (rd *reader) corners(r *record, e *env) error {
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
