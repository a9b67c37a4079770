package paths

import (
	"math"

	"sluice/geom"
)

// apart returns the smallest distance between two pieces, 0 where they cross.
// It is taken at an end of one of them or on a common normal, which runs
// through the centre of every arc.
func apart(p, q *geom.Piece) float64 {
	var buf [2]geom.Cross
	if len(crossings(buf[:0], p, q)) > 0 {
		return 0
	}
	best := min(p.Dist(q.A), p.Dist(q.B), q.Dist(p.A), q.Dist(p.B))
	best = min(best, byCentre(p, q), byCentre(q, p))
	return best
}

// byCentre tries the points of p nearest to and farthest from the centre of q.
func byCentre(p, q *geom.Piece) float64 {
	if q.R == 0 {
		return math.Inf(1)
	}
	n, _ := p.Nearest(q.C)
	best := q.Dist(n)
	if p.R > 0 {
		if v := p.C.Sub(q.C); v != (geom.Point{}) && p.SweepsOver(v) {
			best = min(best, q.Dist(p.C.Add(v.Unit().Mul(p.R))))
		}
	}
	return best
}

// stretchOf returns the part of a path between two lengths along it; a closed
// path is followed over its start where to is beyond its length.
func stretchOf(p geom.Path, from, to float64) geom.Path {
	var out geom.Path
	at := 0.0
	for i := 0; at < to-weld && i < 2*len(p); i++ {
		q := p[i%len(p)]
		l := q.Length()
		a, b := max(from-at, 0), min(to-at, l)
		if l > 0 && b-a > weld {
			t0, t1 := a/l, b/l
			if a <= weld {
				t0 = 0
			}
			if l-b <= weld {
				t1 = 1
			}
			out = append(out, q.Sub(t0, t1))
		}
		at += l
	}
	for i := 1; i < len(out); i++ {
		out[i].A = out[i-1].B
	}
	return out
}

// whereOn returns the length along the path at which it comes nearest to q, and
// how near.
func whereOn(p geom.Path, q geom.Point) (at, dist float64) {
	dist = math.Inf(1)
	start := 0.0
	for i := range p {
		n, t := p[i].Nearest(q)
		l := p[i].Length()
		if d := n.Dist(q); d < dist {
			at, dist = start+t*l, d
		}
		start += l
	}
	return at, dist
}
