package search

import (
	"math"
	"slices"

	"sluice/geom"
)

// Weights of pairs that overlap grow by a factor between growLeast and growMost,
// by how deep they overlap; those of pairs that do not shrink by fade.
const (
	growLeast = 1.2
	growMost  = 2.0
	fade      = 0.95
)

// separate moves items until none overlap. It gives up after strikes rounds of
// patience passes each that do not lower the overlap by 2 %, or when the budget
// is spent; the pose is then the least overlapping one, and the overlap left is
// returned.
func (s *solver) separate(patience, strikes int) float64 {
	s.resetWeights()
	s.work += 64
	loss := s.collisions()
	if len(s.hits) == 0 {
		return 0
	}
	if s.relax(4 * patience) {
		return 0
	}
	best := s.pose.clone()
	least := loss
	tried := loss
	var order []int
	for strike := 0; strike < strikes; {
		before := least
		for idle := 0; idle < patience; {
			if s.spent() {
				s.adopt(best)
				return least
			}
			if s.met() {
				return least
			}
			order = s.offenders(order)
			for _, i := range order {
				s.move(i)
			}
			loss = s.collisions()
			if len(s.hits) == 0 {
				return 0
			}
			if loss < 0.7*tried {
				tried = loss
				if s.relax(4 * patience) {
					return 0
				}
			}
			if loss < least {
				if loss < 0.98*least {
					idle = 0
				}
				least = loss
				best.copyFrom(s.pose)
			} else {
				idle++
			}
			s.reweigh()
		}
		if least > 0.98*before {
			strike++
		}
		s.adopt(best)
		s.collisions()
	}
	return least
}

// offenders lists the items that overlap, in random order.
func (s *solver) offenders(dst []int) []int {
	dst = dst[:0]
	for _, h := range s.hits {
		dst = append(dst, int(h.i))
		if int(h.j) < s.n {
			dst = append(dst, int(h.j))
		}
	}
	slices.Sort(dst)
	dst = slices.Compact(dst)
	s.rng.Shuffle(len(dst), func(i, j int) { dst[i], dst[j] = dst[j], dst[i] })
	return dst
}

// reweigh raises the weights of the pairs that overlap and lets the others fade.
func (s *solver) reweigh() {
	var deepest float64
	for _, h := range s.hits {
		deepest = max(deepest, h.depth)
	}
	keep := s.raised[:0]
	for _, k := range s.raised {
		w := max(1, s.weight[k]*fade)
		i, j := k/s.all, k%s.all
		s.weight[k], s.weight[j*s.all+i] = w, w
		if w > 1 {
			keep = append(keep, k)
		}
	}
	s.raised = keep
	s.work += int64(len(s.raised))
	for _, h := range s.hits {
		a, b := int(h.i)*s.all+int(h.j), int(h.j)*s.all+int(h.i)
		if s.weight[a] <= 1 {
			s.raised = append(s.raised, a)
		}
		w := s.weight[a] / fade * float32(growLeast+(growMost-growLeast)*h.depth/deepest)
		w = min(w, 1e12)
		s.weight[a], s.weight[b] = w, w
	}
}

// shrinkTo shortens the room: items to the right of a cut move left by what is
// taken away.
func (s *solver) shrinkTo(length, cut float64) {
	d := s.length - length
	s.resize(length)
	for i := range s.n {
		if !s.live[i] {
			continue
		}
		b := s.t.orient[s.ori[i]].box
		if s.pos[i].X+b.Center().X > cut {
			s.pos[i].X -= d
		}
		s.keepIn(i)
	}
}

// keepIn moves an item into the room, turned otherwise if it does not fit as it
// lies.
func (s *solver) keepIn(i int) {
	o, at := s.ori[i], s.pos[i]
	r, ok := s.room(o)
	for k := 0; !ok && k < len(s.t.of[i]); k++ {
		o = s.t.of[i][k]
		r, ok = s.room(o)
	}
	if ok {
		at = geom.Pt(clamp(at.X, r.Min.X, r.Max.X), clamp(at.Y, r.Min.Y, r.Max.Y))
	}
	s.set(i, at, o)
}

// start places the items one after the other, largest first, each where it
// overlaps least with those that lie.
func (s *solver) start() {
	order := s.bySize()
	for i := range s.n {
		s.show(i, false)
	}
	for _, i := range order {
		s.show(i, true)
		s.drop(i)
	}
}

// drop puts item i at a random place and turn, then where it overlaps least.
func (s *solver) drop(i int) bool {
	turns := s.t.of[i]
	var fit []int32
	for _, o := range turns {
		if _, ok := s.room(o); ok {
			fit = append(fit, o)
		}
	}
	if len(fit) == 0 {
		return false
	}
	o := fit[s.rng.IntN(len(fit))]
	r, _ := s.room(o)
	s.set(i, geom.Pt(r.Min.X+s.rng.Float64()*r.W(), r.Min.Y+s.rng.Float64()*r.H()), o)
	for range 4 {
		if !s.move(i) {
			break
		}
	}
	return true
}

// bySize lists the items, largest first.
func (s *solver) bySize() []int {
	order := make([]int, s.n)
	for i := range order {
		order[i] = i
	}
	size := func(i int) float64 {
		b := s.t.orient[s.t.of[i][0]].box
		return b.W()*b.H() + s.t.p.Shapes[s.t.p.Items[i].Shape].Area
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch x, y := size(a), size(b); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return a - b
	})
	return order
}

// swapLarge exchanges two large items of different shape, to leave a dead end.
func (s *solver) swapLarge() {
	order := slices.DeleteFunc(s.bySize(), func(i int) bool { return !s.live[i] })
	if len(order) < 2 {
		return
	}
	var sum, upTo float64
	for _, i := range order {
		sum += s.t.p.Shapes[s.t.p.Items[i].Shape].Area
	}
	large := 0
	for _, i := range order {
		if upTo > 0.75*sum {
			break
		}
		upTo += s.t.p.Shapes[s.t.p.Items[i].Shape].Area
		large++
	}
	large = max(large, min(2, len(order)))
	for range 20 {
		a, b := order[s.rng.IntN(large)], order[s.rng.IntN(large)]
		if s.t.p.Items[a].Shape == s.t.p.Items[b].Shape {
			continue
		}
		ba, bb := s.t.orient[s.ori[a]].box.Center(), s.t.orient[s.ori[b]].box.Center()
		pa, pb := s.pos[a].Add(ba), s.pos[b].Add(bb)
		s.pos[a], s.pos[b] = pb.Sub(ba), pa.Sub(bb)
		s.keepIn(a)
		s.keepIn(b)
		return
	}
}

// halfNormal returns the absolute value of a normal variate.
func (s *solver) halfNormal(sigma float64) float64 { return math.Abs(s.rng.NormFloat64()) * sigma }
