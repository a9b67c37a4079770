package layout

import (
	"math"

	"sluice/geom"
	"sluice/geom/outline"
)

// Aside finds room beside the others for single parts of a sheet.
type Aside struct {
	p     *parting
	s     *outline.Sheet
	room  geom.Box   // where parts must stay; empty: anywhere
	zones []geom.Box // where none may lie
	far   float64    // how far a part is moved at most, mm
}

// NewAside gets ready to move parts of a sheet aside, so that Gap is between them and
// all others, within Room where that is not empty, and out of zones.
func NewAside(s *outline.Sheet, o SpreadOptions, zones []geom.Box) (*Aside, error) {
	if o.Outward <= 0 {
		o.Outward = 0.02
	}
	p, err := newParting(s, o)
	if err != nil {
		return nil, err
	}
	a := &Aside{p: p, s: s, room: geom.NoBox(), zones: zones}
	all := s.PartsBox()
	if !o.Room.Empty() && o.Room != (geom.Box{}) {
		a.room = o.Room
		all = all.Union(o.Room)
	}
	a.far = all.Diagonal() + 4*o.Gap
	return a, nil
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
	return a.p.freeAt(k, at)
}

// Twice returns a sheet that has part k twice, the copy last, for room to be found for
// it.
func Twice(s *outline.Sheet, k int) *outline.Sheet {
	t := *s
	t.Parts = append(s.Parts[:len(s.Parts):len(s.Parts)], s.Parts[k])
	return &t
}
