package dxf

import (
	"math"

	"sluice/geom"
)

// point3 is a place or direction in space (drawing units).
type point3 struct{ x, y, z float64 }

func (p point3) add(q point3) point3  { return point3{p.x + q.x, p.y + q.y, p.z + q.z} }
func (p point3) mul(f float64) point3 { return point3{p.x * f, p.y * f, p.z * f} }
func (p point3) flat() geom.Point     { return geom.Point{X: p.x, Y: p.y} }
func abs(v float64) float64           { return math.Abs(v) }
func (p point3) cross(q point3) point3 {
	return point3{p.y*q.z - p.z*q.y, p.z*q.x - p.x*q.z, p.x*q.y - p.y*q.x}
}

// unit returns p with length 1; false if it has none.
func (p point3) unit() (point3, bool) {
	m := max(abs(p.x), abs(p.y), abs(p.z))
	if !(m > 0) || math.IsInf(m, 0) {
		return point3{}, false
	}
	p = point3{p.x / m, p.y / m, p.z / m}
	return p.mul(1 / math.Sqrt(p.x*p.x+p.y*p.y+p.z*p.z)), true
}

// frame is an affine map of space: p -> x ax + y ay + z az + o.
type frame struct{ ax, ay, az, o point3 }

var world = frame{ax: point3{1, 0, 0}, ay: point3{0, 1, 0}, az: point3{0, 0, 1}}

func (f *frame) dir(p point3) point3 {
	return point3{
		f.ax.x*p.x + f.ay.x*p.y + f.az.x*p.z,
		f.ax.y*p.x + f.ay.y*p.y + f.az.y*p.z,
		f.ax.z*p.x + f.ay.z*p.y + f.az.z*p.z,
	}
}

func (f *frame) apply(p point3) point3 { return f.dir(p).add(f.o) }

// of returns the frame that applies g first and f after it.
func (f *frame) of(g *frame) frame {
	return frame{ax: f.dir(g.ax), ay: f.dir(g.ay), az: f.dir(g.az), o: f.apply(g.o)}
}

// objectFrame returns the axes of the object coordinate system with the given
// unit normal by the arbitrary axis algorithm of the DXF reference: where the
// normal is within 1/64 of the z axis the x axis is Y x N, else Z x N.
func objectFrame(n point3) frame {
	var ax point3
	if abs(n.x) < 1.0/64 && abs(n.y) < 1.0/64 {
		ax = point3{0, 1, 0}.cross(n)
	} else {
		ax = point3{0, 0, 1}.cross(n)
	}
	ax, _ = ax.unit()
	ay, _ := n.cross(ax).unit()
	return frame{ax: ax, ay: ay, az: n}
}

// plane is the map from a plane z = const of some frame to the drawing's XY
// plane, seen along the z axis: p -> x u + y v + o.
type plane struct {
	u, v, o geom.Point
	kind    planeKind
}

type planeKind uint8

const (
	planeSame    planeKind = iota // u, v are the axes and o is zero
	planeSimilar                  // circles stay circles
	planeSkewed                   // circles become ellipses
	planeEdge                     // seen from the side: all becomes one line
)

// samePlane is any plane of the drawing's own coordinates.
var samePlane = plane{u: geom.Point{X: 1}, v: geom.Point{Y: 1}, kind: planeSame}

func (f *frame) plane(z float64) plane {
	p := plane{u: f.ax.flat(), v: f.ay.flat(), o: f.o.add(f.az.mul(z)).flat()}
	lu, lv := p.u.Norm(), p.v.Norm()
	big := max(lu, lv)
	switch area := abs(p.u.Cross(p.v)); {
	case p.u == geom.Point{X: 1} && p.v == geom.Point{Y: 1} && p.o == geom.Point{}:
		p.kind = planeSame
	case area <= 1e-12*big*big:
		p.kind = planeEdge
	case abs(lu-lv) <= 1e-9*big && abs(p.u.Dot(p.v)) <= 1e-9*big*big:
		p.kind = planeSimilar
	default:
		p.kind = planeSkewed
	}
	return p
}

func (p *plane) mirrors() bool { return p.kind != planeSame && p.u.Cross(p.v) < 0 }

func (p *plane) apply(q geom.Point) geom.Point {
	if p.kind == planeSame {
		return q
	}
	return p.dir(q).Add(p.o)
}

func (p *plane) dir(q geom.Point) geom.Point {
	return geom.Point{X: p.u.X*q.X + p.v.X*q.Y, Y: p.u.Y*q.X + p.v.Y*q.Y}
}

// sincosDeg returns sine and cosine of an angle in degrees, exact at whole
// quarter turns.
func sincosDeg(a float64) (sin, cos float64) {
	a = math.Mod(a, 360)
	q := math.Round(a / 90)
	sin, cos = math.Sincos((a - 90*q) * (math.Pi / 180))
	switch int(q) & 3 {
	case 1:
		sin, cos = cos, -sin
	case 2:
		sin, cos = -sin, -cos
	case 3:
		sin, cos = -cos, sin
	}
	return sin + 0, cos + 0 // no negative zero
}
