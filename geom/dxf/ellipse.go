package dxf

import (
	"math"

	"sluice/geom"
	"sluice/geom/curve"
	"sluice/geom/drawing"
)

var ellipseType = entityType{
	names: []string{"ELLIPSE"}, coords: worldCoords, points: []int32{10},
	reach: func(r *record) float64 { return r.point(11).flat().Norm() }, // its half axis
	needs: []int32{10, 20, 11, 21}, whole: groups(10, 20, 11, 21, 40, 41, 42), draw: (*reader).ellipse,
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

// conic draws center + u cos t + v sin t for t from t0 to t1 as an ellipse.
// Major and minor axis of an ellipse with conjugate half axes u, v lie at the
// parameter s with tan 2s = 2 u.v / (u.u - v.v) (Rytz's construction).
func (rd *reader) conic(e *env, center, u, v geom.Point, t0, t1 float64, kind string) error {
	s := 0.0
	if d := u.Dot(v); abs(d) > 1e-12*u.Norm()*v.Norm() {
		s = math.Atan2(2*d, u.Dot(u)-v.Dot(v)) / 2
	} else if v.Dot(v) > u.Dot(u) {
		s = math.Pi / 2
	}
	sin, cos := math.Sincos(s)
	major := u.Mul(cos).Add(v.Mul(sin))
	minor := v.Mul(cos).Sub(u.Mul(sin))
	if s == math.Pi/2 {
		major, minor = v, u.Mul(-1)
	}
	if !(t1-t0 > 1e-12) {
		// Too short to be told from a point.
		p := center.Add(u.Mul(math.Cos(t0))).Add(v.Mul(math.Sin(t0)))
		return rd.stroke(e, geom.Line(p, p))
	}
	if l := major.Norm(); !(l > 0) || minor.Norm() <= 1e-12*l {
		return rd.flattened(e, center, u, v, t0, t1)
	}
	return rd.curve(e, drawing.Curve{Kind: kind, Ellipse: &curve.Ellipse{
		Center: center, Major: major, Ratio: min(1, minor.Norm()/major.Norm()),
		Start: t0 - s, End: t1 - s, Mirrored: major.Cross(minor) < 0,
	}})
}

// flattened draws a conic seen from the side: the line it covers.
func (rd *reader) flattened(e *env, center, u, v geom.Point, t0, t1 float64) error {
	w := u
	if v.Norm() > u.Norm() {
		w = v
	}
	w = w.Unit()
	at := func(t float64) float64 { return u.Dot(w)*math.Cos(t) + v.Dot(w)*math.Sin(t) }
	lo, hi := min(at(t0), at(t1)), max(at(t0), at(t1))
	// The turning points of the projection lie half a turn apart.
	for t := math.Atan2(v.Dot(w), u.Dot(w)); t <= t1; t += math.Pi {
		if t >= t0 {
			lo, hi = min(lo, at(t)), max(hi, at(t))
		}
	}
	return rd.stroke(e, geom.Line(center.Add(w.Mul(lo)), center.Add(w.Mul(hi))))
}
