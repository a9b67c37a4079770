package near

import (
	"math"

	"sluice/geom"
)

// Rect is a rectangle turned about its middle. A rectangle of height 0 is a
// straight stretch, one of no size a point.
type Rect struct {
	Mid  geom.Point
	W, H float64 // full width along the turned x axis and height, mm
	Cos  float64 // of the angle by which it is turned
	Sin  float64
}

// RectAt returns the rectangle of size w by h about mid, turned by angle
// (radians).
func RectAt(mid geom.Point, w, h, angle float64) Rect {
	s, c := math.Sincos(angle)
	return Rect{mid, w, h, c, s}
}

// Span returns the rectangle of no height from a to b.
func Span(a, b geom.Point) Rect {
	d := b.Sub(a)
	u := d.Unit()
	if u == (geom.Point{}) {
		u.X = 1
	}
	return Rect{a.Mid(b), d.Norm(), 0, u.X, u.Y}
}

// Quad returns the rectangle with these corners, given in order around it.
func Quad(q [4]geom.Point) Rect {
	r := Span(q[0], q[1])
	r.H = q[1].Dist(q[2])
	r.Mid = q[0].Mid(q[2])
	return r
}

// Corners returns the corners in order: lower left, lower right, upper right,
// upper left, as seen upright.
func (r Rect) Corners() [4]geom.Point {
	u := geom.Pt(r.Cos, r.Sin).Mul(r.W / 2)
	v := geom.Pt(-r.Sin, r.Cos).Mul(r.H / 2)
	return [4]geom.Point{
		r.Mid.Sub(u).Sub(v), r.Mid.Add(u).Sub(v), r.Mid.Add(u).Add(v), r.Mid.Sub(u).Add(v),
	}
}

// Box returns the upright box around the rectangle.
func (r Rect) Box() geom.Box {
	c := r.Corners()
	return geom.BoxOf(c[:]...)
}

// local returns p in the frame in which the rectangle is upright about 0,0.
func (r Rect) local(p geom.Point) geom.Point {
	d := p.Sub(r.Mid)
	return geom.Pt(d.X*r.Cos+d.Y*r.Sin, d.Y*r.Cos-d.X*r.Sin)
}

// ToPoint returns the distance from p to the rectangle, 0 inside.
func (r Rect) ToPoint(p geom.Point) float64 {
	q := r.local(p)
	return math.Hypot(max(0, math.Abs(q.X)-r.W/2), max(0, math.Abs(q.Y)-r.H/2))
}

// Nearest returns the point of the rectangle nearest to p.
func (r Rect) Nearest(p geom.Point) geom.Point {
	q := r.local(p)
	x, y := min(max(q.X, -r.W/2), r.W/2), min(max(q.Y, -r.H/2), r.H/2)
	return r.Mid.Add(geom.Pt(x*r.Cos-y*r.Sin, x*r.Sin+y*r.Cos))
}

// Dist returns the distance between the rectangle, with all it encloses, and a
// piece; 0 where they meet.
func (r Rect) Dist(p geom.Piece) float64 {
	q := geom.Piece{A: r.local(p.A), B: r.local(p.B), R: p.R, Sweep: p.Sweep}
	if p.R > 0 {
		q.C = r.local(p.C)
	}
	return UprightDist(r.W/2, r.H/2, q)
}

// ToRect returns the distance between two rectangles, 0 where they meet.
func (r Rect) ToRect(o Rect) float64 {
	if r.ToPoint(o.Mid) == 0 || o.ToPoint(r.Mid) == 0 {
		return 0
	}
	c := o.Corners()
	d := math.Inf(1)
	for i := range c {
		d = min(d, r.Dist(geom.Line(c[i], c[(i+1)%4])))
	}
	return d
}

// UprightDist returns the distance between the upright box from (-hw, -hh) to
// (hw, hh) and a piece, 0 where they meet.
//
// The nearest pair of a box and an arc has a corner of the box in it, or an
// end of the arc, or a point of the arc whose tangent is parallel to a side of
// the box: those are compared, after asking whether the two cross.
func UprightDist(hw, hh float64, p geom.Piece) float64 {
	to := func(q geom.Point) float64 {
		dx, dy := max(0, math.Abs(q.X)-hw), max(0, math.Abs(q.Y)-hh)
		if dx == 0 {
			return dy
		}
		if dy == 0 {
			return dx
		}
		return math.Sqrt(dx*dx + dy*dy)
	}
	d := min(to(p.A), to(p.B))
	if d == 0 || crossesBox(hw, hh, p) {
		return 0
	}
	if p.R > 0 {
		for _, u := range [4]geom.Point{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}} {
			if p.SweepsOver(u) {
				d = min(d, to(p.C.Add(u.Mul(p.R))))
			}
		}
	}
	for _, c := range [4]geom.Point{{X: hw, Y: hh}, {X: -hw, Y: hh}, {X: -hw, Y: -hh}, {X: hw, Y: -hh}} {
		d = min(d, p.Dist(c))
	}
	return d
}

// crossesBox reports whether the piece meets a side of the upright box.
func crossesBox(hw, hh float64, p geom.Piece) bool {
	for _, side := range [4]struct {
		at, reach float64
		vertical  bool
	}{{hw, hh, true}, {-hw, hh, true}, {hh, hw, false}, {-hh, hw, false}} {
		a, b, c := p.A, p.B, p.C
		if !side.vertical {
			a, b, c = geom.Pt(a.Y, a.X), geom.Pt(b.Y, b.X), geom.Pt(c.Y, c.X)
		}
		// Now the side is the stretch |y| <= reach of the line x = at.
		if p.R == 0 {
			if (a.X < side.at) == (b.X < side.at) {
				continue
			}
			y := a.Y + (b.Y-a.Y)*(side.at-a.X)/(b.X-a.X)
			if math.Abs(y) <= side.reach {
				return true
			}
			continue
		}
		dx := side.at - c.X
		if math.Abs(dx) > p.R {
			continue
		}
		dy := math.Sqrt(p.R*p.R - dx*dx)
		for _, y := range [2]float64{dy, -dy} {
			u := geom.Pt(dx, y)
			if !side.vertical {
				u = geom.Pt(y, dx)
			}
			if math.Abs(c.Y+y) <= side.reach && p.SweepsOver(u) {
				return true
			}
		}
	}
	return false
}
