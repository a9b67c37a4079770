package geom

import "math"

// Point is a place, or a displacement, in the plane (mm).
type Point struct{ X, Y float64 }

// Pt is short for Point{x, y}.
func Pt(x, y float64) Point { return Point{x, y} }

// Add returns p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns p - q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Mul returns p scaled by s.
func (p Point) Mul(s float64) Point { return Point{p.X * s, p.Y * s} }

// Dot returns the scalar product of p and q.
func (p Point) Dot(q Point) float64 { return p.X*q.X + p.Y*q.Y }

// Cross returns the z component of p x q: positive when q lies to the left of p.
func (p Point) Cross(q Point) float64 { return p.X*q.Y - p.Y*q.X }

// Norm returns the length of p.
func (p Point) Norm() float64 { return math.Sqrt(p.X*p.X + p.Y*p.Y) }

// Dist returns the distance from p to q.
func (p Point) Dist(q Point) float64 {
	dx, dy := p.X-q.X, p.Y-q.Y
	return math.Sqrt(dx*dx + dy*dy)
}

// Dist2 returns the square of the distance from p to q.
func (p Point) Dist2(q Point) float64 {
	dx, dy := p.X-q.X, p.Y-q.Y
	return dx*dx + dy*dy
}

// Unit returns p scaled to length 1, or the zero point if p is zero.
func (p Point) Unit() Point {
	n := p.Norm()
	if n == 0 {
		return Point{}
	}
	return Point{p.X / n, p.Y / n}
}

// Left returns p turned by a quarter turn counter-clockwise.
func (p Point) Left() Point { return Point{-p.Y, p.X} }

// Lerp returns the point a share t of the way from p to q.
func (p Point) Lerp(q Point, t float64) Point {
	return Point{p.X + (q.X-p.X)*t, p.Y + (q.Y-p.Y)*t}
}

// Mid returns the point half way from p to q.
func (p Point) Mid(q Point) Point { return Point{(p.X + q.X) / 2, (p.Y + q.Y) / 2} }

// Rotate returns p turned about the origin by angle a.
func (p Point) Rotate(a float64) Point {
	s, c := math.Sincos(a)
	return Point{p.X*c - p.Y*s, p.X*s + p.Y*c}
}

// Angle returns the direction of p in (-pi, pi].
func (p Point) Angle() float64 { return math.Atan2(p.Y, p.X) }

// Finite reports whether neither coordinate is infinite or not a number.
func (p Point) Finite() bool {
	return !math.IsNaN(p.X-p.X) && !math.IsNaN(p.Y-p.Y)
}

// Polar returns the point at distance r from c in direction a.
func Polar(c Point, r, a float64) Point {
	s, co := math.Sincos(a)
	return Point{c.X + r*co, c.Y + r*s}
}

// TurnTo returns the angle in (-pi, pi] by which direction u must turn to
// become direction v.
func TurnTo(u, v Point) float64 { return math.Atan2(u.Cross(v), u.Dot(v)) }
