package assembly

import (
	"math"
	"slices"

	"sluice/geom/plate"
)

// taking takes a group apart. What is in the way of what, direction by direction, is a
// graph; what hangs together in it comes off together (R. H. Wilson and J.-C. Latombe,
// "Geometric reasoning about mechanical assembly", Artificial Intelligence 71, 1994, from
// memory). Backwards it is the order of assembly.
type taking struct {
	g    *group
	ways []plate.Vec
	hits []int8 // by way, part that moves and part that stays: 1 it is in the way, 2 it is not, 0 not known
	tols []float64
}

func newTaking(g *group) *taking {
	n := len(g.stands)
	t := &taking{g: g, tols: make([]float64, n*n)}
	add := func(v plate.Vec) {
		for _, sign := range [2]float64{1, -1} {
			d := rounded(v.Unit().Mul(sign))
			if len(t.ways) < mostWays && !slices.ContainsFunc(t.ways, func(w plate.Vec) bool { return w.Dot(d) > 0.99999 }) {
				t.ways = append(t.ways, d)
			}
		}
	}
	add(plate.Vec{0, 0, 1})   // from above first
	for i := range g.stands { // along its joints, and across the part
		s := &g.stands[i]
		for f := range g.m.shapes[s.shape].of {
			add(s.pose.Turn(g.m.shapes[s.shape].of[f].y))
			add(s.pose.Turn(g.m.shapes[s.shape].of[f].x))
		}
		add(s.pose.R[2])
	}
	t.hits = make([]int8, len(t.ways)*n*n)
	return t
}

// order returns the steps of assembly, and what cannot be put together.
func (t *taking) order() (steps []Step, trapped []Trapped) {
	all := make([]int, len(t.g.stands))
	for i := range all {
		all[i] = i
	}
	for {
		steps, stuck := t.apart(all)
		if len(stuck) == 0 {
			return steps, trapped
		}
		loop := t.least(stuck)
		trapped = append(trapped, loop)
		all = slices.DeleteFunc(all, func(i int) bool { return slices.Contains(loop.Parts, i) })
	}
}

// mostLoop is how many parts are tried one by one for whether a loop holds without them.
const mostLoop = 60

// least returns the fewest of parts that cannot be taken apart.
func (t *taking) least(stuck []int) Trapped {
	loop := slices.Clone(stuck)
	for _, i := range slices.Backward(stuck) {
		if len(stuck) > mostLoop {
			break
		}
		less := slices.DeleteFunc(slices.Clone(loop), func(k int) bool { return k == i })
		if _, s := t.apart(less); len(s) > 0 {
			loop = less
		}
	}
	return Trapped{Parts: loop}
}

// apart takes parts apart, one or a few that go together at a time, and returns it
// backwards; or what cannot be taken apart.
func (t *taking) apart(all []int) (steps []Step, stuck []int) {
	rest := slices.Clone(all)
	var off []Step
	for len(rest) > 1 {
		set, way, ok := t.next(rest)
		if !ok {
			return nil, rest
		}
		s := Step{Parts: set, Along: rounded(way.Mul(-1))}
		if len(set) > 1 {
			if s.With, stuck = t.apart(set); len(stuck) > 0 {
				return nil, stuck
			}
		}
		off = append(off, s)
		rest = slices.DeleteFunc(rest, func(i int) bool { return slices.Contains(set, i) })
	}
	if len(rest) == 1 {
		off = append(off, Step{Parts: rest, Along: plate.Vec{0, 0, -1}})
	}
	slices.Reverse(off)
	return off, nil
}

// next returns the fewest parts that can be moved out of the rest in one direction, of
// those alike the ones placed last.
func (t *taking) next(rest []int) (set []int, way plate.Vec, ok bool) {
	first := rest[0] // it stays, so that the order begins with it
	for _, i := range slices.Backward(rest[1:]) {
		for w := range t.ways {
			if t.free(w, i, rest) {
				return []int{i}, t.ways[w], true
			}
		}
	}
	for w := range t.ways {
		for _, i := range rest[1:] {
			c := t.closure(w, i, rest, len(set))
			if c != nil && !slices.Contains(c, first) && (set == nil || len(c) < len(set)) {
				set, way, ok = c, t.ways[w], true
			}
		}
	}
	slices.Sort(set)
	return set, way, ok
}

// free reports whether nothing of the rest is in part i's way.
func (t *taking) free(w, i int, rest []int) bool {
	for _, k := range rest {
		if k != i && t.blocked(w, i, k) {
			return false
		}
	}
	return true
}

// closure returns what must move along with part i in a direction: what is in its way,
// and what is in the way of that. It is nil where that is all of the rest, or not fewer
// than known already.
func (t *taking) closure(w, i int, rest []int, known int) []int {
	in := make([]bool, len(t.g.stands))
	in[i] = true
	set := []int{i}
	for n := 0; n < len(set); n++ {
		for _, o := range rest {
			if !in[o] && t.blocked(w, set[n], o) {
				in[o] = true
				set = append(set, o)
			}
		}
		if len(set) == len(rest) || known > 0 && len(set) >= known {
			return nil
		}
	}
	return set
}

// mostWays is in how many directions a kit is taken apart at most.
const mostWays = 48

// tolerance is how far, mm, parts may be in each other as they move; where rounded corners
// scrape already when they are in place, it is scraping of the thickness.
const (
	tolerance = 0.05
	scraping  = 0.15
)

// blocked reports whether part k is in the way of part i as that moves off.
func (t *taking) blocked(w, i, k int) bool {
	n := len(t.g.stands)
	at := (w*n+i)*n + k
	if h := t.hits[at]; h != 0 {
		return h == 1
	}
	a, b := &t.g.stands[i], &t.g.stands[k]
	hit := sweeps(a, b, t.ways[w]) &&
		plate.Blocks(t.g.m.shapes[a.shape].plate, a.pose, t.g.m.shapes[b.shape].plate, b.pose, t.ways[w], t.tol(i, k))
	t.hits[at] = 2
	if hit {
		t.hits[at] = 1
	}
	return hit
}

// tol returns by how much two parts may be in each other, mm.
func (t *taking) tol(i, k int) float64 {
	n := len(t.g.stands)
	i, k = min(i, k), max(i, k)
	if v := t.tols[i*n+k]; v > 0 {
		return v
	}
	a, b := &t.g.stands[i], &t.g.stands[k]
	v := tolerance
	if !apart(a.lo, a.hi, b.lo, b.hi) {
		switch in := t.g.m.overlap(a.shape, a.pose, b.shape, b.pose); {
		case in > t.g.m.scrapes(1): // told as a clash: filed off, they go past each other
			v = little * t.thinner(a, b)
		case in > 0.01:
			v = max(v, scraping*t.thinner(a, b))
		}
	}
	t.tols[i*n+k] = v
	return v
}

// thinner returns how thick the thinner of two parts is, mm.
func (t *taking) thinner(a, b *stand) float64 {
	return min(t.g.m.shapes[a.shape].plate.Thickness, t.g.m.shapes[b.shape].plate.Thickness)
}

// sweeps reports whether the box of one part may meet that of another as it moves off.
func sweeps(a, b *stand, d plate.Vec) bool {
	for k := range 3 {
		if d[k] < 1e-9 && b.lo[k] >= a.hi[k]-1e-9 || d[k] > -1e-9 && b.hi[k] <= a.lo[k]+1e-9 {
			return false
		}
	}
	return true
}

// rounded keeps the noise of reckoning out of directions.
func rounded(v plate.Vec) plate.Vec {
	for i := range v {
		v[i] = math.Round(v[i]*1e9)/1e9 + 0
	}
	return v
}
