package search

import (
	"context"
	"math"
	"sync"
)

// Filled is one room filled with as many items as were found to fit.
type Filled struct {
	Placed []bool  // by item
	Places []Place // by item; of no meaning where not placed
	Area   float64 // of the items placed, mm2
	Length float64 // used along x, mm
	Work   int64   // steps taken by all workers
	Most   int64   // steps taken by the busiest worker
	Cut    bool    // the context ended before the budget was spent
	Kept   bool    // all items of Problem.Start are placed
}

// Better orders by whether all are kept that lay there before, then by area
// placed, then by the length used.
func (f *Filled) Better(g *Filled) bool {
	if f.Kept != g.Kept {
		return f.Kept
	}
	if f.Area != g.Area {
		return f.Area > g.Area
	}
	return f.Length < g.Length
}

// Fill places items in the room of the problem, largest first, until no more is
// found to fit; what is placed then is drawn together towards x = 0. The result
// depends on the problem, the seed, the workers and the work alone, unless ctx
// ends first: then the best so far is returned and Cut is set.
func Fill(ctx context.Context, p *Problem, o Options) Filled {
	t := newTables(p)
	o.Workers = max(1, o.Workers)
	results := make([]Filled, o.Workers)
	others := newMeeting(o.Workers)
	var mu sync.Mutex
	var wg sync.WaitGroup
	for k := range o.Workers {
		wg.Go(func() {
			s := newSolver(t, o.Seed, uint64(k)+1)
			s.limit = o.Work
			s.stop = func() bool { return ctx.Err() != nil }
			s.meetAll(others, k)
			// Every other worker goes on from what is there.
			results[k] = s.fill(k%2 == 0, func(length float64) {
				mu.Lock()
				if o.Progress != nil {
					o.Progress(length, float64(s.work)/float64(o.Work))
				}
				if o.Look != nil {
					o.Look(func() Filled { return s.filled(length) })
				}
				mu.Unlock()
			})
			others.leave(k, s.offer())
		})
	}
	wg.Wait()
	best := results[0]
	var work, most int64
	for _, r := range results {
		work += r.Work
		most = max(most, r.Work)
		if r.Better(&best) {
			best = r
		}
	}
	best.Work, best.Most, best.Cut = work, most, ctx.Err() != nil
	return best
}

// Shares of the budget for a first attempt with all items at once and, where
// that fails, of the rest for inserting as many as go in (what is left over is
// for the next room); and the density, area of items in what is free of the
// room, at which insertion starts.
const (
	allShare  = 0.3
	partShare = 0.6
	atOnce    = 0.6
	cycles    = 3
)

// fill runs one worker: from where items lie already, or with all items at once
// where they go in, else with as many as can be inserted, drawn together and
// inserted again in turn.
func (s *solver) fill(warm bool, tell func(float64)) Filled {
	total := s.limit
	free := s.free()
	var best pose
	var length float64
	var waiting []int
	if warm {
		waiting, warm = s.resume()
	}
	if warm {
		best, length = s.fillUp(waiting, free, total, tell)
	} else {
		all := false
		if totalArea(s.t.p) <= free && s.allFit() {
			s.limit = s.work + int64(float64(total-s.work)*allShare)
			all = s.begin(s.length, 3)
		}
		if s.limit = total; all {
			best, length = s.shorten(tell)
		} else {
			best, length = s.fillUp(s.insertFirst(free), free, total, tell)
		}
	}
	if length > 0 {
		s.adopt(best)
	}
	return s.filled(length)
}

// filled tells what is placed, where the used length is so much; 0 for nothing.
func (s *solver) filled(length float64) Filled {
	out := Filled{Placed: make([]bool, s.n), Places: make([]Place, s.n), Length: length, Work: s.work, Kept: true}
	for i := range s.n {
		if out.Placed[i] = length > 0 && s.live[i]; out.Placed[i] {
			out.Area += s.t.p.Shapes[s.t.p.Items[i].Shape].Area
		}
		out.Kept = out.Kept && (out.Placed[i] || i >= len(s.t.p.Start))
	}
	copy(out.Places, s.places())
	return out
}

// resume takes up the items that lie in the room already and returns the others,
// largest first; ok is false where those that lie cannot be freed of overlaps.
func (s *solver) resume() (waiting []int, ok bool) {
	start := s.t.p.Start
	if len(start) == 0 {
		return nil, false
	}
	for i := range s.n {
		s.show(i, i < len(start))
	}
	for i, q := range start {
		s.pos[i], s.ori[i] = q.At, -1
		for _, o := range s.t.of[i] {
			if micro(s.t.orient[o].deg) == micro(q.Turn) {
				s.ori[i] = o
			}
		}
		if s.ori[i] < 0 {
			s.ori[i] = s.t.of[i][0]
		}
		s.keepIn(i)
	}
	for _, i := range s.bySize() {
		if !s.live[i] {
			waiting = append(waiting, i)
		}
	}
	return waiting, s.separate(40, 1) == 0
}

// fillUp inserts as many of the waiting items as go in among those that lie free
// of overlaps, and draws all together, in turn. It returns the best pose, and the
// length used; 0 if nothing is placed.
func (s *solver) fillUp(waiting []int, free float64, whole int64, tell func(float64)) (best pose, length float64) {
	full := s.length
	if len(waiting) > 0 {
		total := s.work + int64(float64(whole-s.work)*partShare)
		for c := range cycles {
			from := s.work
			s.limit = from + (total-from)/int64(cycles-c)
			s.resize(full)
			if waiting = s.insertRest(waiting, free); s.used() == 0 {
				return best, 0
			}
			best, length = s.pose.clone(), s.used()
			tell(length)
			if c == cycles-1 || len(waiting) == 0 {
				break
			}
			s.limit = s.work + (total-s.work)/int64(cycles)
			best, length = s.shorten(tell)
			s.adopt(best)
		}
	} else {
		best, length = s.pose.clone(), s.used()
	}
	if s.limit = whole; length > 0 && len(waiting) == 0 {
		best, length = s.shorten(tell)
	}
	return best, length
}

// free returns the area of the room less that of the fixed places in it.
func (s *solver) free() float64 {
	free := s.length * s.height
	for _, f := range s.t.p.Fixed {
		free -= s.t.p.Shapes[f.Shape].Area
	}
	return free
}

// allFit reports whether every item fits the room by its box in some turn.
func (s *solver) allFit() bool {
	for i := range s.n {
		ok := false
		for _, o := range s.t.of[i] {
			_, fits := s.room(o)
			ok = ok || fits
		}
		if !ok {
			return false
		}
	}
	return true
}

// insertFirst puts in the largest items up to a moderate density, parts them
// and returns those that wait.
func (s *solver) insertFirst(free float64) (waiting []int) {
	for i := range s.n {
		s.show(i, false)
	}
	s.resize(s.t.p.Length)
	area := 0.0
	for _, i := range s.bySize() {
		a := s.bulk(i)
		if len(waiting) > 0 || area > 0 && area+a > atOnce*free {
			waiting = append(waiting, i)
			continue
		}
		if s.show(i, true); !s.drop(i) {
			s.show(i, false)
			continue // it fits in no turn
		}
		area += a
	}
	if s.separate(40, 1) == 0 {
		return waiting
	}
	// The smaller of two that still overlap waits with the others.
	var out []int
	for s.collisions(); len(s.hits) > 0; s.collisions() {
		h := s.hits[0]
		k := int(h.i)
		if int(h.j) < s.n && s.body[h.j].scale < s.body[h.i].scale {
			k = int(h.j)
		}
		s.show(k, false)
		out = append(out, k)
	}
	return append(out, waiting...)
}

// insertRest inserts the waiting items that can be parted from the others, with
// more patience each round, and returns those that cannot.
func (s *solver) insertRest(waiting []int, free float64) []int {
	for _, patience := range [3]int{12, 40, 80} {
		area := 0.0
		for i := range s.n {
			if s.live[i] {
				area += s.t.p.Shapes[s.t.p.Items[i].Shape].Area
			}
		}
		var left []int
		refused := map[[2]float64]bool{}
		for k, i := range waiting {
			if s.spent() {
				return append(left, waiting[k:]...)
			}
			it := &s.t.p.Items[i]
			kind := [2]float64{float64(it.Shape), turnsKey(it.Turns)}
			a := s.t.p.Shapes[it.Shape].Area
			if refused[kind] || area+a > free || !s.insert(i, patience) {
				refused[kind] = true
				left = append(left, i)
				continue
			}
			area += a
		}
		if waiting = left; len(waiting) == 0 {
			break
		}
	}
	return waiting
}

// turnsKey tells lists of turns apart.
func turnsKey(turns []float64) float64 {
	k := 0.0
	for i, t := range turns {
		k += (t + 1) * math.Sqrt(float64(i)+2)
	}
	return k
}

// insert adds one item and parts what overlaps then; if that fails all is as
// before.
func (s *solver) insert(i, patience int) bool {
	before := s.pose.clone()
	s.show(i, true)
	if s.drop(i) && (s.alone(i) || s.separate(patience, 1) == 0) {
		return true
	}
	s.show(i, false)
	s.adopt(before)
	return false
}

// alone reports whether item i overlaps nothing where it lies.
func (s *solver) alone(i int) bool {
	return s.eval(i, s.ori[i], s.pos[i].X, s.pos[i].Y, math.Inf(1)) == 0
}
