package search

import (
	"math"
	"math/rand/v2"
	"slices"

	"sluice/geom"
)

// pose is where every item lies.
type pose struct {
	pos []geom.Point
	ori []int32
}

func (p pose) clone() pose { return pose{slices.Clone(p.pos), slices.Clone(p.ori)} }

func (p pose) copyFrom(q pose) {
	copy(p.pos, q.pos)
	copy(p.ori, q.ori)
}

// body is an item or fixed place as others meet it.
type body struct {
	at    geom.Point
	box   geom.Box
	clear float64
	scale float64 // its share of the weight of a pair
	ori   int32
}

// solver is one worker's search. Items are moved by set, shown and hidden by
// show, so that bodies and index follow.
type solver struct {
	t    *tables
	rng  *rand.Rand
	n    int // items
	all  int // items and fixed places
	live []bool
	pose
	length float64
	height float64
	weight []float32  // all x all, symmetric
	raised []int      // places in weight, one of each two, that are above 1
	looks  [][]lookup // by orientation: lookups, filled when first used
	body   []body
	index  *index
	binned float64 // the length that the index was made for
	reach  float64 // the widest clearance, mm

	relaxer relaxer

	hits  []hit
	work  int64
	limit int64
	stop  func() bool

	top    offer // the best so far of all items
	others *meeting
	worker int
	every  int64   // work between meetings
	next   int64   // work at the next one
	behind float64 // by which share of the length another must be better to be taken over
}

// hit is a pair that overlaps.
type hit struct {
	i, j  int32
	depth float64
}

func newSolver(t *tables, seed, stream uint64) *solver {
	p := t.p
	s := &solver{
		t: t, rng: rand.New(rand.NewPCG(seed, stream)), n: len(p.Items), all: len(p.Items) + len(p.Fixed),
		height: p.Height, looks: make([][]lookup, len(t.orient)), stop: func() bool { return false },
	}
	s.pose = pose{make([]geom.Point, s.all), make([]int32, s.all)}
	s.live = make([]bool, s.all)
	s.weight = make([]float32, s.all*s.all)
	s.body = make([]body, s.all)
	s.index = newIndex(s.all)
	mean := totalArea(p) / float64(max(1, s.n))
	for i := range s.all {
		b := &s.body[i]
		s.live[i], b.ori, b.scale = true, -1, 1
		if i < s.n {
			s.ori[i] = t.of[i][0]
			b.scale = fourthRoot(p.Shapes[p.Items[i].Shape].Area / mean)
		} else {
			s.ori[i] = t.fixed[i-s.n]
		}
		b.clear = t.orient[s.ori[i]].clear
		s.reach = max(s.reach, b.clear+t.skin)
	}
	for i := range s.weight {
		s.weight[i] = 1
	}
	s.resize(max(p.Length, totalArea(p)/p.Height))
	return s
}

// resize gives the room another length.
func (s *solver) resize(length float64) {
	s.length = length
	if length > 0.9*s.binned && length < 1.1*s.binned {
		return
	}
	s.binned = length
	s.index.reset(length, s.height)
	for i := range s.all {
		if s.live[i] {
			s.set(i, s.pos[i], s.ori[i])
		}
	}
}

// set puts item i somewhere.
func (s *solver) set(i int, at geom.Point, o int32) {
	s.pos[i], s.ori[i] = at, o
	b, box := &s.body[i], &s.t.orient[o].box
	b.at, b.ori = at, o
	b.box = geom.Box{Min: box.Min.Add(at), Max: box.Max.Add(at)}
	if s.live[i] {
		s.index.put(i, b.box)
	}
}

// show lets item i take part, or not.
func (s *solver) show(i int, live bool) {
	if s.live[i] = live; live {
		s.set(i, s.pos[i], s.ori[i])
	} else {
		s.index.drop(i)
	}
}

// adopt puts all items where another pose has them.
func (s *solver) adopt(p pose) {
	for i := range s.n {
		if s.pos[i] != p.pos[i] || s.ori[i] != p.ori[i] {
			s.set(i, p.pos[i], p.ori[i])
		}
	}
}

func (s *solver) resetWeights() {
	for _, k := range s.raised {
		s.weight[k], s.weight[k%s.all*s.all+k/s.all] = 1, 1
	}
	s.raised = s.raised[:0]
}

// lookups returns the lookups of orientation o moving about others, by the
// orientation of those.
func (s *solver) lookups(o int32) []lookup {
	if s.looks[o] == nil {
		s.looks[o] = make([]lookup, len(s.t.orient))
	}
	return s.looks[o]
}

// Look-ups after which a table is made faster, and what is counted for them, in
// steps: the measures of work that do not depend on the machine.
const (
	manyUses   = 400
	costEval   = 6   // an evaluation of a place
	costWord   = 1   // 64 boxes of the index
	costMeet   = 2   // a box that may meet
	costLookup = 6   // a look-up in a table that is refined; before that a step more for every four planes
	costPlane  = 500 // each plane of a table that is refined
)

// fetch finds the table of a lookup that is used for the first time.
func (s *solver) fetch(l *lookup, a, b int32) {
	*l = s.t.get(a, b)
	l.cost = costLookup + int64(l.table.Planes()/4)
	s.work += l.table.Made() // counted by every worker, whoever built it
}

// room returns where the origin of an orientation may lie; ok is false if it
// fits nowhere.
func (s *solver) room(o int32) (geom.Box, bool) {
	b := s.t.orient[o].box
	r := geom.Box{
		Min: geom.Pt(-b.Min.X, -b.Min.Y),
		Max: geom.Pt(s.length-b.Max.X, s.height-b.Max.Y),
	}
	const slack = 1e-9
	if r.Min.X > r.Max.X+slack*s.length || r.Min.Y > r.Max.Y+slack*s.height {
		return r, false
	}
	r.Max.X, r.Max.Y = max(r.Min.X, r.Max.X), max(r.Min.Y, r.Max.Y)
	return r, true
}

// eval returns the weighted overlap of item i in orientation o at a place, or
// something no less than bound once it is known to reach it.
func (s *solver) eval(i int, o int32, x, y, bound float64) float64 {
	a := &s.t.orient[o]
	x0, x1, y0, y1 := x+a.box.Min.X, x+a.box.Max.X, y+a.box.Min.Y, y+a.box.Max.Y
	q := s.index.ask(x0-s.reach, x1+s.reach, y0-s.reach, y1+s.reach)
	row, looks := s.weight[i*s.all:(i+1)*s.all], s.lookups(o)
	least, scale := s.t.skin/2, s.body[i].scale
	work := int64(costEval)
	sum := 0.0
words:
	for w := range q.bx {
		work += costWord
		for m := q.word(w); m != 0; {
			j := w<<6 + next(&m)
			b := &s.body[j]
			c := max(a.clear, b.clear) + s.t.skin
			work += costMeet
			if x0-c >= b.box.Max.X || x1+c <= b.box.Min.X || y0-c >= b.box.Max.Y || y1+c <= b.box.Min.Y || j == i {
				continue
			}
			l := &looks[b.ori]
			if l.left--; l.left < 0 {
				s.worn(l, o, b.ori)
			}
			work += l.cost
			dx, dy := x-b.at.X, y-b.at.Y
			d, _, _ := l.table.Depth(l.xx*dx+l.xy*dy, l.yx*dx+l.yy*dy)
			if d > least {
				if sum += d * float64(row[j]) * scale * b.scale; sum >= bound {
					break words
				}
			}
		}
	}
	s.work += work
	return sum
}

// worn sees to a lookup that has been used often, or not yet.
func (s *solver) worn(l *lookup, a, b int32) {
	if l.table == nil {
		s.fetch(l, a, b)
		l.left = manyUses
		return
	}
	s.t.refine(l.table)
	s.work += int64(costPlane * l.table.Planes()) // whoever refined it, and were there no memory for it
	l.left, l.cost = math.MaxInt, costLookup
}

// meet calls f for what item i in orientation o overlaps at a place: with how
// deep, and the way out (a unit vector). f may move the place.
func (s *solver) meet(i int, o int32, at *geom.Point, f func(j int, depth, nx, ny float64)) {
	a := &s.t.orient[o]
	q := s.index.ask(at.X+a.box.Min.X-s.reach, at.X+a.box.Max.X+s.reach, at.Y+a.box.Min.Y-s.reach, at.Y+a.box.Max.Y+s.reach)
	looks := s.lookups(o)
	s.work += costEval
	for w := range q.bx {
		s.work += costWord
		for m := q.word(w); m != 0; {
			j := w<<6 + next(&m)
			b := &s.body[j]
			c := max(a.clear, b.clear) + s.t.skin
			s.work += costMeet
			if at.X+a.box.Min.X-c >= b.box.Max.X || at.X+a.box.Max.X+c <= b.box.Min.X ||
				at.Y+a.box.Min.Y-c >= b.box.Max.Y || at.Y+a.box.Max.Y+c <= b.box.Min.Y || j == i {
				continue
			}
			l := &looks[b.ori]
			if l.left--; l.left < 0 {
				s.worn(l, o, b.ori)
			}
			s.work += l.cost
			d := at.Sub(b.at)
			if d, nx, ny := l.table.Depth(l.xx*d.X+l.xy*d.Y, l.yx*d.X+l.yy*d.Y); d > s.t.skin/2 {
				// The map is a turn or a turn with both signs changed: its inverse is
				// its transpose.
				f(j, d, l.xx*nx+l.yx*ny, l.xy*nx+l.yy*ny)
			}
		}
	}
}

// collisions finds all pairs that overlap and returns the sum of their depths,
// weighted by size only.
func (s *solver) collisions() float64 {
	s.hits = s.hits[:0]
	var sum float64
	for i := range s.n {
		if !s.live[i] {
			continue
		}
		s.meet(i, s.ori[i], &s.pos[i], func(j int, depth, _, _ float64) {
			if j > i {
				s.hits = append(s.hits, hit{int32(i), int32(j), depth})
				sum += depth * s.body[i].scale * s.body[j].scale
			}
		})
	}
	return sum
}

// spent reports whether the budget is used up or the caller has called a halt.
func (s *solver) spent() bool { return s.work >= s.limit || s.stop() }

// offer returns the best so far, where it is one of all items.
func (s *solver) offer() offer {
	if s.whole() {
		return s.top
	}
	return offer{}
}

// whole reports whether all items take part.
func (s *solver) whole() bool { return !slices.Contains(s.live[:s.n], false) }

// meetAll lets the worker of that number take part in a meeting.
func (s *solver) meetAll(m *meeting, worker int) {
	s.others, s.worker, s.every = m, worker, max(1, s.limit/meetings)
	s.next = s.every
}

// met meets the other workers when it is time to, and reports whether one of them
// has a better layout of all items, which is then the best of this one too.
func (s *solver) met() bool {
	if s.others == nil || s.work < s.next {
		return false
	}
	s.next += s.every
	o := s.others.come(s.worker, s.offer())
	if s.offer().length == 0 || o.length == 0 || o.length >= s.top.length*(1-s.behind) {
		return false
	}
	s.top = o
	return true
}

// used returns the length in use.
func (s *solver) used() float64 {
	var x float64
	for i := range s.n {
		if s.live[i] {
			x = max(x, s.pos[i].X+s.t.orient[s.ori[i]].box.Max.X)
		}
	}
	return x
}
