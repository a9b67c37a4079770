// Package region turns outlines of lines and arcs into polygons that hold them,
// and polygons into convex pieces.
//
// Every step adds material and never takes any away: a polygon made here covers
// its outline, so that two polygons that are clear of each other bound outlines
// that are. The amount added is an argument (mm).
//
//	convex arc: tangents outside it      concave arc: chords on its waste side
//	     /--\
//	    / () \                               \__/  waste above
package region

import (
	"math"
	"slices"

	"sluice/geom"
)

// Ring is a closed polygon without its first point repeated. Material lies to
// the left of the direction of travel.
type Ring []geom.Point

// Region is material: one outer ring, counter-clockwise, and holes, clockwise.
type Region struct {
	Outer Ring
	Holes []Ring
}

// Area returns the signed area, mm2, positive counter-clockwise.
func (r Ring) Area() float64 {
	if len(r) == 0 {
		return 0
	}
	var a float64
	o := r[0]
	for i := range r {
		a += r[i].Sub(o).Cross(r[(i+1)%len(r)].Sub(o))
	}
	return a / 2
}

// Box returns the smallest box that holds the ring.
func (r Ring) Box() geom.Box { return geom.BoxOf(r...) }

// Reverse returns the ring run the other way.
func (r Ring) Reverse() Ring {
	s := slices.Clone(r)
	slices.Reverse(s)
	return s
}

// Area returns the net area, mm2.
func (g *Region) Area() float64 {
	a := g.Outer.Area()
	for _, h := range g.Holes {
		a += h.Area()
	}
	return a
}

// Outward returns a polygon that covers the material to the left of a closed
// path: arcs that bulge outwards are replaced by tangents, arcs that bulge
// inwards by chords, each no further than tol (mm, above 0) from the arc.
func Outward(p geom.Path, tol float64) Ring {
	var r Ring
	for i := range p {
		q := &p[i]
		r = append(r, q.A)
		if q.R == 0 {
			continue
		}
		if q.Sweep < 0 {
			pts := q.Flatten(nil, tol)
			r = append(r, pts[:len(pts)-1]...)
			continue
		}
		// Tangents stand R (1/cos(step/2) - 1) off the arc.
		step := 2 * math.Acos(1/(1+tol/q.R))
		n := max(3, int(math.Ceil(q.Sweep/max(step, 1e-3))))
		if q.Sweep < math.Pi/2 {
			n = max(1, int(math.Ceil(q.Sweep/max(step, 1e-3))))
		}
		half := q.Sweep / float64(n) / 2
		for k := range n {
			v := q.A.Sub(q.C).Rotate(half * float64(2*k+1)).Mul(1 / math.Cos(half))
			r = append(r, q.C.Add(v))
		}
	}
	return clean(r)
}

// clean drops repeated points and points on a straight run.
func clean(r Ring) Ring {
	for changed := true; changed && len(r) >= 3; {
		changed = false
		out := r[:0:0]
		n := len(r)
		for i := range r {
			prev := r[(i+n-1)%n]
			if len(out) > 0 {
				prev = out[len(out)-1]
			}
			next := r[(i+1)%n]
			u, v := r[i].Sub(prev), next.Sub(r[i])
			if u == (geom.Point{}) || v == (geom.Point{}) || (u.Cross(v) == 0 && u.Dot(v) > 0) {
				changed = true
				continue
			}
			out = append(out, r[i])
		}
		r = out
	}
	return r
}

// Convex reports whether the ring turns left, or not at all, at every point.
func (r Ring) Convex() bool {
	n := len(r)
	for i := range r {
		if turn(r[(i+n-1)%n], r[i], r[(i+1)%n]) < 0 {
			return false
		}
	}
	return n >= 3
}

// turn is twice the area of the triangle a b c, positive to the left.
func turn(a, b, c geom.Point) float64 { return b.Sub(a).Cross(c.Sub(b)) }

// Width returns the least distance between two parallel lines that hold the
// points between them, mm (rotating calipers over the hull's sides).
func Width(pts []geom.Point) float64 {
	h := geom.Hull(pts)
	least := math.Inf(1)
	for i := range h {
		n := h[(i+1)%len(h)].Sub(h[i]).Unit().Left()
		far := 0.0
		for _, q := range h {
			far = max(far, q.Sub(h[i]).Dot(n))
		}
		least = min(least, far)
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}
