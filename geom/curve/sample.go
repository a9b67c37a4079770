package curve

import (
	"math"

	"sluice/geom"
)

// sample is a point of a smooth stretch with what decides where arcs end.
type sample struct {
	pos
	p    geom.Point
	tan  geom.Point
	k    float64 // signed curvature, 1/mm
	s    float64 // length from the start of the stretch, mm
	turn float64 // angle turned through from the start
	m    float64 // error measure from the start, see measure
	jump float64 // change of curvature from the sample before, at a joint of segments
}

// intervals is how many parts of a segment are looked at first.
func intervals(deg int) int {
	switch {
	case deg == 1:
		return 1
	case deg == 2:
		return 4
	case deg == 3:
		return 6
	}
	return 2 * deg
}

// sampleRun returns samples of the segments from first to last (included), at
// least eight for each biarc that will be needed.
func (c *chain) sampleRun(first, last int, tol float64) []sample {
	n := intervals(c.deg)
	q := c.sampleWith(first, last, n, tol)
	for range 2 {
		need := q[len(q)-1].m / math.Cbrt(324*tol)
		f := math.Ceil(8 * need / float64(len(q)))
		if !(f > 1) {
			break
		}
		n *= int(min(f, 8))
		q = c.sampleWith(first, last, n, tol)
	}
	return q
}

func (c *chain) sampleWith(first, last, n int, tol float64) []sample {
	out := make([]sample, 0, (last-first+1)*(n+1))
	kmax := 100 / tol // a bend far below the tolerance is a corner
	for i := first; i <= last; i++ {
		b := c.segs[i]
		tiny := 1e-7 * b.size()
		at := func(t float64) sample {
			p, d, dd := b.jet(t)
			v := d.Norm()
			q := sample{pos: pos{i, t}, p: p}
			if v > tiny {
				q.tan = d.Mul(1 / v)
				q.k = max(-kmax, min(kmax, d.Cross(dd)/(v*v*v)))
			} else {
				q.tan = b.tangentAt(t)
				q.k = math.NaN()
			}
			return q
		}
		prev := at(0)
		mark := len(out)
		out = append(out, prev)
		for j := 1; j <= n; j++ {
			next := at(float64(j) / float64(n))
			out = refine(out, prev, next, at, 8)
			out = append(out, next)
			prev = next
		}
		// Where the curve stands still its curvature is its neighbour's.
		for j := mark; j < len(out); j++ {
			if math.IsNaN(out[j].k) {
				switch {
				case j > mark:
					out[j].k = out[j-1].k
				case j+1 < len(out) && !math.IsNaN(out[j+1].k):
					out[j].k = out[j+1].k
				default:
					out[j].k = 0
				}
			}
		}
	}
	measure(out)
	return out
}

// refine adds samples between a and b where the tangent turns fast.
func refine(out []sample, a, b sample, at func(float64) sample, depth int) []sample {
	if depth == 0 || a.tan.Dot(b.tan) > 0.92 { // 23 degrees
		return out
	}
	m := at((a.t + b.t) / 2)
	out = refine(out, a, m, at, depth-1)
	out = append(out, m)
	return refine(out, m, b, at, depth-1)
}

// measure fills in length, turn and error measure. A biarc of length h over a
// stretch of curvature slope k' has the error |k'| h^3 / 324; the measure adds
// (|k'|)^(1/3) per length, so that parts of equal measure have equal errors and
// a part of measure m has the error m^3 / 324. A jump of curvature between two
// segments counts half for each of its neighbours.
func measure(q []sample) {
	for i := 1; i < len(q); i++ {
		if q[i].seg != q[i-1].seg {
			q[i].jump = q[i].k - q[i-1].k
		}
	}
	for i := 1; i < len(q); i++ {
		h := q[i].p.Dist(q[i-1].p)
		q[i].s = q[i-1].s + h
		q[i].turn = q[i-1].turn + geom.TurnTo(q[i-1].tan, q[i].tan)
		dk := 0.0
		if q[i].seg == q[i-1].seg {
			dk = math.Abs(q[i].k-q[i-1].k) + math.Abs(q[i-1].jump)/2
			if i+1 < len(q) {
				dk += math.Abs(q[i+1].jump) / 2
			}
		}
		q[i].m = q[i-1].m + math.Cbrt(dk*h*h)
	}
	// A small share of plain length keeps the measure growing everywhere.
	n := len(q) - 1
	if q[n].s > 0 {
		f := 1e-3 * (q[n].m + 1e-3*math.Cbrt(q[n].s)) / q[n].s
		for i := range q {
			q[i].m += f * q[i].s
		}
	}
}
