package kit

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// comb is the notches along one line of a part: as many other parts cross it.
type comb struct {
	part    int32
	notches []int // indices in Joints, along the line
	pos     []float64
	class   int
	color   int
}

// manyCombs bounds the combs that are sorted into two directions: a drawing with
// more is no kit.
const manyCombs = 512

// laps matches notches: two parts with a notch each lap crosswise. Combs of one
// spacing stand side by side and do not cross; the way of sorting combs into two
// directions that matches most notches is taken.
func (m *matcher) laps() {
	cs := m.combs()
	if len(cs) == 0 || len(cs) > manyCombs {
		return
	}
	flush := m.mostlyFlush(cs)
	n := classCombs(cs, m.o.Near)
	best, bestN := []int(nil), -1
	try := func(color func(i int) int) {
		for i := range cs {
			cs[i].color = color(i)
		}
		if got := m.cross(cs, flush, false); got > bestN {
			bestN, best = got, make([]int, len(cs))
			for i := range cs {
				best[i] = cs[i].color
			}
		}
	}
	switch {
	case n == 1: // the same comb both ways
		k := len(cs[0].notches)
		for _, p := range []int{k, len(cs) / 2, (len(cs) + 1) / 2} {
			try(func(i int) int { return b2i(i < p) })
		}
	case n <= 10 && len(cs)<<n <= 1<<16:
		for bits := range 1 << (n - 1) {
			try(func(i int) int { return bits >> min(cs[i].class, 30) & 1 })
		}
	default: // many spacings: the commonest against the rest
		count := make([]int, n)
		for i := range cs {
			count[cs[i].class] += len(cs[i].notches)
		}
		for c := range min(n, 64) {
			try(func(i int) int { return b2i(cs[i].class == c) })
		}
		mean := 0.0
		for i := range cs {
			mean += float64(len(cs[i].notches)) / float64(len(cs))
		}
		try(func(i int) int { return b2i(float64(len(cs[i].notches)) > mean) })
	}
	for i := range cs {
		cs[i].color = best[i]
	}
	m.cross(cs, flush, true)
	if !flush {
		return // too little to go by: any sheet may stand in such a notch
	}
	for i := range cs {
		for _, j := range cs[i].notches {
			if !m.taken[j] {
				q := &m.k.Joints[j]
				m.loose = append(m.loose, Unmatched{Joint: j, Edge: -1, Part: q.Part, At: q.At, Length: q.Length})
			}
		}
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// combs gathers the notches of each part by the line they stand on.
func (m *matcher) combs() []comb {
	var cs []comb
	of := map[string]int{}
	for i := range m.k.Joints {
		j := &m.k.Joints[i]
		if j.Kind != Notch {
			continue
		}
		h := heading(j.Out) // one line may follow a curved edge: the direction alone counts
		key := fmt.Sprint(j.Part, h)
		c, ok := of[key]
		if !ok {
			c = len(cs)
			of[key] = c
			cs = append(cs, comb{part: j.Part})
		}
		cs[c].notches = append(cs[c].notches, i)
	}
	for i := range cs {
		out := m.k.Joints[cs[i].notches[0]].Out
		u := out.Left()
		slices.SortStableFunc(cs[i].notches, func(a, b int) int { return cmp.Compare(m.k.Joints[a].At.Dot(u), m.k.Joints[b].At.Dot(u)) })
		for _, n := range cs[i].notches {
			cs[i].pos = append(cs[i].pos, m.k.Joints[n].At.Dot(u))
		}
	}
	return cs
}

// seats reports whether two notches can lap: one is as deep as the other part
// is high behind its notch, so that the two are flush on a side.
func (m *matcher) seats(a, b *Joint) bool {
	tol := m.o.Near + lap*max(a.Depth, b.Depth)
	return (math.Abs(a.Width-b.Width) <= 2*sameWidth(a.Width)+lapWidth || m.k.thicknessOf(a.Width) != m.k.thicknessOf(b.Width)) &&
		(math.Abs(a.Depth-b.Behind) <= tol || math.Abs(b.Depth-a.Behind) <= tol)
}

// mostlyFlush reports whether half of the notches have a partner that they are flush
// with.
func (m *matcher) mostlyFlush(cs []comb) bool {
	all, ok := 0, 0
	for i := range cs {
		for _, a := range cs[i].notches {
			all++
			tries := 0
		search:
			for j := range cs {
				if cs[j].part == cs[i].part {
					continue
				}
				for _, b := range cs[j].notches {
					if m.seats(&m.k.Joints[a], &m.k.Joints[b]) {
						ok++
						break search
					}
					if tries++; tries > manyTries {
						break search
					}
				}
			}
		}
	}
	return 2*ok >= all && ok >= 2
}

// classCombs gives combs with notches at the same distances one class and
// returns the number of classes.
func classCombs(cs []comb, tol float64) int {
	var reps []int
	for i := range cs {
		cs[i].class = -1
		for c, r := range reps {
			if c > manyTries {
				break
			}
			if cs[i].sameSpacing(&cs[r], tol) {
				cs[i].class = c
				break
			}
		}
		if cs[i].class < 0 {
			cs[i].class = len(reps)
			reps = append(reps, i)
		}
	}
	return len(reps)
}

// sameSpacing reports whether two combs have the same spacing, either way round.
func (c *comb) sameSpacing(d *comb, tol float64) bool {
	n := len(c.pos)
	if n != len(d.pos) {
		return false
	}
	fwd, rev := true, true
	for i := range n {
		a := c.pos[i] - c.pos[0]
		fwd = fwd && math.Abs(a-(d.pos[i]-d.pos[0])) <= tol
		rev = rev && math.Abs(a-(d.pos[n-1]-d.pos[n-1-i])) <= tol
	}
	return fwd || rev
}

// cross matches the notches of combs of one direction with those of the other,
// each two combs at most once, those with most free notches first. It returns
// how many pairs it made; keep records them.
func (m *matcher) cross(cs []comb, flush, keep bool) int {
	free := make([][]int, len(cs))
	var rows, cols []int
	for i := range cs {
		free[i] = slices.Clone(cs[i].notches)
		if cs[i].color == 0 {
			rows = append(rows, i)
		} else {
			cols = append(cols, i)
		}
	}
	pairs := 0
	slices.SortStableFunc(rows, func(a, b int) int { return cmp.Compare(len(cs[b].notches), len(cs[a].notches)) })
	for _, r := range rows {
		// Gale and Ryser: give to those that want most.
		slices.SortStableFunc(cols, func(a, b int) int { return cmp.Compare(len(free[b]), len(free[a])) })
		for _, c := range cols {
			if len(free[r]) == 0 {
				break
			}
			if cs[c].part == cs[r].part {
				continue
			}
			x, y := m.seat(free[r], free[c], flush)
			if x < 0 {
				continue
			}
			a, b := free[r][x], free[c][y]
			free[r] = slices.Delete(free[r], x, x+1)
			free[c] = slices.Delete(free[c], y, y+1)
			pairs++
			if keep {
				ja, jb := &m.k.Joints[a], &m.k.Joints[b]
				m.taken[a], m.taken[b] = true, true
				certainty := byFlushLap
				if !flush {
					certainty = byLap
				}
				m.k.Pairs = append(m.k.Pairs, Pair{PartA: ja.Part, PartB: jb.Part, JointA: a, JointB: b, EdgeA: -1, EdgeB: -1, Certainty: certainty})
			}
		}
	}
	return pairs
}

// seat returns the first two notches, one of each list, that can lap.
func (m *matcher) seat(a, b []int, flush bool) (x, y int) {
	for x, i := range a {
		for y, j := range b {
			if !flush || m.seats(&m.k.Joints[i], &m.k.Joints[j]) {
				return x, y
			}
		}
	}
	return -1, -1
}
