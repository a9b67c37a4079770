package paths

import (
	"math"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/outline"
)

// Stop is one thing to run, as the order sees it. Stops of one group, such as the
// stretches of a perimeter between its tabs, come after all that must come before
// any of them.
type Stop struct {
	Start, End geom.Point // where the stream is opened and shut
	Stage      int        // lower stages come first
	Group      int32      // the group it belongs to, -1: none
	Before     int32      // the group that must come after this stop, -1: none
}

// order puts the cuts in the order in which they are run: marks first; then
// small parts before large ones; whatever lies in an outline before the first cut
// of the outline, since a part may spring when it is no longer held all around, and
// a slug may drop with all that is on it; likewise the chambers of an outside before
// the first cut of the rest, and what lies in a chamber before that; and the
// shortest travel within that.
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

// stops makes the stops of the cuts. The group of a cut is its outline, that of a
// chamber comes behind those.
func (pl *Plan) stops(s *outline.Sheet, p Params) []Stop {
	n := int32(len(s.Outlines))
	cut := make([]bool, n) // outlines that bound something when they are cut
	for i := range pl.Cuts {
		if c := &pl.Cuts[i]; c.Outline >= 0 && !c.Chamber {
			cut[c.Outline] = true
		}
	}
	stage := stages(s, p.Small)
	chamber := pl.chambers(s)
	stops := make([]Stop, len(pl.Cuts))
	for i := range pl.Cuts {
		c := &pl.Cuts[i]
		st := Stop{Start: c.Start(), End: c.End(), Group: -1, Before: -1}
		switch {
		case c.Outline < 0:
		case c.Chamber && cut[c.Outline]:
			st.Stage, st.Group, st.Before = stage[c.Outline], n+int32(i), c.Outline
		default:
			st.Stage, st.Group = stage[c.Outline], c.Outline
			if k, in := chamber[c.Outline]; in {
				st.Before = n + k
				st.Stage = min(st.Stage, stage[pl.Cuts[k].Outline])
				break
			}
			// The next outline around it that is cut.
			for k := s.Outlines[c.Outline].Parent; k >= 0; k = s.Outlines[k].Parent {
				if cut[k] {
					st.Before = k
					break
				}
			}
		}
		stops[i] = st
	}
	return stops
}

// chambers returns, by outline, the smallest chamber of another part's outside that
// it lies in, as the number of its cut. What lies in the holes of such an outline
// comes before it anyway.
func (pl *Plan) chambers(s *outline.Sheet) map[int32]int32 {
	var in map[int32]int32
	var boxes *index.Tree
	for i := range pl.Cuts {
		c := &pl.Cuts[i]
		if !c.Chamber {
			continue
		}
		if boxes == nil {
			all := make([]geom.Box, len(s.Outlines))
			for k := range s.Outlines {
				all[k] = s.Outlines[k].Box
			}
			in, boxes = map[int32]int32{}, index.NewTree(all)
		}
		box := c.Run.Box()
		boxes.In(box, func(k int32) bool {
			o := &s.Outlines[k]
			if k == c.Outline || o.Parent != s.Outlines[c.Outline].Parent || len(o.Pieces) == 0 || !box.ContainsBox(o.Box) || !c.Run.Contains(o.Pieces[0].Mid()) {
				return true
			}
			if was, ok := in[k]; !ok || math.Abs(c.Run.Area()) < math.Abs(pl.Cuts[was].Run.Area()) {
				in[k] = int32(i)
			}
			return true
		})
	}
	return in
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
// the same order. What would have to come before a group with a stop of a lower
// stage does not.
func Order(stops []Stop) []int32 {
	t := newTour(stops)
	t.greedy()
	t.improve()
	t.shake()
	return t.order
}
