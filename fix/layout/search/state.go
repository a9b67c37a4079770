package search

import (
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

// entry is one other item as the moving one meets it.
type entry struct {
	x0, x1, y0, y1 float64 // where the moving item's boxes and this one's meet
	look           lookup  // filled when first used
	tx, ty         float64
	weight         float64
	other          int32
	moving         int32 // orientation of the moving item
}

// solver is one worker's search.
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
	scale  []float64  // by item: its share of the weight of a pair
	pairs  [][]lookup // by orientation: lookups, filled when first used

	entries [][]entry // by turn of the item that moves
	close   []entry   // those near the place looked at
	hits    []hit
	work    int64
	limit   int64
	stop    func() bool
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
		length: p.Length, height: p.Height,
		pairs: make([][]lookup, len(t.orient)), stop: func() bool { return false },
	}
	s.pose = pose{make([]geom.Point, s.all), make([]int32, s.all)}
	s.live = make([]bool, s.all)
	s.weight = make([]float32, s.all*s.all)
	s.scale = make([]float64, s.all)
	mean := totalArea(p) / float64(max(1, s.n))
	for i := range s.all {
		s.live[i] = true
		if i < s.n {
			s.ori[i] = t.of[i][0]
			s.scale[i] = fourthRoot(p.Shapes[p.Items[i].Shape].Area / mean)
		} else {
			s.ori[i] = t.fixed[i-s.n]
			s.scale[i] = 1
		}
	}
	for i := range s.weight {
		s.weight[i] = 1
	}
	return s
}

func (s *solver) resetWeights() {
	for _, k := range s.raised {
		s.weight[k], s.weight[k%s.all*s.all+k/s.all] = 1, 1
	}
	s.raised = s.raised[:0]
}

// clearOf returns the clearance between an item in orientation a and item j.
func (s *solver) clearOf(a int32, j int) float64 {
	if j >= s.n {
		return s.t.p.Fixed[j-s.n].Clear
	}
	return max(s.t.orient[a].clear, s.t.orient[s.ori[j]].clear)
}

// look returns the lookup for orientation a moving about item j.
func (s *solver) look(a int32, j int) lookup {
	b := s.ori[j]
	if j >= s.n {
		// Clearances of fixed places differ; they are few.
		return s.t.get(a, b, s.clearOf(a, j))
	}
	if s.pairs[a] == nil {
		s.pairs[a] = make([]lookup, len(s.t.orient))
	}
	if l := s.pairs[a][b]; l.table != nil {
		return l
	}
	l := s.t.get(a, b, s.clearOf(a, j))
	s.pairs[a][b] = l
	s.work += l.table.Made() // counted by every worker, whoever built it
	return l
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

// gather lists what item i meets in orientation o.
func (s *solver) gather(dst []entry, i int, o int32) []entry {
	dst = dst[:0]
	a := s.t.orient[o].box
	for j := range s.all {
		if j == i || !s.live[j] {
			continue
		}
		b := s.t.orient[s.ori[j]].box
		p := s.pos[j]
		c := s.clearOf(o, j) + s.t.skin
		dst = append(dst, entry{
			x0: p.X + b.Min.X - a.Max.X - c, x1: p.X + b.Max.X - a.Min.X + c,
			y0: p.Y + b.Min.Y - a.Max.Y - c, y1: p.Y + b.Max.Y - a.Min.Y + c,
			moving: o, tx: p.X, ty: p.Y,
			weight: float64(s.weight[i*s.all+j]) * s.scale[i] * s.scale[j], other: int32(j),
		})
	}
	s.work += int64(len(dst))
	return dst
}

// eval returns the weighted overlap at a place, or something no less than bound
// once it is known to reach it.
func (s *solver) eval(es []entry, x, y, bound float64) float64 {
	var sum float64
	for k := range es {
		e := &es[k]
		if x <= e.x0 || x >= e.x1 || y <= e.y0 || y >= e.y1 {
			continue
		}
		dx, dy := x-e.tx, y-e.ty
		if e.look.table == nil {
			e.look = s.look(e.moving, int(e.other))
		}
		d, _, _ := e.look.table.Depth(e.look.xx*dx+e.look.xy*dy, e.look.yx*dx+e.look.yy*dy, &s.work)
		if d > s.t.skin/2 {
			if sum += d * e.weight; sum >= bound {
				break
			}
		}
	}
	s.work += int64(len(es)/8 + 1)
	return sum
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
		a := s.t.orient[s.ori[i]].box
		p := s.pos[i]
		for j := i + 1; j < s.all; j++ {
			if !s.live[j] {
				continue
			}
			b := s.t.orient[s.ori[j]].box
			q := s.pos[j]
			c := s.clearOf(s.ori[i], j) + s.t.skin
			dx, dy := p.X-q.X, p.Y-q.Y
			if dx <= b.Min.X-a.Max.X-c || dx >= b.Max.X-a.Min.X+c || dy <= b.Min.Y-a.Max.Y-c || dy >= b.Max.Y-a.Min.Y+c {
				continue
			}
			l := s.look(s.ori[i], j)
			if d, _, _ := l.table.Depth(l.xx*dx+l.xy*dy, l.yx*dx+l.yy*dy, &s.work); d > s.t.skin/2 {
				s.hits = append(s.hits, hit{int32(i), int32(j), d})
				sum += d * s.scale[i] * s.scale[j]
			}
		}
	}
	s.work += int64(s.n) * int64(s.all) / 8
	return sum
}

// spent reports whether the budget is used up or the caller has called a halt.
func (s *solver) spent() bool { return s.work >= s.limit || s.stop() }

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
