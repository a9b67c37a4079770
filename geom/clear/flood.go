package clear

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"

	"sluice/geom"
)

// flood gathers the discs of the narrow regions that reach given pieces. The
// centres of its discs are points of the medial axis of the measured side, and
// consecutive discs of one site are joined by a stretch of that axis.
type flood struct {
	*shape
	r     float64
	state []siteState
	order []int32 // the sites seen, in the order in which they were met
	discs []disc
	links []link
}

// siteState is what is known of one site.
type siteState struct {
	seen  bool
	open  []stretch // uncovered stretches
	discs []int32   // discs on them, in order
}

// link joins two discs that are neighbours on the medial axis, length apart.
type link struct {
	a, b   int32
	length float64
}

// crumb is the share of r below which a piece is judged by its ends and middle
// alone: it is short beside every disc that matters.
const crumb = 1.0 / 16

// room is where a flood keeps its discs and links; sheets of many parts use it over
// and over.
type room struct {
	discs []disc
	links []link
}

var rooms = sync.Pool{New: func() any { return new(room) }}

// done gives back the room of a flood, which is of no use from then on.
func (f *flood) done() { rooms.Put(&room{f.discs, f.links}) }

// newFlood runs from the given pieces over everything narrow that hangs
// together with them.
func newFlood(ctx context.Context, s *shape, r float64, from []int32) (*flood, error) {
	room := rooms.Get().(*room)
	f := &flood{shape: s, r: r, state: make([]siteState, 2*len(s.pieces)), discs: room.discs[:0], links: room.links[:0]}
	for _, i := range from {
		f.meet(2*i + 1)
		if s.fan(i) {
			f.meet(2 * i)
		}
	}
	for k := 0; k < len(f.order); k++ {
		if k%256 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		f.visit(f.order[k])
	}
	f.pairUp()
	f.connect()
	return f, nil
}

func (f *flood) meet(site int32) {
	if !f.state[site].seen {
		f.state[site].seen = true
		f.order = append(f.order, site)
	}
}

// visit finds the uncovered stretches of a site and enough discs on each that
// between two of them the partner does not change.
func (f *flood) visit(site int32) {
	st := &f.state[site]
	if length := f.siteLength(site, f.r); length < crumb*f.r {
		f.sample(site)
	} else {
		var breaks []float64
		st.open, breaks = f.uncovered(site, f.r)
		breaks = f.addSteps(site, breaks)
		k := 0
		for _, o := range st.open {
			for k < len(breaks) && breaks[k] < o.a {
				k++
			}
			at := []float64{}
			for ; k < len(breaks) && breaks[k] <= o.b; k++ {
				if n := len(at); n > 0 {
					at = append(at, (at[n-1]+breaks[k])/2)
				}
				at = append(at, breaks[k])
			}
			f.trace(site, at)
		}
	}
	for _, o := range st.open {
		if o.a == 0 {
			f.meet(f.preceding(site))
		}
		if o.b == 1 {
			f.meet(f.following(site))
		}
	}
}

// sample judges a short site by three discs.
func (f *flood) sample(site int32) {
	st := &f.state[site]
	var last disc
	have := false
	for _, t := range [3]float64{0, 0.5, 1} {
		d, ok := f.touching(site, t, f.r-slack)
		if !ok {
			have = false
			continue
		}
		if have {
			st.open[len(st.open)-1].b = t
			f.between(last, d, 0)
		} else {
			st.open = append(st.open, stretch{t, t})
		}
		f.put(d)
		last, have = d, true
	}
}

// addSteps adds shares so that normals turn by at most 30 degrees between two.
func (f *flood) addSteps(site int32, breaks []float64) []float64 {
	turn := f.turn[site/2]
	if site%2 == 1 {
		turn = f.pieces[site/2].Sweep // 0 for a line
	}
	n := int(math.Ceil(math.Abs(turn) / (math.Pi / 6)))
	if len(breaks) == 0 || n < 2 {
		return breaks
	}
	for k := 1; k < n; k++ {
		breaks = append(breaks, float64(k)/float64(n))
	}
	slices.Sort(breaks)
	return slices.Compact(breaks)
}

func (f *flood) put(d disc) {
	f.state[d.site].discs = append(f.state[d.site].discs, int32(len(f.discs)))
	f.discs = append(f.discs, d)
	f.meet(d.partner)
}

// trace puts discs at the given shares of one uncovered stretch and where the
// partner changes between them.
func (f *flood) trace(site int32, at []float64) {
	var last disc
	have := false
	for _, t := range at {
		d, ok := f.touching(site, t, f.r)
		if !ok {
			have = false
			continue
		}
		if have {
			f.between(last, d, 0)
		}
		f.put(d)
		last, have = d, true
	}
}

// between puts the discs between a and b at which the partner changes, and
// those that matter while it does not.
func (f *flood) between(a, b disc, depth int) {
	lo, hi := a, b // lo has the partner of a, hi that of b
	if a.partner == b.partner {
		f.withOnePartner(a, b)
		return
	}
	length := f.siteLength(a.site, f.r)
	for _, p := range [2]int32{a.partner, b.partner} {
		t, ok := f.straightAcross(a.site, p, a.t, b.t)
		if !ok || min(t-a.t, b.t-t)*length < 1e-9 || depth > 60 {
			continue
		}
		if m, ok := f.touching(a.site, t, f.r); ok && m.partner == p {
			f.between(a, m, depth+1)
			f.put(m)
			f.between(m, b, depth+1)
			return
		}
	}
	if l, h, ok := f.exchange(a, b, length); ok {
		lo, hi = l, h
	}
	small := f.r / 8
	for range 60 {
		gap := (hi.t - lo.t) * length
		alike := (lo.cos <= opposed) == (hi.cos <= opposed)
		if gap < 1e-9 || alike && gap < small && lo.q.Dist(hi.q) < small && f.adjoin(lo.partner, hi.partner) {
			break
		}
		m, ok := f.touching(a.site, (lo.t+hi.t)/2, f.r)
		if !ok {
			break
		}
		switch {
		case m.partner == lo.partner:
			lo = m
		case m.partner == hi.partner:
			hi = m
		case depth < 60:
			f.between(lo, m, depth+1)
			f.put(m)
			lo = m
		}
	}
	f.withOnePartner(a, lo)
	f.put(lo)
	f.put(hi)
	f.withOnePartner(hi, b)
}

// withOnePartner puts the extremes between two discs that touch the same sites.
func (f *flood) withOnePartner(a, b disc) {
	if a.t == b.t || a.partner != b.partner {
		return
	}
	if t, ok := f.straightAcross(a.site, a.partner, a.t, b.t); ok {
		if d, ok := f.touching(a.site, t, f.r); ok {
			f.turnAway(a, d)
			f.bend(a, d, 0)
			f.put(d)
			f.turnAway(d, b)
			f.bend(d, b, 0)
			return
		}
	}
	f.turnAway(a, b)
	f.bend(a, b, 0)
}

// bend puts discs between a and b while the axis between them is too bent for
// its length to be told from its ends.
func (f *flood) bend(a, b disc, depth int) {
	chord := b.c.Sub(a.c)
	if depth > 4 || chord.Norm() < 0.02*f.r ||
		max(math.Abs(a.heading(chord)), math.Abs(b.heading(chord))) < 0.3 {
		return
	}
	m, ok := f.touching(a.site, (a.t+b.t)/2, f.r)
	if !ok || m.partner != a.partner {
		return
	}
	f.bend(a, m, depth+1)
	f.put(m)
	f.bend(m, b, depth+1)
}

// turnAway puts the disc between a and b, which have one partner, at which the
// sides cease to face each other.
func (f *flood) turnAway(a, b disc) {
	if (a.cos <= opposed) == (b.cos <= opposed) {
		return
	}
	length := f.siteLength(a.site, f.r)
	x := falsePosition{a: a.t, b: b.t, fa: a.cos - opposed, fb: b.cos - opposed}
	for range 60 {
		if (b.t-a.t)*length < 1e-9 {
			break
		}
		m, ok := f.touching(a.site, x.next(), f.r)
		if !ok || m.partner != a.partner {
			return
		}
		if x.put(m.t, m.cos-opposed) {
			a = m
		} else {
			b = m
		}
		if math.Abs(m.cos-opposed) < 1e-12 {
			m.cos = opposed // it counts as facing
			f.put(m)
			return
		}
	}
	if a.cos <= opposed {
		f.put(a)
	} else {
		f.put(b)
	}
}

// adjoin reports whether two sites are neighbours on an outline.
func (f *flood) adjoin(x, y int32) bool {
	return f.following(x) == y || f.following(y) == x
}

// straightAcross returns the share of a site between lo and hi at which its
// normal meets the partner at a right angle, where the width has its extreme.
func (f *flood) straightAcross(site, partner int32, lo, hi float64) (float64, bool) {
	e, g := &f.pieces[site/2], &f.pieces[partner/2]
	eRound, gRound := site%2 == 0 || e.R > 0, partner%2 == 0 || g.R > 0
	center := func(s int32, p *geom.Piece) geom.Point {
		if s%2 == 0 {
			return p.A
		}
		return p.C
	}
	switch {
	case !eRound && !gRound:
		return 0, false
	case !eRound:
		u := e.B.Sub(e.A)
		t := center(partner, g).Sub(e.A).Dot(u) / u.Dot(u)
		return t, t > lo && t < hi
	}
	c := center(site, e)
	var dir geom.Point
	if gRound {
		dir = center(partner, g).Sub(c)
	} else {
		dir = f.n0[partner/2]
	}
	_, n := f.at(site, 0)
	turn := f.turn[site/2]
	if site%2 == 1 {
		turn = e.Sweep
	}
	a := geom.TurnTo(n, dir)
	for _, b := range [4]float64{a, a + math.Pi, a - math.Pi, a - math.Copysign(2*math.Pi, a)} {
		if t := b / turn; t > lo && t < hi {
			return t, true
		}
	}
	return 0, false
}

// pairUp puts every disc also where it touches its partner.
func (f *flood) pairUp() {
	n := int32(len(f.discs))
	for i := range n {
		d := f.discs[i]
		if d.partner == d.site {
			continue
		}
		t := disc{
			site: d.partner, partner: d.site, t: d.tq, tq: d.t, p: d.q, q: d.p, c: d.c,
			rho: d.rho, cos: d.cos, twin: i, about: d.about,
		}
		k := int32(len(f.discs))
		f.discs[i].twin = k
		f.state[t.site].discs = append(f.state[t.site].discs, k)
		f.discs = append(f.discs, t)
		f.links = append(f.links, link{i, k, 0})
	}
}

// connect sorts the discs along each site and links neighbours, on and across
// sites.
func (f *flood) connect() {
	for _, site := range f.order {
		st := &f.state[site]
		slices.SortFunc(st.discs, func(i, j int32) int {
			return cmp.Or(cmp.Compare(f.discs[i].t, f.discs[j].t), cmp.Compare(i, j))
		})
	}
	for _, site := range f.order {
		st := &f.state[site]
		k := 0
		tol := 1e-7 / max(1e-7, f.siteLength(site, f.r))
		for _, o := range st.open {
			for k < len(st.discs) && f.discs[st.discs[k]].t < o.a-tol {
				k++
			}
			for ; k+1 < len(st.discs) && f.discs[st.discs[k+1]].t <= o.b+tol; k++ {
				f.link(st.discs[k], st.discs[k+1])
			}
			if o.b == 1 && k < len(st.discs) {
				next := &f.state[f.following(site)]
				if len(next.open) > 0 && next.open[0].a == 0 && len(next.discs) > 0 {
					f.link(st.discs[len(st.discs)-1], next.discs[0])
				}
			}
		}
	}
}

func (f *flood) link(a, b int32) {
	f.links = append(f.links, link{a, b, axisLength(&f.discs[a], &f.discs[b])})
}

// axisLength returns the length of the medial axis between two neighbouring
// discs. The axis halves the angle between the touching radii; a cubic that
// leaves the chord at angles u and v is longer than it by (2u^2 + 2v^2 - uv)/30,
// to fourth order in them.
func axisLength(a, b *disc) float64 {
	chord := b.c.Sub(a.c)
	l := chord.Norm()
	if l < near || a.partner != b.partner && a.q.Dist(b.q) > near {
		return l // they are next to each other, or at a meeting of axes
	}
	u, v := a.heading(chord), b.heading(chord)
	return l * (1 + (2*u*u+2*v*v-u*v)/30)
}

// heading returns the angle from a direction to the medial axis at the disc,
// both taken without sense; 0 where the disc does not tell.
func (d *disc) heading(dir geom.Point) float64 {
	axis := d.q.Sub(d.p).Left()
	if axis.Norm() < near {
		return 0
	}
	if axis.Dot(dir) < 0 {
		axis = axis.Mul(-1)
	}
	return geom.TurnTo(dir, axis)
}
