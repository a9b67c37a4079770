package search

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"
)

// StepsPerSecond is the work counted as a second, for each worker: about what one
// core of a common machine of 2025 does (measured: 90 to 130 million by a
// core that many other programs wanted at the same time).
const StepsPerSecond = 150e6

// Options bound a search.
type Options struct {
	Seed    uint64
	Workers int   // searches side by side that tell each other their best; the result depends on it
	Work    int64 // steps for each worker
	// Progress, if set, is told of every better result by one worker at a time,
	// with its length (mm) and the share of the budget spent.
	Progress func(length, spent float64)
	// Look, if set, is called with it by Fill; now makes the result so far of that
	// worker, and is of no meaning later.
	Look func(now func() Filled)
}

// Result is the best layout found.
type Result struct {
	Length float64 // used along x, mm; 0 if none was found
	Places []Place // by item
	Work   int64   // steps taken by all workers
	Cut    bool    // the context ended before the budget was spent
	Worker int     // which one found it
}

// Strip places all items in a room of the problem's height and of any length and
// makes that as short as it can. most (mm, 0 for none) is the longest that will
// do. The result depends on the problem, the seed, the workers and the work
// alone, unless ctx ends first: then the best so far is returned and Cut is set.
// A result of length 0 means that none within most was found.
func Strip(ctx context.Context, p *Problem, most float64, o Options) Result {
	t := newTables(p)
	o.Workers = max(1, o.Workers)
	results := make([]Result, o.Workers)
	others := newMeeting(o.Workers)
	var mu sync.Mutex
	var wg sync.WaitGroup
	for k := range o.Workers {
		wg.Go(func() {
			s := newSolver(t, o.Seed, uint64(k)+1)
			s.limit = o.Work
			s.stop = func() bool { return ctx.Err() != nil }
			s.meetAll(others, k)
			results[k] = s.strip(most, func(length float64) {
				if o.Progress != nil {
					mu.Lock()
					o.Progress(length, float64(s.work)/float64(o.Work))
					mu.Unlock()
				}
			})
			results[k].Worker = k
			others.leave(k, s.offer())
		})
	}
	wg.Wait()
	best := results[0]
	var work int64
	for _, r := range results {
		work += r.Work
		if r.Length > 0 && (best.Length == 0 || r.Length < best.Length) {
			best = r
		}
	}
	best.Work, best.Cut = work, ctx.Err() != nil
	return best
}

// Shares of the budget and the steps by which the strip is shortened.
const (
	exploreShare = 0.8
	firstStep    = 0.01
	exploreStep  = 0.002
	squeezeFrom  = 0.0005
	squeezeTo    = 0.00001

	meetings        = 40    // of the workers, evenly over the budget
	behindExploring = 0.004 // share of the length by which a worker lags that goes on from another's best
	behindSqueezing = 0.00001
)

// failed is a pose that could not be freed of overlaps.
type failed struct {
	pose
	loss float64
}

// strip runs one worker.
func (s *solver) strip(most float64, tell func(float64)) Result {
	if !s.begin(most, math.MaxInt) {
		return Result{Work: s.work}
	}
	best, length := s.shorten(tell)
	s.adopt(best)
	return Result{Length: length, Places: s.places(), Work: s.work}
}

// begin finds a first pose free of overlaps, in a room no longer than most (0:
// any length); once at that length it makes only so many tries.
func (s *solver) begin(most float64, tries int) bool {
	p := s.t.p
	taken := 0.0
	for i := range s.n {
		taken += s.bulk(i)
	}
	for _, f := range p.Fixed {
		taken += p.Shapes[f.Shape].Area
	}
	length := max(taken/s.height/0.75, s.floor())
	if most > 0 {
		length = min(length, most)
	}
	s.resize(length)
	s.start()
	grow := 0.04
	for !s.spent() {
		if s.separate(25, 1) == 0 {
			return true
		}
		if most > 0 && s.length >= most {
			if tries--; tries <= 0 {
				return false
			}
			s.swapLarge()
			continue
		}
		length = s.length * (1 + grow)
		grow *= 1.5
		if most > 0 {
			length = min(length, most)
		}
		s.resize(length)
	}
	return false
}

// bulk is the room that an item takes up.
func (s *solver) bulk(i int) float64 {
	h := &s.t.p.Shapes[s.t.p.Items[i].Shape]
	return max(h.Area, h.Bulk)
}

// floor is a length below which the items that take part cannot lie: that of
// the longest, or of their area.
func (s *solver) floor() float64 {
	var floor, area float64
	for i := range s.n {
		if !s.live[i] {
			continue
		}
		area += s.t.p.Shapes[s.t.p.Items[i].Shape].Area
		least := math.Inf(1)
		for _, o := range s.t.of[i] {
			if b := s.t.orient[o].box; b.H() <= s.height*(1+1e-9) {
				least = min(least, b.W())
			}
		}
		if !math.IsInf(least, 1) {
			floor = max(floor, least)
		}
	}
	return max(floor, area/s.height)
}

// shorten makes the room as short as the budget allows, from a pose free of
// overlaps, and returns the best pose and its length.
func (s *solver) shorten(tell func(float64)) (pose, float64) {
	keep := func() {
		s.top = offer{s.pose.clone(), s.used()}
		tell(s.top.length)
	}
	keep()
	s.explore(keep)
	s.squeeze(keep)
	best := s.top
	if !s.whole() {
		s.top = offer{}
	}
	return best.pose, best.length
}

// shrink takes up the best pose in a room shorter than it by a share.
func (s *solver) shrink(step float64) {
	s.adopt(s.top.pose)
	s.resize(s.top.length)
	s.shrinkTo(s.top.length*(1-step), s.rng.Float64()*s.top.length)
}

// explore shortens the strip in larger steps, and leaves dead ends by going
// back to an earlier failure with two large items exchanged.
func (s *solver) explore(keep func()) {
	until := s.work + int64(float64(s.limit-s.work)*exploreShare)
	step := firstStep
	var pool []failed
	floor := s.floor()
	s.behind = behindExploring
	for fresh := true; s.work < until && !s.stop(); {
		if fresh {
			if s.top.length*(1-step) < floor {
				return
			}
			pool, fresh = pool[:0], false
			s.shrink(step)
		}
		top := s.top.length
		loss := s.separate(120, 2)
		if loss == 0 {
			keep()
			fresh = true
			continue
		}
		if s.top.length < top { // another worker's
			fresh = true
			continue
		}
		if step > exploreStep { // the first failure: go on from the best in finer steps
			step = max(exploreStep, step/2.3)
			fresh = true
			continue
		}
		at, _ := slices.BinarySearchFunc(pool, loss, func(f failed, l float64) int { return cmp.Compare(f.loss, l) })
		pool = slices.Insert(pool, at, failed{s.pose.clone(), loss})
		k := int(s.halfNormal(0.25) * float64(len(pool)))
		s.adopt(pool[min(k, len(pool)-1)].pose)
		s.swapLarge()
	}
}

// squeeze shortens the best strip in steps that become finer as the budget
// runs out.
func (s *solver) squeeze(keep func()) {
	from, floor := s.work, s.floor()
	s.behind = behindSqueezing
	for !s.spent() && s.top.length*(1-squeezeFrom) >= floor {
		t := float64(s.work-from) / float64(max(1, s.limit-from))
		s.shrink(squeezeFrom + (squeezeTo-squeezeFrom)*t)
		if s.separate(80, 2) == 0 {
			keep()
		}
	}
}

// places returns the pose in terms of the problem.
func (s *solver) places() []Place {
	out := make([]Place, s.n)
	for i := range out {
		out[i] = Place{s.pos[i], s.t.orient[s.ori[i]].deg}
	}
	return out
}
