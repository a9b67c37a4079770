// Package nofit answers, for two polygons, at which displacements they come
// nearer than a clearance, how deep, and which way out is shortest.
//
// The displacements of B against A at which the two overlap are the Minkowski
// sum of A and -B, the no-fit polygon (Art 1966; Burke and others 2007 survey
// ways to build it; from memory). It is kept here as the union of the sums of
// the convex pieces of both, each an intersection of half planes, which needs no
// polygon clipping. The clearance moves the half planes outwards; corners
// sharper than 40 degrees get further half planes around the rounding circle, so
// that the clearance is passed by 6.4 % at most, never undercut.
package nofit

import (
	"math"

	"sluice/fix/layout/region"
	"sluice/geom"
)

// plane is the half plane n.x <= d.
type plane struct{ nx, ny, d float64 }

// piece is a convex set of displacements.
type piece struct {
	box    geom.Box
	lo, hi int32 // its planes
}

// bevel is the largest turn (radians) left between neighbouring half planes.
const bevel = 40 * math.Pi / 180

// sum returns the Minkowski sum of the convex rings a and -b, counter-clockwise.
func sum(a, b region.Ring) region.Ring {
	neg := make(region.Ring, len(b))
	for i, p := range b {
		neg[i] = p.Mul(-1)
	}
	i0, j0 := lowest(a), lowest(neg)
	n, m := len(a), len(neg)
	out := make(region.Ring, 0, n+m)
	p := a[i0].Add(neg[j0])
	for i, j := 0, 0; i < n || j < m; {
		out = append(out, p)
		u := a[(i0+i+1)%n].Sub(a[(i0+i)%n])
		v := neg[(j0+j+1)%m].Sub(neg[(j0+j)%m])
		var c float64
		switch {
		case i == n:
			c = -1
		case j == m:
			c = 1
		default:
			c = u.Cross(v)
			// Nearly parallel sides are run together.
			if math.Abs(c) <= 1e-12*u.Norm()*v.Norm() && u.Dot(v) > 0 {
				c = 0
			} else if c == 0 {
				c = 1
			}
		}
		if c >= 0 && i < n {
			i++
		}
		if c <= 0 && j < m {
			j++
		}
		p = a[(i0+i)%n].Add(neg[(j0+j)%m])
	}
	return out
}

// lowest returns the index of the lowest, of several the leftmost, corner.
func lowest(r region.Ring) int {
	k := 0
	for i, p := range r {
		if p.Y < r[k].Y || p.Y == r[k].Y && p.X < r[k].X {
			k = i
		}
	}
	return k
}

// planes appends the half planes of a convex ring grown by clear and skin.
func planes(dst []plane, r region.Ring, clear, skin float64) []plane {
	n := len(r)
	out := clear + skin
	var prev geom.Point
	for k := n - 1; k >= 0 && prev == (geom.Point{}); k-- {
		prev = outer(r[k], r[(k+1)%n])
	}
	for i := range r {
		nrm := outer(r[i], r[(i+1)%n])
		if nrm == (geom.Point{}) {
			continue
		}
		if t := geom.TurnTo(prev, nrm); clear > 0 && t > bevel {
			parts := math.Ceil(t / bevel)
			for k := 1.0; k < parts; k++ {
				v := prev.Rotate(t * k / parts)
				dst = append(dst, plane{v.X, v.Y, v.Dot(r[i]) + out})
			}
		}
		dst = append(dst, plane{nrm.X, nrm.Y, max(nrm.Dot(r[i]), nrm.Dot(r[(i+1)%n])) + out})
		prev = nrm
	}
	return dst
}

// outer is the unit normal to the right of a-b, away from a counter-clockwise
// ring; zero for a side of no length.
func outer(a, b geom.Point) geom.Point {
	u := b.Sub(a).Unit()
	return geom.Point{X: u.Y, Y: -u.X}
}
