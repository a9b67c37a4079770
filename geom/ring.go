package geom

import (
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/simplify"
)

// Ring returns a closed path as a flattened ring, for measures and pictures that
// polygons are good enough for. No chord strays further than tol (mm) from it.
func (p Path) Ring(tol float64) orb.Ring {
	pts := p.Flatten(tol)
	if len(pts) == 0 {
		return nil
	}
	ring := make(orb.Ring, 0, len(pts))
	for _, q := range pts {
		ring = append(ring, orb.Point{q.X, q.Y})
	}
	ring[len(ring)-1] = ring[0] // closed bit for bit
	return ring
}

// Outline returns a closed path as a ring with as few corners as a picture
// needs: within about tol (mm) of the path (Douglas and Peucker's method).
func (p Path) Outline(tol float64) orb.Ring {
	ring := p.Ring(tol / 2)
	if len(ring) < 5 {
		return ring
	}
	// The simplified ring keeps its ends, so that a ring is cut at the far corner
	// to keep both halves.
	far := 0
	for i := range ring {
		if d := func(q orb.Point) float64 { return Pt(q[0], q[1]).Dist2(Pt(ring[0][0], ring[0][1])) }; d(ring[i]) > d(ring[far]) {
			far = i
		}
	}
	dp := simplify.DouglasPeucker(tol / 2)
	a := dp.LineString(orb.LineString(ring[:far+1]).Clone())
	b := dp.LineString(orb.LineString(ring[far:]).Clone())
	return append(orb.Ring(a), b[1:]...)
}
