package layout

import (
	"math"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/outline"
)

// Aside finds room beside the others for single parts of a sheet.
type Aside struct {
	p     *parting
	s     *outline.Sheet
	room  geom.Box    // where parts must stay; empty: anywhere
	zones []geom.Box  // where none may lie
	far   float64     // how far a part is moved at most, mm
	cuts  *index.Tree // boxes of short stretches of what is cut and bounds no part
	of    []int32     // by box: the part in which it lies wholly, else -1
}

// NewAside gets ready to move parts of a sheet aside, so that Gap is between them and
// all others, within Room where that is not empty, and out of zones.
func NewAside(s *outline.Sheet, o SpreadOptions, zones []geom.Box) *Aside {
	if o.Outward <= 0 {
		o.Outward = 0.02
	}
	p := newParting(s, o)
	a := &Aside{p: p, s: s, room: geom.NoBox(), zones: zones}
	all := s.PartsBox()
	if !o.Room.Empty() && o.Room != (geom.Box{}) {
		a.room = o.Room
		all = all.Union(o.Room)
	}
	a.far = all.Diagonal() + 4*o.Gap
	a.loose()
	return a
}

// looseStretch is how long the stretches are, mm, whose boxes stand for open cuts.
const looseStretch = 3

// loose gathers what is cut and bounds no part.
func (a *Aside) loose() {
	var boxes []geom.Box
	put := func(path geom.Path, of int32) {
		for i := range path {
			n := int(min(max(math.Ceil(path[i].Length()/looseStretch), 1), 400))
			for k := range n {
				boxes = append(boxes, path[i].Sub(float64(k)/float64(n), float64(k+1)/float64(n)).Box())
				a.of = append(a.of, of)
			}
		}
	}
	for i := range a.s.Open {
		o := &a.s.Open[i]
		of := int32(-1)
		if o.Inside {
			of = o.Part
		}
		put(o.Pieces, of)
	}
	for i := range a.s.Tangles {
		put(a.s.Tangles[i].Pieces, -1)
	}
	a.cuts = index.NewTree(boxes)
}

// asideWays is in how many directions room is looked for.
const asideWays = 16

// Shift returns the shortest of the ways, one in each of sixteen directions, that move
// part k, as it lies now, to a free place, and takes it as moved from then on. ok is
// false where there is none.
func (a *Aside) Shift(k int) (by geom.Point, ok bool) {
	from := a.p.shift[k]
	if a.free(k, from) {
		return geom.Point{}, true
	}
	best := a.far
	step := max(a.p.gap/2, 0.25)
	for w := range asideWays {
		dir := geom.Polar(geom.Point{}, 1, 2*math.Pi*float64(w)/asideWays)
		if w%(asideWays/4) == 0 { // along the axes, to the last bit
			dir = geom.Pt(math.Round(dir.X), math.Round(dir.Y))
		}
		for d := step; d < best+step; d += step {
			if !a.free(k, from.Add(dir.Mul(d))) {
				continue
			}
			lo, hi := d-step, d
			for hi-lo > hair {
				if mid := (lo + hi) / 2; a.free(k, from.Add(dir.Mul(mid))) {
					hi = mid
				} else {
					lo = mid
				}
			}
			if hi < best-hair {
				best, by, ok = hi, dir.Mul(hi), true
			}
			break
		}
	}
	if ok {
		a.p.shift[k] = from.Add(by)
	}
	return by, ok
}

// Start has the search for room for part k begin at a shift.
func (a *Aside) Start(k int, at geom.Point) { a.p.shift[k] = at }

// Back takes part k as lying where it was drawn again.
func (a *Aside) Back(k int) { a.p.shift[k] = geom.Point{} }

// free reports whether part k would be clear of all others, of the zones and within the
// room at a shift.
func (a *Aside) free(k int, at geom.Point) bool {
	b := shifted(a.p.box[k], at)
	if !a.room.Empty() && !a.room.Inflate(rounding).ContainsBox(b) {
		return false
	}
	for _, z := range a.zones {
		if z.Overlaps(b) {
			return false
		}
	}
	if !a.cuts.In(b.Inflate(a.p.gap), func(i int32) bool { return int(a.of[i]) == k }) {
		return false // a cut that goes with another part, or with none
	}
	return a.p.freeAt(k, at)
}

// Twice returns a sheet that has part k twice, the copy last, for room to be found for
// it.
func Twice(s *outline.Sheet, k int) *outline.Sheet {
	t := *s
	t.Parts = append(s.Parts[:len(s.Parts):len(s.Parts)], s.Parts[k])
	return &t
}
