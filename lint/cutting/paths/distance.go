package paths

import (
	"math"

	"sluice/geom"
)

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
