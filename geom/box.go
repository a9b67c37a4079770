package geom

import "math"

// Box is an axis-parallel rectangle. The zero Box is the single point 0,0;
// NoBox is empty.
type Box struct{ Min, Max Point }

// NoBox returns the empty box, the neutral element of Union.
func NoBox() Box {
	inf := math.Inf(1)
	return Box{Point{inf, inf}, Point{-inf, -inf}}
}

// BoxOf returns the smallest box that holds all the points.
func BoxOf(ps ...Point) Box {
	b := NoBox()
	for _, p := range ps {
		b = b.Add(p)
	}
	return b
}

// Empty reports whether the box holds no point.
func (b Box) Empty() bool { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y }

// Finite reports whether the box holds a point and all its sides are finite.
func (b Box) Finite() bool { return !b.Empty() && b.Min.Finite() && b.Max.Finite() }

// Add returns the smallest box that holds b and p.
func (b Box) Add(p Point) Box {
	b.Min.X, b.Min.Y = min(b.Min.X, p.X), min(b.Min.Y, p.Y)
	b.Max.X, b.Max.Y = max(b.Max.X, p.X), max(b.Max.Y, p.Y)
	return b
}

// Union returns the smallest box that holds b and c.
func (b Box) Union(c Box) Box {
	b.Min.X, b.Min.Y = min(b.Min.X, c.Min.X), min(b.Min.Y, c.Min.Y)
	b.Max.X, b.Max.Y = max(b.Max.X, c.Max.X), max(b.Max.Y, c.Max.Y)
	return b
}

// Inflate returns the box grown by d on every side.
func (b Box) Inflate(d float64) Box {
	return Box{Point{b.Min.X - d, b.Min.Y - d}, Point{b.Max.X + d, b.Max.Y + d}}
}

// Overlaps reports whether the boxes share a point; touching counts.
func (b Box) Overlaps(c Box) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// Contains reports whether p lies in the box or on its edge.
func (b Box) Contains(p Point) bool {
	return b.Min.X <= p.X && p.X <= b.Max.X && b.Min.Y <= p.Y && p.Y <= b.Max.Y
}

// ContainsBox reports whether c lies wholly in b.
func (b Box) ContainsBox(c Box) bool {
	return b.Min.X <= c.Min.X && c.Max.X <= b.Max.X && b.Min.Y <= c.Min.Y && c.Max.Y <= b.Max.Y
}

// W returns the width of the box along x.
func (b Box) W() float64 { return b.Max.X - b.Min.X }

// H returns the height of the box along y.
func (b Box) H() float64 { return b.Max.Y - b.Min.Y }

// Center returns the middle of the box.
func (b Box) Center() Point { return b.Min.Mid(b.Max) }

// Diagonal returns the distance between opposite corners.
func (b Box) Diagonal() float64 { return b.Min.Dist(b.Max) }

// Within reports whether the boxes come within d of each other along x and along
// y, which is quickly told and no further than d root 2.
func (b Box) Within(c Box, d float64) bool {
	return c.Min.X-b.Max.X <= d && b.Min.X-c.Max.X <= d && c.Min.Y-b.Max.Y <= d && b.Min.Y-c.Max.Y <= d
}

// PointDist2 returns the square of the distance from q to the box, 0 inside.
func (b Box) PointDist2(q Point) float64 {
	dx := max(0, b.Min.X-q.X, q.X-b.Max.X)
	dy := max(0, b.Min.Y-q.Y, q.Y-b.Max.Y)
	return dx*dx + dy*dy
}

// Dist returns the distance between the nearest points of the two boxes, 0
// where they overlap.
func (b Box) Dist(c Box) float64 {
	dx := max(0, max(c.Min.X-b.Max.X, b.Min.X-c.Max.X))
	dy := max(0, max(c.Min.Y-b.Max.Y, b.Min.Y-c.Max.Y))
	return math.Hypot(dx, dy)
}
