package layout

import (
	"math"
	"slices"

	"sluice/geom"
)

// Spot is what comes of putting a part on a sheet among others.
type Spot struct {
	Pinned
	Faults []Fault // why it cannot lie there; A is the part, B what is pinned, an index in the parts given, -1 for none
	Way    []int   // what must make room, indices in the parts given
}

// Turns returns the turns that an item may take on a sheet, degrees, ascending from 0;
// of one that may take any, those that are tried.
func Turns(it *Item, s *Sheet) []float64 {
	turns := allowed(it, s)
	slices.Sort(turns)
	return slices.Compact(turns)
}

// spotStep is the step, mm, of places that are tried for a part that is put by hand, and
// spotRings and spotWays how many are tried about the one asked for.
const (
	spotStep  = 0.01
	spotRings = 8
	spotWays  = 16
	spotWork  = 20_000 // lines and arcs nearby up to which that is done
)

// SpotOn puts a part, pinned as p says, on its sheet, where others lie as given, some of
// them pinned. It is brought within the margin and, if that takes no more than reach
// (mm), clear of all others; where that cannot be, what is not pinned must make room.
func SpotOn(items []Item, sheets []Sheet, p Pinned, others []Placed, pinned []bool, gap, reach float64) Spot {
	h := &hand{it: &items[p.Item], s: &sheets[p.Sheet], p: p, pinned: pinned, gap: gap}
	for i := range others {
		it := &items[others[i].Item]
		h.others = append(h.others, newPlacedPart(it, others[i], i, ownGap(it, gap)))
	}
	h.own = newPlacedPart(h.it, p.placed(0), len(others), ownGap(h.it, gap))
	first := h.at(geom.Point{})
	if first.clear() || !mayTurn(h.it, h.s, p.Turn) || h.crowded(reach) {
		return first
	}
	best := first
	for k := 1; k <= spotRings; k++ {
		r := reach * float64(k) / spotRings
		for n := range spotWays {
			sin, cos := math.Sincos(2 * math.Pi * float64(n) / spotWays)
			got := h.at(geom.Pt(r*cos, r*sin))
			if got.clear() {
				return got
			}
			if len(got.Faults) == 0 && len(best.Faults) > 0 {
				best = got
			}
		}
	}
	return best
}

func (s *Spot) clear() bool { return len(s.Faults)+len(s.Way) == 0 }

// hand is a part that is put on a sheet by hand.
type hand struct {
	it     *Item
	s      *Sheet
	p      Pinned
	own    placedPart // where it is asked for
	others []placedPart
	pinned []bool
	gap    float64
}

// crowded reports whether too much lies nearby for many places to be tried.
func (h *hand) crowded(reach float64) bool {
	n := 0
	for i := range h.others {
		if h.others[i].box.Overlaps(h.own.box.Inflate(reach + h.widest(i))) {
			for _, r := range h.others[i].rings {
				n += len(r)
			}
		}
	}
	for _, r := range h.own.rings {
		n += len(r)
	}
	return n > spotWork/spotWays
}

func (h *hand) widest(i int) float64 { return max(h.own.gap, h.others[i].gap) }

// at returns what comes of the part shifted from where it is asked for, and from there
// within the margin.
func (h *hand) at(by geom.Point) Spot {
	b := h.own.box
	u := h.s.usable()
	to := geom.Pt(within(b.Min.X+by.X, u.Min.X, u.Max.X-b.W()), within(b.Min.Y+by.Y, u.Min.Y, u.Max.Y-b.H()))
	shift := to.Sub(b.Min)
	out := Spot{Pinned: h.p}
	out.Shift = h.p.Shift.Add(shift)
	q := placedPart{index: h.own.index, gap: h.own.gap, box: geom.BoxOf(to, to.Add(geom.Pt(b.W(), b.H())))}
	for _, r := range h.own.rings {
		q.rings = append(q.rings, r.Transform(geom.Shift(shift)))
	}
	if !mayTurn(h.it, h.s, h.p.Turn) {
		out.Faults = append(out.Faults, Fault{Kind: Turned, Sheet: h.p.Sheet, A: q.index, B: -1, At: to})
	}
	if by, at := q.outside(h.s); by > rounding {
		out.Faults = append(out.Faults, Fault{Outside, h.p.Sheet, q.index, -1, at, by})
	}
	near := []placedPart{q}
	for i := range h.others {
		if h.others[i].box.Overlaps(q.box.Inflate(h.widest(i))) {
			near = append(near, h.others[i])
		}
	}
	for _, f := range apart(near, h.p.Sheet) {
		other := f.A
		switch {
		case f.A == q.index:
			other = f.B
		case f.B != q.index:
			continue
		}
		if h.pinned[other] {
			f.A, f.B = q.index, other
			out.Faults = append(out.Faults, f)
		} else if !slices.Contains(out.Way, other) {
			out.Way = append(out.Way, other)
		}
	}
	return out
}

// within returns a place on the grid of places tried, from low to high; in their middle
// where there is no room.
func within(v, low, high float64) float64 {
	if high < low {
		return (low + high) / 2
	}
	return min(max(math.Round(v/spotStep)*spotStep, low), high)
}
