package plate

import (
	"math"

	"sluice/geom"
)

// Vec is a place or a direction in space.
type Vec [3]float64

// Add, Sub and Mul are what they are for vectors.
func (a Vec) Add(b Vec) Vec { return Vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }

// Sub returns a less b.
func (a Vec) Sub(b Vec) Vec { return Vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

// Mul returns a times k.
func (a Vec) Mul(k float64) Vec { return Vec{a[0] * k, a[1] * k, a[2] * k} }

// Dot returns the scalar product.
func (a Vec) Dot(b Vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// Cross returns the vector product.
func (a Vec) Cross(b Vec) Vec {
	return Vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// Norm returns the length.
func (a Vec) Norm() float64 { return math.Sqrt(a.Dot(a)) }

// Unit returns the direction, zero for zero.
func (a Vec) Unit() Vec {
	if n := a.Norm(); n > 0 {
		return a.Mul(1 / n)
	}
	return Vec{}
}

// Flat returns a place of the drawing at height z.
func Flat(p geom.Point, z float64) Vec { return Vec{p.X, p.Y, z} }

// Pose takes places of a plate as it lies in its drawing to places in space: the columns
// of R are where its x, y and z axes go, and T where its origin goes. R is a rotation.
type Pose struct {
	R [3]Vec // columns
	T Vec
}

// Still is the pose of a plate that lies as it is drawn.
func Still() Pose { return Pose{R: [3]Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}} }

// Turn returns where a direction goes.
func (p Pose) Turn(v Vec) Vec { return p.R[0].Mul(v[0]).Add(p.R[1].Mul(v[1])).Add(p.R[2].Mul(v[2])) }

// Apply returns where a place goes.
func (p Pose) Apply(v Vec) Vec { return p.Turn(v).Add(p.T) }

// Then returns the pose that takes what p brings about on by q.
func (p Pose) Then(q Pose) Pose {
	return Pose{R: [3]Vec{q.Turn(p.R[0]), q.Turn(p.R[1]), q.Turn(p.R[2])}, T: q.Apply(p.T)}
}

// Back returns the pose that undoes p.
func (p Pose) Back() Pose {
	t := Vec{}
	var r [3]Vec
	for i := range 3 {
		r[i] = Vec{p.R[0][i], p.R[1][i], p.R[2][i]}
		t[i] = -p.R[i].Dot(p.T)
	}
	return Pose{R: r, T: t}
}

// Frames returns the pose that takes one frame to another: a place and two directions at
// right angles to each other, of each.
func Frames(at, x, y, toAt, toX, toY Vec) Pose {
	from := Pose{R: [3]Vec{x, y, x.Cross(y)}, T: at}
	to := Pose{R: [3]Vec{toX, toY, toX.Cross(toY)}, T: toAt}
	return from.Back().Then(to)
}

// Matrix returns the pose as sixteen numbers, row by row.
func (p Pose) Matrix() [16]float64 {
	var m [16]float64
	for i := range 3 {
		for k := range 3 {
			m[4*i+k] = p.R[k][i]
		}
		m[4*i+3] = p.T[i]
	}
	m[15] = 1
	return m
}
