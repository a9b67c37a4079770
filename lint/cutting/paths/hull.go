package paths

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// hull is the convex hull about a piece that gets cut out, widened, or about a
// clamp zone.
type hull struct {
	pts   []geom.Point // counter-clockwise
	box   geom.Box
	shape geom.Path // the edge of the piece itself
	free  int32     // the piece is loose from this cut on
	clamp bool
}

// cornersOf returns the corners of a box, counter-clockwise.
func cornersOf(b geom.Box) []geom.Point {
	return []geom.Point{b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y)}
}

// beside reports whether one of two ends lies within the hull and none in the piece.
func (h *hull) beside(a, b geom.Point) bool {
	return (h.holds(a) || h.holds(b)) && !h.under(a) && !h.under(b)
}

// under reports whether the piece itself lies under q, not just its edge.
func (h *hull) under(q geom.Point) bool {
	if !h.shape.Contains(q) {
		return false
	}
	d, _ := h.shape.Dist(q)
	return d > 100*weld
}

// over reports whether the line from p to q passes over the piece itself.
func (h *hull) over(p, q geom.Point) bool {
	line := geom.Line(p, q)
	length := line.Length()
	if length < weld {
		return false
	}
	ts := []float64{0, 1}
	var at []geom.Cross
	for i := range h.shape {
		at = geom.Crossings(at[:0], &line, &h.shape[i], weld)
		for _, c := range at {
			ts = append(ts, c.T)
		}
	}
	slices.Sort(ts)
	for i := 1; i < len(ts); i++ {
		if (ts[i]-ts[i-1])*length > 100*weld && h.shape.Contains(line.At((ts[i]+ts[i-1])/2)) {
			return true
		}
	}
	return false
}

// holds reports whether q lies inside the hull, its edge left out.
func (h *hull) holds(q geom.Point) bool {
	if !h.box.Contains(q) {
		return false
	}
	for i, p := range h.pts {
		r := h.pts[(i+1)%len(h.pts)]
		if r.Sub(p).Cross(q.Sub(p)) <= 1e-9*r.Dist(p) {
			return false
		}
	}
	return true
}

// meets returns where the line from p to q enters the inside of the hull, as a
// share, by clipping it with the hull's sides.
func (h *hull) meets(p, q geom.Point) (float64, bool) {
	t0, t1 := 0.0, 1.0
	d := q.Sub(p)
	for i, a := range h.pts {
		e := h.pts[(i+1)%len(h.pts)].Sub(a).Unit()
		dist, step := e.Cross(p.Sub(a)), e.Cross(d) // inside is positive
		switch {
		case step == 0:
			if dist <= 1e-6 {
				return 0, false
			}
		case step > 0:
			t0 = max(t0, (1e-6-dist)/step)
		default:
			t1 = min(t1, (1e-6-dist)/step)
		}
		if t0 >= t1 {
			return 0, false
		}
	}
	return t0, true
}

// around returns the corners by which the shorter way around the hull goes from
// p to q, which lie outside it.
func (h *hull) around(p, q geom.Point) []geom.Point {
	ring := geom.Hull(append([]geom.Point{p, q}, h.pts...))
	n := len(ring)
	i, j := slices.Index(ring, p), slices.Index(ring, q)
	if i < 0 || j < 0 {
		// An end lies on the hull's edge, within rounding: go by the nearest corner.
		return h.byCorner(p, q)
	}
	ahead := func(from, to int) (pts []geom.Point, l float64) {
		for k := from; k != to; k = (k + 1) % n {
			l += ring[k].Dist(ring[(k+1)%n])
			if k != from {
				pts = append(pts, ring[k])
			}
		}
		return pts, l
	}
	one, l1 := ahead(i, j)
	two, l2 := ahead(j, i)
	if l1 <= l2 {
		return one
	}
	slices.Reverse(two)
	return two
}

// byCorner goes by the corner of the hull that makes the shortest way.
func (h *hull) byCorner(p, q geom.Point) []geom.Point {
	best := slices.MinFunc(h.pts, func(a, b geom.Point) int {
		return cmp.Compare(p.Dist(a)+a.Dist(q), p.Dist(b)+b.Dist(q))
	})
	if best == p || best == q {
		return nil
	}
	return []geom.Point{best}
}

// widened moves the corners of a convex shape outwards by at least d, with a
// corner for every 45 degrees.
func widened(pts []geom.Point, d float64) []geom.Point {
	if len(pts) < 3 {
		return nil
	}
	var out []geom.Point
	r := d / math.Cos(math.Pi/8)
	for _, p := range pts {
		for k := range 8 {
			out = append(out, geom.Polar(p, r, (float64(k)+0.5)*math.Pi/4))
		}
	}
	return geom.Hull(out)
}
