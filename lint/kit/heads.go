package kit

import (
	"math"
	"slices"

	"sluice/fix/fit/side"
	"sluice/geom"
)

// Sides returns the straight sides of an outline as the kit goes by them: half circles that
// head a tab or end a slot are sides too, where it has any.
func (k *Kit) Sides(path geom.Path, l side.Limits) []side.Side {
	sides := side.Of(path, l)
	if k.headed {
		return side.Heads(path, sides, l)
	}
	return sides
}

// settleHeads sets holes with round ends aside, and settles how deep tabs with round heads and
// notches with round bottoms are. Such a hole may be for a tab as long as its straight
// part, or as all of it.
func (f *found) settleHeads(o Options) {
	tabs := byLength(f.tabs)
	var square []Joint
	for _, h := range f.holes {
		switch {
		case !h.round:
			square = append(square, h)
		case f.meant(tabs, h, h.Length-h.Width, o):
			h.Length -= h.Width
			f.rounds = append(f.rounds, h)
		case f.meant(tabs, h, h.Length, o):
			f.rounds = append(f.rounds, h)
		}
	}
	f.holes = square
	less := map[flank]float64{} // by which steps are less deep
	slots := byLength(append(slices.Clone(f.holes), f.rounds...))
	for i := range f.tabs {
		t := &f.tabs[i]
		if !t.round {
			continue
		}
		r := t.Length / 2
		straight, whole := 0.0, 0.0 // how far off each depth is from the nearest slot's width
		known := false
		slots.any(t.Length-o.Near, t.Length+o.Snug, func(s *Joint) bool {
			if s.Part == t.Part {
				return false
			}
			a, b := math.Abs(t.Depth-r-s.Width), math.Abs(t.Depth-s.Width)
			if !known || min(a, b) < min(straight, whole) {
				straight, whole, known = a, b, true
			}
			return false
		})
		if known && straight < whole {
			t.Depth, t.At = t.Depth-r, t.At.Sub(t.Out.Mul(r))
			less[flank{t.Outline, t.walls[0]}], less[flank{t.Outline, t.walls[1]}] = r, r
		}
	}
	for i := range f.cuts {
		c := &f.cuts[i]
		if r := c.Length / 2; c.round && c.Depth > r {
			c.Depth, c.At = c.Depth-r, c.At.Add(c.Out.Mul(r/2))
			less[flank{c.Outline, c.walls[0]}], less[flank{c.Outline, c.walls[1]}] = r, r
		}
	}
	if len(less) == 0 {
		return
	}
	for i := range f.edges {
		e := &f.edges[i]
		for k := range e.Steps {
			e.Steps[k].Depth -= less[flank{e.Outline, e.Steps[k].side}]
		}
	}
}

// rounded returns what was found with those holes with round ends for slots that tabs
// without a mate are there for, as many as holes of their length; nil where there are none.
// Most such holes are for bolts.
func (f *found) rounded(k *Kit, o Options) *found {
	type end struct {
		out  int32
		side int
	}
	met := map[end]bool{}
	note := func(i int) {
		if i >= 0 {
			met[end{k.Joints[i].Outline, k.Joints[i].bottom}] = true
		}
	}
	for _, p := range k.Pairs {
		note(p.JointA)
		note(p.JointB)
		for _, e := range [2]int{p.EdgeA, p.EdgeB} {
			if e >= 0 && p.JointA < 0 {
				for _, i := range k.Edges[e].Joints {
					note(i)
				}
			}
		}
	}
	free := byLength(slices.DeleteFunc(slices.Clone(f.tabs), func(t Joint) bool { return met[end{t.Outline, t.bottom}] }))
	with := *f
	with.rounds = nil
	rounds := byLength(f.rounds)
	for i := range f.rounds {
		h := &f.rounds[i]
		tabs, holes := 0, 0
		free.any(h.Length-o.Snug, h.Length+o.Near, func(t *Joint) bool {
			if t.Part != h.Part {
				tabs++
			}
			return false
		})
		rounds.any(h.Length-o.Near, h.Length+o.Near, func(*Joint) bool { holes++; return false })
		if tabs >= holes {
			with.holes = append(with.holes, *h)
			with.rounds = append(with.rounds, *h)
		}
	}
	if len(with.rounds) == 0 {
		return nil
	}
	return &with
}

// fewRounds is how many joints with half circles it takes to say that a drawing without
// others is a kit.
const fewRounds = 4

// roundsMet reports whether a kit in which half circles head tabs and end slots is to be
// believed: each of these joints has its mate, and more joints have theirs than
// without, while no more are told to have none.
func (k *Kit) roundsMet(before *Kit) bool {
	met := map[int]bool{}
	for _, p := range k.Pairs {
		met[p.JointA], met[p.JointB] = true, true
	}
	n := 0
	for i := range k.Joints {
		if k.Joints[i].round {
			if !met[i] {
				return false
			}
			n++
		}
	}
	return n > 0 && len(k.Pairs) > len(before.Pairs) && len(k.Unmatched) <= len(before.Unmatched) && (len(before.Pairs) > 0 || n >= fewRounds)
}

// meant reports whether some other part has a tab for a slot that is so long.
func (f *found) meant(tabs lengths, h Joint, length float64, o Options) bool {
	return h.Width <= widest && length > 0 && tabs.any(length-o.Snug, length+o.Near, func(t *Joint) bool {
		return t.Part != h.Part && t.Depth >= 0.5*h.Width && t.Depth < mostThicker*h.Width
	})
}
