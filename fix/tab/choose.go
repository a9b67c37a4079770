package tab

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// Bounds on the places compared, so that long outlines stay cheap.
const (
	sectors   = 24 // stretches into which the outline is divided, and rays from the centre of mass
	perSector = 3  // places looked at closely in each stretch
)

// spots returns scored places for tabs, in an order that depends on their
// coordinates alone.
func (c *score) spots() []spot {
	var all []spot
	t := c.t
	add := func(s float64, e int) { all = append(all, c.shape(s, e)) }
	for i := range t.edges {
		if t.edges[i].round {
			c.rays(add, i)
			continue
		}
		e := &t.edges[i]
		mid, half := (e.s0+e.s1)/2, (e.s1-e.s0)/2-1.5*c.gap
		add(mid, i)
		if half <= 0 {
			continue
		}
		steps := int(min(max(half/(2*c.gap), 1), 6))
		for k := range steps {
			d := half * float64(k+1) / float64(steps)
			add(mid-d, i)
			add(mid+d, i)
		}
		// Where the edge passes nearest to the centre of mass.
		if s, ok := c.foot(e); ok {
			add(s, i)
		}
	}
	// What lies across the centre of mass from the best of them.
	best := sorted(all, rank.byCost)
	for _, sp := range best[:min(len(best), 150)] {
		if s, e, ok := c.opposite(sp.at); ok {
			add(s, e)
		}
	}
	if (len(all) < 8 || t.length < 16*c.gap) && len(t.path.Pieces) <= 64 {
		for i := range t.path.Pieces {
			s := (t.at[i] + t.at[i+1]) / 2
			e := c.edgeAt(s)
			add(c.onEdge(s, e), e)
		}
	}
	if len(all) < 8 {
		c.rays(add, -1)
	}
	for i := range all {
		all[i].s = offset(all[i].s, t.length)
	}
	return c.thin(all)
}

// thin keeps the best few places of each stretch of the outline and looks at
// their surroundings. The stretches are counted from a place that does not
// depend on the first piece.
func (c *score) thin(all []spot) []spot {
	all = slices.CompactFunc(sorted(all, rank.byPlace), func(a, b spot) bool {
		return round(a.at.X) == round(b.at.X) && round(a.at.Y) == round(b.at.Y)
	})
	if len(all) > sectors*perSector {
		all = sorted(all, rank.byCost)
		var count [sectors]int
		origin := c.outermost()
		kept := all[:0]
		for _, sp := range all {
			k := int(offset(sp.s-origin, c.t.length)/c.t.length*sectors+1e-6) % sectors
			if count[k]++; count[k] <= perSector {
				kept = append(kept, sp)
			}
		}
		all = sorted(kept, rank.byPlace)
	}
	for i := range all {
		all[i] = c.surroundings(all[i])
	}
	return all
}

// outermost returns the arc length of the end of a piece that lies farthest
// from the centre of mass.
func (c *score) outermost() float64 {
	best := spot{cost: math.Inf(1)}
	for i := range c.t.path.Pieces {
		at := c.t.path.Pieces[i].A
		if sp := (spot{s: c.t.at[i], at: at, cost: -at.Dist(c.mass)}); rankOf(&sp).byCost(rankOf(&best)) < 0 {
			best = sp
		}
	}
	return best.s
}

// rank is what spots are ordered by: their costs and coordinates, rounded.
type rank struct {
	cost, x, y float64
	spot       int32
}

func rankOf(sp *spot) rank { return rank{cost: round(sp.cost), x: round(sp.at.X), y: round(sp.at.Y)} }

// byPlace orders row by row from the top left.
func (a rank) byPlace(b rank) int {
	switch {
	case a.y != b.y:
		return cmp.Compare(b.y, a.y)
	case a.x != b.x:
		return cmp.Compare(a.x, b.x)
	}
	return cmp.Compare(a.cost, b.cost)
}

// byCost orders by cost, then by place.
func (a rank) byCost(b rank) int {
	if a.cost != b.cost {
		return cmp.Compare(a.cost, b.cost)
	}
	return a.byPlace(b)
}

// sorted returns the spots in an order of their ranks.
func sorted(spots []spot, order func(a, b rank) int) []spot {
	ranks := make([]rank, len(spots))
	for i := range spots {
		ranks[i] = rankOf(&spots[i])
		ranks[i].spot = int32(i)
	}
	slices.SortFunc(ranks, order)
	out := make([]spot, len(spots))
	for i := range ranks {
		out[i] = spots[ranks[i].spot]
	}
	return out
}

// round drops the digits that rounding may change.
func round(v float64) float64 { return math.Round(v * 1e5) }

// edgeAt returns the edge that holds arc length s, -1 if none does.
func (c *score) edgeAt(s float64) int {
	for i := range c.t.edges {
		e := &c.t.edges[i]
		if e.round || s >= e.s0 && s <= e.s1 || s+c.t.length >= e.s0 && s+c.t.length <= e.s1 {
			return i
		}
	}
	return -1
}

// onEdge returns s as a length within edge e, one lap on if need be.
func (c *score) onEdge(s float64, e int) float64 {
	if e >= 0 && !c.t.edges[e].round && s < c.t.edges[e].s0 {
		return s + c.t.length
	}
	return s
}

// foot returns the place at which a straight edge passes nearest to the centre
// of mass.
func (c *score) foot(e *edge) (float64, bool) {
	a := c.t.find(offset(e.s0, c.t.length))
	p := &c.t.path.Pieces[a.piece]
	if p.R > 0 || math.Abs(p.Length()-(e.s1-e.s0)) > 1e-6 {
		return 0, false
	}
	_, share := p.Nearest(c.mass)
	s := e.s0 + share*(e.s1-e.s0)
	return s, s > e.s0+1.5*c.gap && s < e.s1-1.5*c.gap
}

// rays adds the places where rays from the centre of mass leave the outline.
func (c *score) rays(add func(s float64, e int), e int) {
	for k := range sectors {
		dir := geom.Polar(geom.Point{}, 1, 2*math.Pi*float64(k)/sectors)
		if s, ok := c.hit(dir); ok {
			if e < 0 {
				add(c.onEdge(s, c.edgeAt(s)), c.edgeAt(s))
			} else {
				add(s, e)
			}
		}
	}
}

// opposite returns the place across the centre of mass from p.
func (c *score) opposite(p geom.Point) (float64, int, bool) {
	d := c.mass.Sub(p).Unit()
	if d == (geom.Point{}) {
		return 0, 0, false
	}
	s, ok := c.hit(d)
	e := c.edgeAt(s)
	return c.onEdge(s, e), e, ok
}

// hit returns the outermost place at which the ray from the centre of mass in
// the unit direction d meets the outline.
func (c *score) hit(d geom.Point) (float64, bool) {
	best, at := -1.0, 0.0
	for i := range c.t.path.Pieces {
		p := &c.t.path.Pieces[i]
		length := c.t.at[i+1] - c.t.at[i]
		if p.R == 0 {
			u, w := p.A.Sub(c.mass), p.B.Sub(c.mass)
			ca, cb := d.Cross(u), d.Cross(w)
			if (ca < 0) == (cb < 0) {
				continue
			}
			t := ca / (ca - cb)
			if r := u.Lerp(w, t).Dot(d); r > best {
				best, at = r, c.t.at[i]+t*length
			}
			continue
		}
		m := p.C.Sub(c.mass)
		along, off := m.Dot(d), d.Cross(m)
		if math.Abs(off) > p.R {
			continue
		}
		h := math.Sqrt(p.R*p.R - off*off)
		for _, r := range [2]float64{along + h, along - h} {
			if u := c.mass.Add(d.Mul(r)).Sub(p.C); r > best && p.SweepsOver(u) {
				best, at = r, c.t.at[i]+p.ShareOf(u)*length
			}
		}
	}
	return at, best >= 0
}

// better is by how much a score must fall to count: less is rounding.
const better = 1e-6

// choose returns the best n of the spots, fewer where more do not fit.
func (c *score) choose(spots []spot, n int) []spot {
	for ; n > 2; n-- {
		if set := c.chooseMany(spots, n); set != nil {
			return set
		}
	}
	best, least := []spot(nil), math.Inf(1)
	if n == 2 {
		for i := range spots {
			for j := range i {
				pair := [2]spot{spots[j], spots[i]}
				if cost, _ := c.of(pair[:]); cost < least-better {
					best, least = []spot{spots[j], spots[i]}, cost
				}
			}
		}
		if best != nil {
			return best
		}
	}
	for _, sp := range spots {
		if sp.cost < least-better {
			best, least = []spot{sp}, sp.cost
		}
	}
	return best
}

// chooseMany starts from evenly spaced sets, one from each spot, and swaps
// tabs of the best of them until no swap helps.
func (c *score) chooseMany(spots []spot, n int) []spot {
	var best []spot
	least := math.Inf(1)
	set := make([]spot, 0, n)
	for i := range spots {
		set = append(set[:0], spots[i])
		for k := 1; k < n; k++ {
			ideal := spots[i].s + c.t.length*float64(k)/float64(n)
			next, low := -1, math.Inf(1)
			for j := range spots {
				off := offset(spots[j].s-ideal, c.t.length)
				off = min(off, c.t.length-off) / (c.t.length / float64(n))
				cost := spots[j].cost + 40*off
				if cost < low-better && c.fits(set, &spots[j]) {
					next, low = j, cost
				}
			}
			if next < 0 {
				break
			}
			set = append(set, spots[next])
		}
		if len(set) < n {
			continue
		}
		if cost, _ := c.of(set); cost < least-better {
			best, least = append(best[:0], set...), cost
		}
	}
	if best == nil {
		return nil
	}
	for range 8 {
		swapped := false
		for k := range best {
			for j := range spots {
				was := best[k]
				best[k] = spots[j]
				if cost, _ := c.of(best); cost < least-better {
					least, swapped = cost, true
				} else {
					best[k] = was
				}
			}
		}
		if !swapped {
			break
		}
	}
	return best
}

// refine slides the tabs along their edges while that lowers the score, the
// move that helps most first.
func (c *score) refine(set []spot) []spot {
	if len(set) == 0 {
		return nil
	}
	least, _ := c.of(set)
	for _, step := range [...]float64{2, 1, 0.5, 0.25} {
		for range 12 {
			k, to, low := -1, spot{}, least-1e-3
			for i := range set {
				for _, d := range [2]float64{-step * c.gap, step * c.gap} {
					sp, ok := c.slid(set[i], d)
					if !ok {
						continue
					}
					was := set[i]
					set[i] = sp
					cost, _ := c.of(set)
					if cost < low-better || k >= 0 && cost < low+better && rankOf(&sp).byPlace(rankOf(&to)) < 0 {
						k, to, low = i, sp, cost
					}
					set[i] = was
				}
			}
			if k < 0 {
				break
			}
			set[k], least = to, low
		}
	}
	return set
}

// slid returns the spot moved by d along its edge.
func (c *score) slid(sp spot, d float64) (spot, bool) {
	if sp.edge < 0 {
		return sp, false
	}
	s := c.onEdge(sp.s, sp.edge) + d
	if e := &c.t.edges[sp.edge]; !e.round && (s < e.s0 || s > e.s1) {
		return sp, false
	}
	n := c.surroundings(c.shape(s, sp.edge))
	n.s = offset(s, c.t.length)
	return n, true
}

// settle shifts a gap by less than reach (mm) so that none of its ends lies
// just beside an end of a piece: a split there would leave a sliver that
// reads back as a speck.
func (c *score) settle(sp spot, reach float64) spot {
	for _, end := range [2]float64{sp.s - c.gap/2, sp.s + c.gap/2} {
		s := offset(end, c.t.length)
		a := c.t.find(s)
		d := c.t.at[a.piece] - s
		if next := c.t.at[a.piece+1] - s; next < -d {
			d = next
		}
		if d != 0 && math.Abs(d) < reach {
			sp.s = offset(sp.s+d, c.t.length)
			sp.at = c.t.pointAt(sp.s)
			break
		}
	}
	return sp
}
