package curve

import (
	"math"
)

// rounds is how often the ends of the biarcs are moved to even out their errors.
const rounds = 8

// balance covers a to b with as few biarcs as share the error evenly and
// returns nil, or returns places to cut it for another try. The first cut is at
// equal shares of the measure; then each section counts as the cube root of its
// own error, which makes up for curvature slopes that vary within it. Nothing in
// it depends on the direction of travel.
func (f *fitter) balance(a, b mark) []mark {
	need := min((b.m-a.m)/math.Cbrt(324*f.tol), 1e6)
	n := max(2, int(math.Ceil(0.8*need)))
	cuts := make([]float64, n+1) // as measure, from a.m to b.m
	for k := range cuts {
		cuts[k] = a.m + (b.m-a.m)*float64(k)/float64(n)
	}
	var parts []mark
	weight := make([]float64, n)
	for round := range rounds {
		if f.budget -= n; f.budget < 0 {
			break
		}
		parts = parts[:0]
		for _, m := range cuts[1:n] {
			parts = append(parts, f.markAt(a, b, m))
		}
		need, worst := 0.0, 0.0
		from := a
		for k := range n {
			to := b
			if k < n-1 {
				to = parts[k]
			}
			e := min(64, f.sampledOff(from, to)/f.tol)
			worst = max(worst, e)
			weight[k] = math.Cbrt(max(e, 1e-3))
			need += weight[k]
			from = to
		}
		if worst <= 1 && f.cover(a, b, parts) {
			return nil
		}
		more := max(2, int(math.Ceil(need)))
		switch {
		case round < 2:
		case round < 4:
			more = max(more, n)
		default:
			more = max(more, n+max(1, n/16))
		}
		// Half way to the even cut: errors do not follow a cut exactly.
		mean := need / float64(n)
		for k := range weight {
			weight[k] = math.Sqrt(weight[k] * mean)
		}
		cuts = recut(cuts, weight, more)
		n = more
		weight = append(weight[:0], make([]float64, n)...)
	}
	parts = parts[:0]
	for _, m := range cuts[1:n] {
		parts = append(parts, f.markAt(a, b, m))
	}
	return parts
}

// recut returns n+1 places so that the weights of the sections between the old
// ones are shared evenly.
func recut(cuts, weight []float64, n int) []float64 {
	var sum float64
	for _, w := range weight {
		sum += w
	}
	out := make([]float64, n+1)
	out[0], out[n] = cuts[0], cuts[len(weight)]
	i, before := 0, 0.0
	for k := 1; k < n; k++ {
		want := sum * float64(k) / float64(n)
		for i < len(weight)-1 && before+weight[i] < want {
			before += weight[i]
			i++
		}
		x := min(1, (want-before)/weight[i])
		out[k] = cuts[i] + (cuts[i+1]-cuts[i])*x
	}
	return out
}

// cover covers a to b with a biarc per section, or leaves all as it was.
func (f *fitter) cover(a, b mark, parts []mark) bool {
	keep, dev := len(f.out), f.dev
	for k := range len(parts) + 1 {
		to := b
		if k < len(parts) {
			to = parts[k]
		}
		if !f.biarc(a, to) {
			f.out, f.dev = f.out[:keep], dev
			return false
		}
		a = to
	}
	return true
}

// sampledOff returns the largest distance of the samples between a and b from
// their biarc, infinite where there is none.
func (f *fitter) sampledOff(a, b mark) float64 {
	m, ok := f.newBiarc(a, b)
	if !ok {
		return math.Inf(1)
	}
	var off float64
	for i := a.next; i < b.next; i++ {
		r := &m.first
		if f.q[i].p.Sub(m.j).Dot(m.tj) >= 0 {
			r = &m.sec
		}
		off = max(off, math.Abs(r.off(f.q[i].p)))
	}
	return off
}

// markAt returns the mark between a and b where the measure is want.
func (f *fitter) markAt(a, b mark, want float64) mark {
	lo, hi := a.next, b.next // the first sample with m >= want is in (lo, hi]
	for lo < hi {
		if mid := (lo + hi) / 2; f.q[mid].m < want {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	q := f.q[lo]
	m := mark{pos: q.pos, next: lo, m: want, s: q.s}
	if lo > 0 {
		p := f.q[lo-1]
		if d := q.m - p.m; d > 0 && p.seg == q.seg {
			x := (want - p.m) / d
			m.t = p.t + (q.t-p.t)*x
			m.s = p.s + (q.s-p.s)*x
		}
	}
	// A sliver beside a joint of segments would be lost in rounding.
	if m.t > 1-1e-9 {
		m.t = 1
	} else if m.t < 1e-9 {
		m.t = 0
	}
	f.place(&m)
	return m
}

// place fills in point and tangent; at a joint of segments the tangent is the
// mean of both sides.
func (f *fitter) place(m *mark) {
	b := f.segs[m.seg]
	m.p, m.tan = b.at(m.t), b.tangentAt(m.t)
	last := f.q[len(f.q)-1].seg
	if m.t >= 1 && m.seg < last {
		m.tan = m.tan.Add(f.segs[m.seg+1].startTangent()).Unit()
	} else if m.t <= 0 && m.seg > f.q[0].seg {
		m.tan = m.tan.Add(f.segs[m.seg-1].endTangent()).Unit()
	}
}
