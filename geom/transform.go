package geom

import "math"

// Transform is a similarity of the plane: turn, uniform scale, shift and
// perhaps a mirror. It maps p to (M p) + T with M = [XX XY; YX YY].
type Transform struct {
	XX, XY, YX, YY float64
	T              Point
}

// Identity leaves every point where it is.
func Identity() Transform { return Transform{XX: 1, YY: 1} }

// Shift moves by d.
func Shift(d Point) Transform { return Transform{XX: 1, YY: 1, T: d} }

// Turn turns by angle a about c.
func Turn(c Point, a float64) Transform {
	s, co := math.Sincos(a)
	t := Transform{XX: co, XY: -s, YX: s, YY: co}
	t.T = c.Sub(t.Apply(c))
	return t
}

// Scaling scales by f about the origin.
func Scaling(f float64) Transform { return Transform{XX: f, YY: f} }

// MirrorX flips left and right about the line x = x0.
func MirrorX(x0 float64) Transform { return Transform{XX: -1, YY: 1, T: Point{2 * x0, 0}} }

// Apply maps the point p.
func (t Transform) Apply(p Point) Point {
	return Point{t.XX*p.X + t.XY*p.Y + t.T.X, t.YX*p.X + t.YY*p.Y + t.T.Y}
}

// Then returns the transform that applies t first and u after it.
func (t Transform) Then(u Transform) Transform {
	return Transform{
		XX: u.XX*t.XX + u.XY*t.YX, XY: u.XX*t.XY + u.XY*t.YY,
		YX: u.YX*t.XX + u.YY*t.YX, YY: u.YX*t.XY + u.YY*t.YY,
		T: u.Apply(t.T),
	}
}

// Scale returns the factor by which lengths grow.
func (t Transform) Scale() float64 { return math.Sqrt(math.Abs(t.XX*t.YY - t.XY*t.YX)) }

// Mirrors reports whether left and right change sides.
func (t Transform) Mirrors() bool { return t.XX*t.YY-t.XY*t.YX < 0 }
