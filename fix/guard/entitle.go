package guard

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// known is a stroke that stands for what was drawn or told, and since when.
type known struct {
	Stroke
	born int // round in which a told edit put it; 0: drawn
	live bool
}

// excuse is a stretch that a told edit was entitled to take out.
type excuse struct {
	piece geom.Piece
	role  Role
	round int
}

// ledger is what was drawn, what was told to come and what was told to go.
type ledger struct {
	limits  *Limits
	known   []known
	set     *set
	find    *search
	excuses []excuse
}

// newLedger goes through the changes in the order in which they were made and
// settles to what each was entitled.
func newLedger(base []Stroke, changes []change, l *Limits) *ledger {
	n := len(base)
	for i := range changes {
		n += len(changes[i].new)
	}
	g := &ledger{limits: l, known: make([]known, 0, n)}
	for i := range base {
		g.known = append(g.known, known{base[i], 0, true})
	}
	for i := range changes {
		for _, s := range changes[i].new {
			g.known = append(g.known, known{s, changes[i].round, false})
		}
	}
	g.set = newSet(len(g.known), func(i int) geom.Piece { return g.known[i].Piece })
	g.find = g.set.search()
	at := len(base)
	for i := range changes {
		g.settle(&changes[i], at)
		at += len(changes[i].new)
	}
	return g
}

// settle decides which of a change's new strokes, known from first on, it may put
// there, and what it may take away.
func (g *ledger) settle(c *change, first int) {
	r := rightsOf(c, g.limits)
	tol := g.limits.tol()
	// Only what was there can be taken away or be built on.
	var gone []Stroke
	for _, s := range c.gone {
		if g.find.covered(s.Piece, tol, func(id int32) bool { k := &g.known[id]; return k.live && k.Role == s.Role }) {
			gone = append(gone, s)
		}
	}
	old := newSet(len(gone), func(i int) geom.Piece { return gone[i].Piece }).search()
	near := newPlaces(c.places)
	for i := range c.new {
		s := &c.new[i]
		on := func(id int32) bool {
			return gone[id].Role == s.Role || s.Role == Cut && (r.fromTabs && gone[id].Role == Tab || r.fromNotes && gone[id].Role == Note)
		}
		switch fresh := old.uncovered(s.Piece, tol, on); {
		case len(fresh) == 0:
			g.known[first+i].live = true
		case s.Role == Etch || s.Role == Note:
			g.known[first+i].live = r.marks
		case s.Role == Cut:
			g.known[first+i].live = r.mayCut(plain(s.Piece), fresh, old, near)
		}
	}
	fresh := newSet(len(c.new), func(i int) geom.Piece { return c.new[i].Piece }).search()
	for i := range gone {
		s := &gone[i]
		there := func(id int32) bool { return g.known[first+int(id)].live && c.new[id].Role == s.Role }
		p := plain(s.Piece)
		for _, t := range fresh.uncovered(p, tol, there) {
			q := p.Sub(t.t0, t.t1)
			if r.mayDrop(q, fresh, func(id int32) bool { return g.known[first+int(id)].live }, near) {
				g.excuses = append(g.excuses, excuse{q, s.Role, c.round})
			}
		}
	}
}

// mayCut reports whether the stretches of p away from what was there lie where
// the edit may put new cut.
func (r *rights) mayCut(p geom.Piece, fresh []span, old *search, near places) bool {
	if r.reach == 0 {
		return false
	}
	for _, t := range fresh {
		q := p.Sub(t.t0, t.t1)
		if q.Length() > r.long || !near.hold(q, r.near) {
			return false
		}
		if !math.IsInf(r.reach, 1) && !old.covered(q, r.reach, every) {
			return false
		}
	}
	return true
}

// mayDrop reports whether a stretch may go.
func (r *rights) mayDrop(q geom.Piece, fresh *search, live func(int32) bool, near places) bool {
	switch {
	case r.drop == dropNothing || q.Length() > r.dropLong:
		return false
	case r.drop == dropReplaced && !fresh.covered(q, r.reach, live):
		return false
	}
	return near.hold(q, r.dropNear)
}

// places are points in order of x.
type places []geom.Point

func newPlaces(at []geom.Point) places {
	p := slices.Clone(at)
	slices.SortFunc(p, func(a, b geom.Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	return p
}

// hold reports whether all of q lies within d of one of the places.
func (p places) hold(q geom.Piece, d float64) bool {
	if math.IsInf(d, 1) {
		return true
	}
	return slices.ContainsFunc(p.within(q.A.X, d), func(x geom.Point) bool { return farthest(&q, x) <= d })
}

// within returns the places no further than d from x along the x axis.
func (p places) within(x, d float64) places {
	by := func(a geom.Point, x float64) int { return cmp.Compare(a.X, x) }
	i, _ := slices.BinarySearchFunc(p, x-d, by)
	j, _ := slices.BinarySearchFunc(p, math.Nextafter(x+d, math.Inf(1)), by)
	return p[i:j]
}

// farthest is the largest distance of a piece from a point.
func farthest(q *geom.Piece, p geom.Point) float64 {
	far := max(q.A.Dist(p), q.B.Dist(p))
	if away := q.C.Sub(p); q.R > 0 && (away == (geom.Point{}) || q.SweepsOver(away)) {
		far = max(far, away.Norm()+q.R)
	}
	return far
}
