package paths

import (
	"sluice/geom"
	"sluice/geom/outline"
)

// Stop is one thing to run, as the order sees it.
type Stop struct {
	Start, End geom.Point // where the stream is opened and shut
	Stage      int        // lower stages come first
	Before     int32      // the stop that must come after this one, -1: none
}

// order puts the cuts in the order in which they are run: marks first; then
// small parts before large ones; whatever lies in an outline before the outline,
// since its slug may drop with all that is on it; the chambers of an outside
// before the cut that frees the part; and the shortest travel within that.
func (pl *Plan) order(s *outline.Sheet, p Params) {
	stops := pl.stops(s, p)
	cuts := make([]Cut, 0, len(pl.Cuts))
	for _, i := range Order(stops) {
		cuts = append(cuts, pl.Cuts[i])
	}
	pl.Cuts = cuts
	pl.turnMarks()
}

// turnMarks runs marks from their other end where that shortens the way. Cuts
// keep their direction, which puts the waste on their right.
func (pl *Plan) turnMarks() {
	for range 2 {
		for i := range pl.Cuts {
			c := &pl.Cuts[i]
			if c.Kind != Etch {
				continue
			}
			var now, turned float64
			if i > 0 {
				from := pl.Cuts[i-1].End()
				now, turned = from.Dist(c.Start()), from.Dist(c.End())
			}
			if i+1 < len(pl.Cuts) {
				to := pl.Cuts[i+1].Start()
				now, turned = now+c.End().Dist(to), turned+c.Start().Dist(to)
			}
			if turned < now-least {
				c.Run = c.Run.Reverse()
			}
		}
	}
}

// stops makes the stops of the cuts, whose outlines follow each other.
func (pl *Plan) stops(s *outline.Sheet, p Params) []Stop {
	stops := make([]Stop, len(pl.Cuts))
	last := map[int32]int32{} // the last cut of each outline
	for i := range pl.Cuts {
		if k := pl.Cuts[i].Outline; k >= 0 {
			last[k] = int32(i)
		}
	}
	stage := stages(s, p.Small)
	for i := range pl.Cuts {
		c := &pl.Cuts[i]
		st := Stop{Start: c.Start(), End: c.End(), Before: -1}
		if c.Outline >= 0 {
			st.Stage = stage[c.Outline]
			if c.Chamber {
				st.Before = mainOf(pl.Cuts, i)
				stops[i] = st
				continue
			}
			// The next outline around it that is cut.
			for k := s.Outlines[c.Outline].Parent; k >= 0; k = s.Outlines[k].Parent {
				if first, ok := firstOf(pl.Cuts, last, k); ok {
					st.Before = first
					break
				}
			}
		}
		stops[i] = st
	}
	return stops
}

// firstOf returns the first cut of an outline; those of one outline follow each
// other.
func firstOf(cuts []Cut, last map[int32]int32, k int32) (int32, bool) {
	i, ok := last[k]
	for ok && i > 0 && cuts[i-1].Outline == k {
		i--
	}
	return i, ok
}

// mainOf returns the first cut of an outline that frees its part, for cut i of
// its chambers; -1 if none does.
func mainOf(cuts []Cut, i int) int32 {
	k := i
	for k > 0 && cuts[k-1].Outline == cuts[i].Outline {
		k--
	}
	for ; k < len(cuts) && cuts[k].Outline == cuts[i].Outline; k++ {
		if !cuts[k].Chamber {
			return int32(k)
		}
	}
	return -1
}

// stages returns the stage of each outline: 1 for those of small parts, 2 for
// those of others. Nothing comes after what is around it.
func stages(s *outline.Sheet, small float64) []int {
	stage := make([]int, len(s.Outlines))
	for i := range s.Outlines {
		stage[i] = 2
		if k := s.Outlines[i].Part; small > 0 && k >= 0 {
			if b := s.Parts[k].Box; max(b.W(), b.H()) <= small {
				stage[i] = 1
			}
		}
	}
	// A part in the hole of a small one is small too, so that no stage is
	// ahead of what lies in it.
	return stage
}

// TravelOf returns the length of all ways from the end of one stop to the start
// of the next, mm.
func TravelOf(stops []Stop, order []int32) float64 {
	var l float64
	for i := 1; i < len(order); i++ {
		l += stops[order[i-1]].End.Dist(stops[order[i]].Start)
	}
	return l
}

// Order returns the order of the stops that keeps stages and what must come
// before what, with little travel: the nearest next stop that may be run, then
// moves of short runs of stops and reversals of stretches while they shorten the
// way, then small shake-ups that are kept where they help. The same stops give
// the same order. A Before that is of a lower stage is not kept.
func Order(stops []Stop) []int32 {
	t := newTour(stops)
	t.greedy()
	t.improve()
	t.shake()
	return t.order
}
