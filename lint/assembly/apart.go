package assembly

import (
	"math"
	"slices"

	"sluice/geom/plate"
)

// taking takes a group apart.
type taking struct {
	g    *group
	ways []plate.Vec
	hits map[[3]int]bool // way, part that moves, part that stays: it is in the way
	cut  map[[2]int]float64
}

func newTaking(g *group) *taking {
	t := &taking{g: g, hits: map[[3]int]bool{}, cut: map[[2]int]float64{}}
	add := func(v plate.Vec) {
		for _, sign := range [2]float64{1, -1} {
			d := rounded(v.Unit().Mul(sign))
			if len(t.ways) < mostWays && !slices.ContainsFunc(t.ways, func(w plate.Vec) bool { return w.Dot(d) > 0.99999 }) {
				t.ways = append(t.ways, d)
			}
		}
	}
	for i := range g.stands { // along its joints, and across the part
		s := &g.stands[i]
		for f := range g.m.shapes[s.shape].of {
			add(s.pose.Turn(g.m.shapes[s.shape].of[f].y))
			add(s.pose.Turn(g.m.shapes[s.shape].of[f].x))
		}
		add(s.pose.R[2])
	}
	return t
}

// order returns the steps of assembly, and what cannot be put together.
func (t *taking) order() (steps []Step, trapped []Trapped) {
	all := make([]int, len(t.g.stands))
	for i := range all {
		all[i] = i
	}
	steps, trapped = t.apart(all)
	return steps, trapped
}

// apart takes parts apart, one or a few that go together at a time, and returns it
// backwards.
func (t *taking) apart(all []int) (steps []Step, trapped []Trapped) {
	rest := slices.Clone(all)
	var off []Step
	for len(rest) > 1 {
		set, way, ok := t.next(rest)
		if !ok {
			trapped = append(trapped, Trapped{slices.Clone(rest)})
			rest = nil
			break
		}
		s := Step{Parts: set, Along: rounded(way.Mul(-1))}
		if len(set) > 1 {
			inner, stuck := t.apart(set)
			s.With = inner
			trapped = append(trapped, stuck...)
		}
		off = append(off, s)
		rest = slices.DeleteFunc(rest, func(i int) bool { return slices.Contains(set, i) })
	}
	if len(rest) == 1 {
		off = append(off, Step{Parts: rest, Along: plate.Vec{0, 0, -1}})
	}
	slices.Reverse(off)
	return off, trapped
}

// next returns the fewest parts that can be moved out of the rest in one direction, of
// those alike the ones placed last.
func (t *taking) next(rest []int) (set []int, way plate.Vec, ok bool) {
	first := rest[0] // it stays, so that the order begins with it
	for w := range t.ways {
		for n := len(rest) - 1; n >= 0; n-- {
			i := rest[n]
			if len(set) == 1 && slices.Index(rest, set[0]) >= n {
				break
			}
			if i == first {
				continue
			}
			if t.free(w, i, rest) {
				set, way, ok = []int{i}, t.ways[w], true
				break
			}
		}
	}
	if ok {
		return set, way, true
	}
	for w := range t.ways {
		for _, i := range rest {
			c := t.closure(w, i, rest)
			if len(c) < len(rest) && !slices.Contains(c, first) && (set == nil || len(c) < len(set)) {
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
// and what is in the way of that.
func (t *taking) closure(w, i int, rest []int) []int {
	in := map[int]bool{i: true}
	todo := []int{i}
	for len(todo) > 0 {
		k := todo[0]
		todo = todo[1:]
		for _, o := range rest {
			if !in[o] && t.blocked(w, k, o) {
				in[o] = true
				todo = append(todo, o)
			}
		}
	}
	set := make([]int, 0, len(in))
	for k := range in {
		set = append(set, k)
	}
	slices.Sort(set)
	return set
}

// mostWays is in how many directions a kit is taken apart at most.
const mostWays = 48

// tolerance is how far, mm, parts may scrape each other as they move.
const tolerance = 0.05

// blocked reports whether part k is in the way of part i as that moves off.
func (t *taking) blocked(w, i, k int) bool {
	key := [3]int{w, i, k}
	if hit, known := t.hits[key]; known {
		return hit
	}
	a, b := &t.g.stands[i], &t.g.stands[k]
	pa, pb := t.g.m.shapes[a.shape].plate, t.g.m.shapes[b.shape].plate
	d := t.ways[w]
	pair := [2]int{min(i, k), max(i, k)}
	rests, known := t.cut[pair]
	if !known {
		rests = plate.Overlap(pa, a.pose, pb, b.pose)
		t.cut[pair] = rests
	}
	step := t.g.m.t * 0.45
	hit := false
	for s := min(step, 0.6); ; s += step {
		by := d.Mul(s)
		lo, hi := a.lo.Add(by), a.hi.Add(by)
		if past(lo, hi, b.lo, b.hi, d) {
			break
		}
		if apart(lo, hi, b.lo, b.hi) {
			continue
		}
		pose := a.pose
		pose.T = pose.T.Add(by)
		if plate.Overlap(pa, pose, pb, b.pose) > rests+clash+scrape(a, b) {
			hit = true
			break
		}
	}
	t.hits[key] = hit
	return hit
}

// scrape is the volume, mm3, by which two parts may be in each other as they slide.
func scrape(a, b *stand) float64 {
	size := func(s *stand) float64 { return s.hi.Sub(s.lo).Norm() }
	return tolerance * min(size(a), size(b))
}

// past reports whether a box that moves along d can meet another no more.
func past(alo, ahi, blo, bhi, d plate.Vec) bool {
	for k := range 3 {
		if d[k] > 1e-9 && alo[k] >= bhi[k] || d[k] < -1e-9 && ahi[k] <= blo[k] {
			return true
		}
		if math.Abs(d[k]) <= 1e-9 && (alo[k] >= bhi[k]-1e-9 || blo[k] >= ahi[k]-1e-9) {
			return true // beside it all the way
		}
	}
	return false
}
