package paths

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// tour is an order being worked on.
type tour struct {
	stops  []Stop
	order  []int32
	pos    []int32   // where each stop stands in order
	group  [][]int32 // by group: its stops
	inside [][]int32 // by group: those that must come before it
	near   [][]int32 // by stop: those whose starts are near its end, and the other way round
	steps  int       // work left, in distances looked at
}

// Bounds of the search.
const (
	nearCount  = 8      // neighbours tried for each stop
	runLimit   = 3      // stops moved at once
	turnLimit  = 1000   // longest stretch turned round
	stepsPer   = 20_000 // distances looked at for each stop,
	mostSteps  = 60_000_000
	shakeUpTo  = 3000 // stops up to which the order is shaken up
	shakeTimes = 30   // shake-ups for each stop
)

func newTour(stops []Stop) *tour {
	n := len(stops)
	stops = slices.Clone(stops)
	for i := range stops { // a place that is none must not upset the others
		if !stops[i].Start.Finite() || !stops[i].End.Finite() {
			stops[i].Start, stops[i].End = geom.Point{}, geom.Point{}
		}
	}
	t := &tour{stops: stops, pos: make([]int32, n), steps: min(stepsPer*n, mostSteps)}
	groups := int32(0)
	for i := range stops {
		groups = max(groups, stops[i].Group+1, stops[i].Before+1)
	}
	t.group, t.inside = make([][]int32, groups), make([][]int32, groups)
	for i := range stops {
		if g := stops[i].Group; g >= 0 {
			t.group[g] = append(t.group[g], int32(i))
		}
	}
	for i := range stops {
		b := stops[i].Before
		if b < 0 {
			continue
		}
		if b == stops[i].Group || slices.ContainsFunc(t.group[b], func(k int32) bool { return stops[k].Stage < stops[i].Stage }) {
			stops[i].Before = -1
			continue
		}
		t.inside[b] = append(t.inside[b], int32(i))
	}
	return t
}

// after returns the stops that must come after stop x.
func (t *tour) after(x int32) []int32 {
	if b := t.stops[x].Before; b >= 0 {
		return t.group[b]
	}
	return nil
}

// ahead returns the stops that must come before stop x.
func (t *tour) ahead(x int32) []int32 {
	if g := t.stops[x].Group; g >= 0 {
		return t.inside[g]
	}
	return nil
}

// within reports whether any of the stops stands at a position in [lo, hi).
func (t *tour) within(stops []int32, lo, hi int) bool {
	for _, k := range stops {
		if p := int(t.pos[k]); p >= lo && p < hi {
			return true
		}
	}
	return false
}

// way is the distance from the end of stop a to the start of stop b, 0 where
// one of them is -1: before the first and after the last stop.
func (t *tour) way(a, b int32) float64 {
	if a < 0 || b < 0 {
		return 0
	}
	t.steps--
	return t.stops[a].End.Dist(t.stops[b].Start)
}

func (t *tour) at(i int) int32 {
	if i < 0 || i >= len(t.order) {
		return -1
	}
	return t.order[i]
}

// greedy goes from each stop to the nearest that may come next.
func (t *tour) greedy() {
	n := len(t.stops)
	byStage := map[int][]int32{}
	var stages []int
	for i := range t.stops {
		s := t.stops[i].Stage
		if byStage[s] == nil {
			stages = append(stages, s)
		}
		byStage[s] = append(byStage[s], int32(i))
	}
	slices.Sort(stages)
	waiting := make([]int, len(t.inside)) // by group
	for i := range t.inside {
		waiting[i] = len(t.inside[i])
	}
	t.near = make([][]int32, n)
	var here geom.Point
	started := false
	for _, s := range stages {
		list := byStage[s]
		starts := newBuckets(list, func(i int32) geom.Point { return t.stops[i].Start })
		for _, i := range list {
			t.near[i] = starts.nearest(t.stops[i].End, nearCount, func(k int32) bool { return k != i })
		}
		if !started {
			here, started = starts.corner, true
		}
		for range list {
			next := starts.nearest(here, 1, func(k int32) bool { g := t.stops[k].Group; return g < 0 || waiting[g] == 0 })
			if len(next) == 0 { // what must come before what runs in a circle
				next = starts.nearest(here, 1, func(int32) bool { return true })
			}
			k := next[0]
			starts.remove(k)
			if b := t.stops[k].Before; b >= 0 {
				waiting[b]--
			}
			t.pos[k] = int32(len(t.order))
			t.order = append(t.order, k)
			here = t.stops[k].End
		}
	}
}

// improve makes moves that shorten the way until none does or the work allowed
// is done.
func (t *tour) improve() {
	queue := slices.Clone(t.order)
	queued := make([]bool, len(t.stops))
	for i := range queued {
		queued[i] = true
	}
	t.drain(queue, queued)
}

func (t *tour) drain(queue []int32, queued []bool) {
	for len(queue) > 0 && t.steps > 0 {
		c := queue[0]
		queue = queue[1:]
		queued[c] = false
		for t.steps > 0 {
			lo, hi, ok := t.moveFrom(c)
			if !ok {
				break
			}
			for _, i := range [...]int{lo - 1, lo, lo + 1, hi - 1, hi, hi + 1} {
				if k := t.at(i); k >= 0 && !queued[k] {
					queued[k] = true
					queue = append(queue, k)
				}
			}
		}
	}
}

// moveFrom tries to shorten the way after stop c by making one of its neighbours
// follow it. It returns the stretch of positions that changed.
func (t *tour) moveFrom(c int32) (lo, hi int, ok bool) {
	for _, k := range t.near[c] {
		i, j := int(t.pos[c]), int(t.pos[k])
		if j == i+1 {
			continue
		}
		if lo, hi, ok = t.bring(i, j); ok {
			return lo, hi, true
		}
		// Reversing what lies between makes k follow c, at either end.
		if i < j && (t.turn(i+1, j+1) || t.turn(i, j)) {
			return i, j + 1, true
		}
	}
	return 0, 0, false
}

// least is how much a move must save, mm.
const least = 1e-6

// bring moves the run of up to runLimit stops that begins at j to behind i, or
// the run that ends at i to before j.
func (t *tour) bring(i, j int) (int, int, bool) {
	for n := 1; n <= runLimit; n++ {
		if j+n <= len(t.order) && (i < j || i >= j+n) && t.shift(j, j+n, i+1) {
			return min(i, j), max(i, j+n), true
		}
		if i-n+1 >= 0 && (j > i || j < i-n+1) && t.shift(i-n+1, i+1, j) {
			return min(i-n, j), max(i, j), true
		}
	}
	return 0, 0, false
}

// shift moves the stops [a, b) to before the position to, which lies outside, if
// that is allowed and saves way.
func (t *tour) shift(a, b, to int) bool {
	if to >= a && to <= b {
		return false
	}
	first, last := t.order[a], t.order[b-1]
	before, after := t.at(a-1), t.at(b)
	l, r := t.at(to-1), t.at(to)
	gain := t.way(before, first) + t.way(last, after) + t.way(l, r) -
		t.way(before, after) - t.way(l, first) - t.way(last, r)
	if gain <= least {
		return false
	}
	lo, hi := min(a, to), max(b, to)
	if t.stops[t.order[lo]].Stage != t.stops[t.order[hi-1]].Stage {
		return false
	}
	for k := a; k < b; k++ {
		x := t.order[k]
		if to >= b && t.within(t.after(x), b, to) || to < a && t.within(t.ahead(x), to, a) {
			return false
		}
	}
	if to >= b {
		rotate(t.order[a:to], b-a)
	} else {
		rotate(t.order[to:b], a-to)
	}
	t.renumber(lo, hi)
	return true
}

// rotate moves the first k of a list to its end.
func rotate(s []int32, k int) {
	slices.Reverse(s[:k])
	slices.Reverse(s[k:])
	slices.Reverse(s)
}

func (t *tour) renumber(lo, hi int) {
	for i := lo; i < hi; i++ {
		t.pos[t.order[i]] = int32(i)
	}
}

// turn reverses the order of the stops [a, b) if that is allowed and saves way.
// Starts and ends differ, so the ways within are counted anew.
func (t *tour) turn(a, b int) bool {
	if b-a < 2 || b-a > turnLimit || t.stops[t.order[a]].Stage != t.stops[t.order[b-1]].Stage {
		return false
	}
	before, after := t.at(a-1), t.at(b)
	first, last := t.order[a], t.order[b-1]
	gain := t.way(before, first) + t.way(last, after) - t.way(before, last) - t.way(first, after)
	if gain <= least {
		return false
	}
	for k := a; k+1 < b; k++ {
		gain += t.way(t.order[k], t.order[k+1]) - t.way(t.order[k+1], t.order[k])
	}
	if gain <= least {
		return false
	}
	for k := a; k < b; k++ {
		if t.within(t.after(t.order[k]), a, b) {
			return false
		}
	}
	slices.Reverse(t.order[a:b])
	t.renumber(a, b)
	return true
}

// shake moves short stretches at places chosen by a fixed rule, improves again
// and goes back where that did not help.
func (t *tour) shake() {
	n := len(t.order)
	if n < 8 || n > shakeUpTo {
		return
	}
	seed := uint64(n)
	next := func(m int) int { // a linear congruential step (Knuth's MMIX constants, from memory)
		seed = seed*6364136223846793005 + 1442695040888963407
		return int((seed >> 33) % uint64(m))
	}
	best := TravelOf(t.stops, t.order)
	kept := slices.Clone(t.order)
	queued := make([]bool, n)
	for range shakeTimes * n {
		if t.steps <= 0 {
			break
		}
		// Exchange two neighbouring stretches, [a,b) and [b,c).
		a := next(n - 2)
		b := a + 1 + next(min(30, n-a-2))
		c := b + 1 + next(min(30, n-b))
		if !t.exchange(a, b, c) {
			continue
		}
		var queue []int32
		for _, i := range [...]int{a - 1, a, a + c - b - 1, a + c - b, c - 1, c} {
			if k := t.at(i); k >= 0 && !queued[k] {
				queued[k] = true
				queue = append(queue, k)
			}
		}
		t.drain(queue, queued)
		if l := TravelOf(t.stops, t.order); l < best-least {
			best = l
			copy(kept, t.order)
		} else {
			copy(t.order, kept)
			t.renumber(0, n)
		}
		clear(queued)
		t.steps -= n / 4
	}
	copy(t.order, kept)
	t.renumber(0, n)
}

// exchange swaps the stretches [a,b) and [b,c) where that is allowed.
func (t *tour) exchange(a, b, c int) bool {
	if t.stops[t.order[a]].Stage != t.stops[t.order[c-1]].Stage {
		return false
	}
	for k := a; k < b; k++ {
		if t.within(t.after(t.order[k]), b, c) {
			return false
		}
	}
	rotate(t.order[a:c], b-a)
	t.renumber(a, c)
	return true
}

// buckets finds the nearest of a set of points that shrinks.
type buckets struct {
	point  func(int32) geom.Point
	corner geom.Point // the lower left of all
	size   float64
	nx, ny int
	cell   [][]int32
}

func newBuckets(list []int32, point func(int32) geom.Point) *buckets {
	box := geom.NoBox()
	for _, i := range list {
		box = box.Add(point(i))
	}
	n := float64(len(list))
	size := max(math.Sqrt(box.W()*box.H()/n), box.Diagonal()/n, 1e-9)
	b := &buckets{point: point, corner: box.Min, size: size, nx: int(box.W()/size) + 1, ny: int(box.H()/size) + 1}
	b.cell = make([][]int32, b.nx*b.ny)
	for _, i := range list {
		k := b.of(point(i))
		b.cell[k] = append(b.cell[k], i)
	}
	return b
}

func (b *buckets) col(p geom.Point) int {
	return int(min(max((p.X-b.corner.X)/b.size, 0), float64(b.nx-1)))
}

func (b *buckets) row(p geom.Point) int {
	return int(min(max((p.Y-b.corner.Y)/b.size, 0), float64(b.ny-1)))
}

func (b *buckets) of(p geom.Point) int { return b.row(p)*b.nx + b.col(p) }

func (b *buckets) remove(i int32) {
	c := &b.cell[b.of(b.point(i))]
	k := slices.Index(*c, i)
	*c = slices.Delete(*c, k, k+1)
}

// nearest returns up to n of those wanted, nearest first.
func (b *buckets) nearest(q geom.Point, n int, want func(int32) bool) []int32 {
	type found struct {
		k int32
		d float64
	}
	var best []found
	cx, cy := b.col(q), b.row(q)
	for ring := range max(b.nx, b.ny) {
		if len(best) == n && best[n-1].d <= float64(ring-1)*b.size {
			break
		}
		for y := cy - ring; y <= cy+ring; y++ {
			if y < 0 || y >= b.ny {
				continue
			}
			step := 1
			if y != cy-ring && y != cy+ring {
				step = max(1, 2*ring)
			}
			for x := cx - ring; x <= cx+ring; x += step {
				if x < 0 || x >= b.nx {
					continue
				}
				for _, k := range b.cell[y*b.nx+x] {
					d := b.point(k).Dist(q)
					if len(best) == n && d >= best[n-1].d || !want(k) {
						continue
					}
					best = append(best, found{k, d})
					slices.SortFunc(best, func(x, y found) int { return cmp.Or(cmp.Compare(x.d, y.d), cmp.Compare(x.k, y.k)) })
					best = best[:min(len(best), n)]
				}
			}
		}
	}
	out := make([]int32, len(best))
	for i := range best {
		out[i] = best[i].k
	}
	return out
}
