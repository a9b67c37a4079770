package layout

import (
	"cmp"
	"context"
	"math"
	"slices"

	"sluice/fix/layout/nofit"
	"sluice/fix/layout/region"
	"sluice/geom"
	"sluice/geom/outline"
)

// parting is the search for the shifts of Spread.
type parting struct {
	sheet   *outline.Sheet
	outward float64       // by which shapes may be larger, mm
	made    []bool        // by part: its shape is made
	bad     map[int]error // by part: why it cannot be made
	around  []bool        // by part: others lie in its holes

	gap    float64
	box    []geom.Box
	middle []geom.Point
	solid  [][]region.Ring // by part, about its middle, holes filled
	holed  [][]region.Ring // the same with its holes, for parts that hold others
	within []map[int]bool  // by part: the parts in whose holes it lies
	tables map[[2]int]*nofit.Table
	shift  []geom.Point
	holds  map[[2]int][]*hold // the latest few of each pair, oldest first
	order  []*hold
}

// hold is a half plane that keeps two parts apart, or one part in the room
// (j < 0): n . (shift j - shift i) >= least, or n . shift i >= least.
type hold struct {
	i, j  int
	n     geom.Point
	least float64
	force float64 // how far it has pushed, 0 or more
}

// Spread asks for a hair more than the gap, mm, so that shifts that satisfy the
// half planes nearly satisfy the gap wholly.
const (
	hair       = 2e-4
	satisfied  = 1e-4
	mostRounds = 150
	mostSweeps = 4000
	heldBy     = 3
)

// newParting gets ready to move the parts of a sheet; their shapes are made as they are
// needed.
func newParting(s *outline.Sheet, o SpreadOptions) *parting {
	n := len(s.Parts)
	p := &parting{
		sheet: s, outward: o.Outward, made: make([]bool, n), bad: map[int]error{}, around: make([]bool, n),
		gap: o.Gap, box: make([]geom.Box, n), middle: make([]geom.Point, n),
		solid: make([][]region.Ring, n), holed: make([][]region.Ring, n), within: make([]map[int]bool, n),
		tables: map[[2]int]*nofit.Table{}, shift: make([]geom.Point, n), holds: map[[2]int][]*hold{},
	}
	for k := range s.Parts {
		p.box[k] = s.Parts[k].Box
		p.middle[k] = p.box[k].Center()
		for at := s.Outlines[s.Parts[k].Outer].Parent; at >= 0; at = s.Outlines[at].Parent {
			if h := int(s.Outlines[at].Part); h != k && h >= 0 {
				if p.within[k] == nil {
					p.within[k] = map[int]bool{}
				}
				p.within[k][h] = true
				p.around[h] = true
			}
		}
	}
	return p
}

// all makes the shapes of all parts.
func (p *parting) all() error {
	for k := range p.sheet.Parts {
		if err := p.shape(k); err != nil {
			return err
		}
	}
	return nil
}

// shape makes the shape of part k, once.
func (p *parting) shape(k int) error {
	if p.made[k] {
		return p.bad[k]
	}
	p.made[k] = true
	part := &p.sheet.Parts[k]
	var holes []geom.Path
	for _, h := range part.Holes {
		holes = append(holes, p.sheet.Outlines[h].Pieces)
	}
	g, err := toRegion(p.sheet.Outlines[part.Outer].Pieces, holes, p.outward/2)
	if err != nil {
		p.bad[k] = err
		return err
	}
	move(g, p.middle[k])
	g = g.Simplify(p.outward/2, 2*p.gap, 2*p.gap)
	p.solid[k], _ = (&region.Region{Outer: g.Outer}).Convex()
	if p.around[k] {
		p.holed[k], _ = g.Convex()
	}
	return nil
}

// table returns the no-fit table of part j moving about part i < j.
func (p *parting) table(i, j int) *nofit.Table {
	key := [2]int{i, j}
	if t, ok := p.tables[key]; ok {
		return t
	}
	a, b := p.solid[i], p.solid[j]
	if p.within[j][i] {
		a = p.holed[i]
	}
	if p.within[i][j] {
		b = p.holed[j]
	}
	t := nofit.New(a, b, p.gap, 0)
	p.tables[key] = t
	return t
}

// apart is the displacement of part j against part i.
func (p *parting) apart(i, j int) geom.Point {
	return p.middle[j].Add(p.shift[j]).Sub(p.middle[i].Add(p.shift[i]))
}

// tooNear calls f for the pairs i < j that are nearer than the gap, in a fixed
// order, until it returns false.
func (p *parting) tooNear(f func(i, j int, t *nofit.Table, d geom.Point) bool) {
	n := len(p.box)
	at := make([]int, n)
	for i := range at {
		at[i] = i
	}
	left := func(i int) float64 { return p.box[i].Min.X + p.shift[i].X }
	slices.SortFunc(at, func(a, b int) int { return cmp.Or(cmp.Compare(left(a), left(b)), a-b) })
	for k, a := range at {
		reach := shifted(p.box[a], p.shift[a]).Inflate(p.gap)
		for _, b := range at[k+1:] {
			if left(b) > reach.Max.X {
				break
			}
			if !reach.Overlaps(shifted(p.box[b], p.shift[b])) {
				continue
			}
			i, j := min(a, b), max(a, b)
			t, d := p.table(i, j), p.apart(i, j)
			if depth, _, _ := t.Depth(d.X, d.Y); depth > 0 && !f(i, j, t, d) {
				return
			}
		}
	}
}

// solve looks for the least shifts; ok is false if it does not come to rest.
func (p *parting) solve(ctx context.Context, room geom.Box) (ok bool, err error) {
	clear(p.shift)
	clear(p.holds)
	p.order = p.order[:0]
	if !room.Empty() {
		for i, b := range p.box {
			if b.W() > room.W() || b.H() > room.H() {
				return false, nil
			}
			for _, h := range [4]hold{
				{n: geom.Pt(1, 0), least: room.Min.X - b.Min.X}, {n: geom.Pt(-1, 0), least: b.Max.X - room.Max.X},
				{n: geom.Pt(0, 1), least: room.Min.Y - b.Min.Y}, {n: geom.Pt(0, -1), least: b.Max.Y - room.Max.Y},
			} {
				h.i, h.j = i, -1
				h.least += hair
				p.order = append(p.order, &h)
			}
		}
	}
	for range mostRounds {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		found := false
		p.tooNear(func(i, j int, t *nofit.Table, d geom.Point) bool {
			found = true
			e := t.Exit(d)
			n := e.Unit()
			h := p.holdFor(i, j)
			h.n, h.force = n, 0
			h.least = n.Dot(d.Add(e)) + hair - n.Dot(p.middle[j].Sub(p.middle[i]))
			return true
		})
		if !found {
			return true, nil
		}
		p.settle()
	}
	return false, nil
}

// holdFor returns a half plane of a pair to set: a new one, or the oldest of
// heldBy. Two or three are needed where one part sits in a corner of the other.
func (p *parting) holdFor(i, j int) *hold {
	key := [2]int{i, j}
	have := p.holds[key]
	if len(have) < heldBy {
		h := &hold{i: i, j: j}
		p.holds[key] = append(have, h)
		p.order = append(p.order, h)
		return h
	}
	h := have[0]
	copy(have, have[1:])
	have[heldBy-1] = h
	return h
}

// settle finds the least shifts within all half planes by pushing at one after
// the other, and giving way where an earlier push has become needless.
func (p *parting) settle() {
	clear(p.shift)
	for _, h := range p.order {
		h.push(p.shift, h.force)
	}
	for range mostSweeps {
		worst := 0.0
		for _, h := range p.order {
			have, share := -h.n.Dot(p.shift[h.i]), 2.0
			if h.j >= 0 {
				have += h.n.Dot(p.shift[h.j])
			} else {
				have, share = -have, 1
			}
			miss := h.least - have
			worst = max(worst, miss)
			by := max(-h.force, miss/share)
			h.force += by
			h.push(p.shift, by)
		}
		if worst < satisfied {
			return
		}
	}
}

// push moves the parts of a half plane by so much each.
func (h *hold) push(shift []geom.Point, by float64) {
	if h.j < 0 {
		shift[h.i] = shift[h.i].Add(h.n.Mul(by))
		return
	}
	shift[h.i] = shift[h.i].Sub(h.n.Mul(by))
	shift[h.j] = shift[h.j].Add(h.n.Mul(by))
}

// enlarge spaces the middles of all parts evenly until all are apart, then
// draws each back towards its place as far as it goes.
func (p *parting) enlarge(ctx context.Context) (ok bool, err error) {
	all := geom.NoBox()
	for _, b := range p.box {
		all = all.Union(b)
	}
	c := all.Center()
	free := func(f float64) bool {
		for i := range p.shift {
			p.shift[i] = p.middle[i].Sub(c).Mul(f)
		}
		clean := true
		p.tooNear(func(int, int, *nofit.Table, geom.Point) bool { clean = false; return false })
		return clean
	}
	f := 0.01
	for ; !free(f); f *= 1.5 {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		if f > 1e4 {
			return false, nil
		}
	}
	for lo := 0.0; f-lo > 1e-3*f; {
		if mid := (lo + f) / 2; free(mid) {
			f = mid
		} else {
			lo = mid
		}
	}
	free(f)
	order := make([]int, len(p.shift))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p.shift[a].Norm(), p.shift[b].Norm()) })
	for range 12 {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		gain := 0.0
		for _, i := range order {
			gain = max(gain, p.drawBack(i))
		}
		if gain < 0.01 {
			break
		}
	}
	return true, nil
}

// drawBack moves one part towards its place until it would come too near
// another, and returns how far.
func (p *parting) drawBack(i int) float64 {
	full := p.shift[i].Norm()
	if full == 0 {
		return 0
	}
	u := p.shift[i].Mul(-1 / full)
	// The first place along the way that is not free, over all others.
	path := shifted(p.box[i], p.shift[i]).Union(p.box[i]).Inflate(p.gap)
	most := full
	for j := range p.box {
		if j == i || !path.Overlaps(shifted(p.box[j], p.shift[j])) {
			continue
		}
		a, b := min(i, j), max(i, j)
		t, d, dir := p.table(a, b), p.apart(a, b), u
		if i == a {
			dir = u.Mul(-1)
		}
		most = min(most, t.Reach(d, dir))
	}
	most = max(0, most-hair)
	if most >= full-2*hair {
		most = full
		if !p.freeAt(i, geom.Point{}) {
			most = max(0, full-2*hair)
		}
	}
	p.shift[i] = p.shift[i].Add(u.Mul(most))
	if most == full {
		p.shift[i] = geom.Point{}
	}
	return math.Abs(most)
}

// freeAt reports whether part i would be clear of all others at a shift.
func (p *parting) freeAt(i int, at geom.Point) bool {
	if p.shape(i) != nil {
		return false
	}
	have := p.shift[i]
	p.shift[i] = at
	defer func() { p.shift[i] = have }()
	for j := range p.box {
		if j == i {
			continue
		}
		a, b := min(i, j), max(i, j)
		if !shifted(p.box[a], p.shift[a]).Inflate(p.gap).Overlaps(shifted(p.box[b], p.shift[b])) {
			continue
		}
		if p.shape(j) != nil {
			return false
		}
		d := p.apart(a, b)
		if depth, _, _ := p.table(a, b).Depth(d.X, d.Y); depth > 0 {
			return false
		}
	}
	return true
}
