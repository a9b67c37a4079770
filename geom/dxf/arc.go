package dxf

import (
	"math"

	"sluice/geom"
	"sluice/geom/drawing"
)

// Angles of an ARC are degrees counter-clockwise in the object plane.
var arcType = entityType{
	names: []string{"ARC"}, reach: radius,
	needs: []int32{10, 20, 50, 51}, whole: groups(10, 20, 40, 50, 51),
	draw: func(rd *reader, r *record, e *env) error { return rd.round(r, e, r.num(50, 0), r.num(51, 0)) },
}

var circleType = entityType{
	names: []string{"CIRCLE"}, reach: radius,
	needs: []int32{10, 20}, whole: groups(10, 20, 40),
	draw: func(rd *reader, r *record, e *env) error { return rd.round(r, e, 0, 360) },
}

func radius(r *record) float64 { return r.num(40, 0) }

// round draws what lies on a circle about point 10 with radius 40, from angle
// start to end.
func (rd *reader) round(r *record, e *env, start, end float64) error {
	c, rad := r.point(10), radius(r)
	if !(rad > 0) {
		return rd.problemOf("bad-radius", int(r.line), e.ent, true, "the "+r.typ+" is not read: radius "+ftoa(rad))
	}
	rd.notFlat(r, c.z)
	pl := e.plane(r, c.z)
	return rd.drawTurn(e, &pl, c.flat(), rad, start, end)
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
