package assembly

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom/plate"
)

// mostRounds is how often the kit as a whole is put together in other ways.
const mostRounds = 4

// groups puts all parts with joints together, in the way of a few in which most joints
// close. A group may be a part alone, which nothing fits.
func (m *maker) groups() (best []*group) {
	order := make([]int, len(m.shapes))
	for i := range m.shapes {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(m.shapes[b].square(), m.shapes[a].square()) })
	most, same := -1, 0
	for m.round = range m.rounds {
		var from *group
		if m.round > 1 { // what hangs together best so far, with all parts of the others at hand
			for _, g := range best {
				if !g.closed() && (from == nil || len(g.stands) > len(from.stands)) {
					from = g
				}
			}
		}
		all, closes, whole := m.all(order, from)
		if closes > most {
			best, most, same = all, closes, 0
		} else {
			same++
		}
		if whole || same > 1 || m.looks > mostLooks {
			break
		}
	}
	next := make([]int, len(m.shapes)) // by shape: the copy that is taken next
	for _, g := range best {
		g.rest()
		for i := range g.stands {
			s := &g.stands[i]
			s.copy = next[s.shape]
			s.part = m.shapes[s.shape].copies[s.copy]
			next[s.shape]++
		}
		g.lower()
		g.weave()
	}
	return best
}

// square counts the joints of a shape but for those of plates at other angles, on which no
// group begins.
func (a *alike) square() (n int) {
	for i := range a.of {
		if !a.of[i].askew {
			n++
		}
	}
	return n
}

// fewJoints is from how many joints on a part that stands alone is likely to belong somewhere.
const fewJoints = 2

// all puts all parts together in one way, the first group out of another way if one is
// given.
func (m *maker) all(order []int, from *group) (all []*group, closes int, whole bool) {
	m.left = make([]int, len(m.shapes))
	for i := range m.shapes {
		m.left[i] = len(m.shapes[i].copies)
	}
	whole = true
	for _, s := range order {
		for m.left[s] > 0 {
			g := m.build(s, from)
			from = nil
			all = append(all, g)
			closes += g.met()
			whole = whole && (g.closed() || len(g.stands) == 1 && len(m.shapes[s].of) < fewJoints)
		}
	}
	return all, closes, whole
}

// placed returns where a part of a group lies, from its own place in the drawing.
func (g *group) placed(i int) plate.Pose {
	s := &g.stands[i]
	return clean(g.m.shapes[s.shape].onto[s.copy].pose.Then(s.pose))
}

// clean takes what is rounding out of a pose: a plate along an axis is along it, and none
// of its figures is a zero below 0.
func clean(p plate.Pose) plate.Pose {
	whole := func(v float64) float64 {
		if r := math.Round(v); math.Abs(v-r) < 1e-9 {
			return r + 0 // no -0
		}
		return v
	}
	for i := range 3 {
		for k := range 3 {
			p.R[i][k] = whole(p.R[i][k])
		}
		p.T[i] = whole(p.T[i])
	}
	return p
}

// feature returns a joint of a placed part as it is drawn on that copy.
func (g *group) feature(i, f int) *feature {
	s := &g.stands[i]
	own := slices.Index(g.m.shapes[s.shape].onto[s.copy].perm, f)
	return &g.m.drawn[s.part][own]
}

// How much is spent on other ways where joints stay open: tries, and looks at places.
const (
	mostTries = 120
	mostSame  = 40 // tries one after the other that are no better
	mostLooks = 2_000_000
)

// Of a kit that is rebuilt briefly it is so many tries, and as many where what stays open is
// likely what has no mate.
const (
	briefSame  = 12
	likelySame = 0
)

// patience is how many tries one after the other may be no better than a group.
func (m *maker) patience(best *group) int {
	switch {
	case !m.brief:
		return mostSame + len(best.stands)
	case best.likely():
		return likelySame
	}
	return briefSame
}

// likely reports whether what stays open is likely what has no mate: no more than the lengths
// of joints say, and one plate would meet it all.
func (g *group) likely() bool {
	open := 0
	for i := range g.stands {
		open += g.open(i)
	}
	return open > 1 && open <= len(g.m.kit.Unmatched) && g.wanted() <= 2
}

// mostMore is how many tries are spent on a way in which more parts hang together than in
// one that closes already.
const mostMore = 6

// spent reports whether no part of a shape in the group is left.
func (m *maker) spent(left []int) bool {
	return !slices.ContainsFunc(left, func(n int) bool { return n > 0 })
}

// build puts together what hangs together with a part of a shape: where joints stay open,
// in other ways too, of which the one counts that closes most. Every third is all new; the
// others take apart the best so far, which may be given, around a joint that stays open.
func (m *maker) build(first int, from *group) *group {
	was := slices.Clone(m.left)
	best := from
	var left []int
	if from != nil {
		left = slices.Clone(was)
		for i := range from.stands {
			left[from.stands[i].shape]--
		}
	}
	since := 0
	for try := range m.tries {
		copy(m.left, was)
		g := m.begin(try + 1000*m.round)
		if try%3 == 1 || best == nil || !g.again(best) {
			g.add(first, plate.Still(), nil)
		}
		g.grow()

		since++
		switch c := g.beats(best); {
		case c > 0:
			best, left, since = g, slices.Clone(m.left), 0
		case c == 0: // from there it may go on
			best, left = g, slices.Clone(m.left)
		}
		if len(best.stands) < 2 || m.looks > mostLooks || since > m.patience(best) || best.closed() && (try >= mostMore<<(2*min(1, m.round)) || m.spent(left)) {
			break
		}
	}
	copy(m.left, left)
	return best
}

// closes is what of two ways of putting a group together is better: that nothing stays
// open, in half of the rounds, then how much is met, then how many parts stand.
func (g *group) closes() int {
	n := 1000*g.met() + len(g.stands)
	if g.m.round == 0 && len(g.stands) > 1 && g.closed() {
		n += 1 << 40
	}
	return n
}

// beats compares two ways of putting a group together: 1 if the first is the better. Of
// those in which as much is met it is the one whose open joints ask for fewer plates.
func (g *group) beats(o *group) int {
	if o == nil {
		return 1
	}
	if c := cmp.Compare(g.closes(), o.closes()); c != 0 || g.closed() {
		return c
	}
	return cmp.Compare(o.wanted(), g.wanted())
}

// wanted counts the plates that the open joints ask for.
func (g *group) wanted() int {
	if g.asks == 0 {
		g.asks = 1 + len(g.planes(g.wanting()))
	}
	return g.asks
}

// met counts the joints of the parts that are met, an edge as one.
func (g *group) met() (n int) {
	seen := map[[4]int]bool{}
	for i := range g.joints {
		j := &g.joints[i]
		f, h := &g.m.shapes[g.stands[j.a].shape].of[j.fa], &g.m.shapes[g.stands[j.b].shape].of[j.fb]
		if edgewise(f, h) {
			e := [4]int{j.a, j.b, f.edge, h.edge}
			if seen[e] {
				continue
			}
			seen[e] = true
		}
		n += 2
	}
	return n
}

// again stands again what stood in another way of putting the group together, but for
// what was about one of its open joints. It reports whether anything is left of it.
func (g *group) again(o *group) bool {
	var open []int
	for i := range o.stands {
		if o.gaping(i) {
			open = append(open, i)
		}
	}
	if len(open) == 0 {
		return false
	}
	next := make([][]int, len(o.stands))
	for _, j := range o.joints {
		next[j.a], next[j.b] = append(next[j.a], j.b), append(next[j.b], j.a)
	}
	gone := make([]bool, len(o.stands))
	reach(next, open[mix(g.try, 77)%uint64(len(open))], int(mix(g.try, 78)%4), gone)
	// Of what hangs together still, the most.
	var kept []int
	seen := slices.Clone(gone)
	for i := range o.stands {
		if seen[i] {
			continue
		}
		if all := reach(next, i, len(o.stands), seen); len(all) > len(kept) {
			kept = all
		}
	}
	if len(kept) == 0 {
		return false
	}
	// What hangs on others at an angle comes after them.
	slices.SortStableFunc(kept, func(a, b int) int {
		return cmp.Compare(min(1, g.m.shapes[o.stands[b].shape].square()), min(1, g.m.shapes[o.stands[a].shape].square()))
	})
	g.add(o.stands[kept[0]].shape, o.stands[kept[0]].pose, nil)
	for _, i := range kept[1:] {
		s := &o.stands[i]
		p, _ := g.find(s.shape, s.pose, s.pose.Apply(g.m.shapes[s.shape].middle))
		if p == nil && g.m.askew && g.m.left[s.shape] > 0 {
			if at := g.hold(nil, s.shape, s.pose); len(at) > 0 {
				g.add(s.shape, s.pose, at[0].votes)
			}
			continue
		}
		if p == nil || p.bad || g.m.left[s.shape] == 0 {
			continue
		}
		g.count(p)
		g.add(p.shape, p.pose, p.votes)
	}
	return true
}

// reach lists what is at most some joints away from one, nearest first, and notes it; what
// is noted already is not gone through.
func reach(next [][]int, from, most int, noted []bool) []int {
	all := []int{from}
	noted[from] = true
	for lo := 0; most > 0 && lo < len(all); most-- {
		hi := len(all)
		for _, i := range all[lo:hi] {
			for _, k := range next[i] {
				if !noted[k] {
					noted[k] = true
					all = append(all, k)
				}
			}
		}
		lo = hi
	}
	return all
}

// others counts the other ways in which a part would close as many joints with what
// stands, and be inside nothing.
func (g *group) others(i int) (n int) {
	m := g.m
	s := &g.stands[i]
	a := &m.shapes[s.shape]
	own, mid := 0, s.pose.Apply(a.middle)
	ways := m.begin(0)
	for _, j := range g.joints {
		k, f := j.a, j.fa
		if j.a == i {
			k, f = j.b, j.fb
		} else if j.b != i {
			continue
		}
		own++
		for _, x := range m.mates[g.stands[k].shape][f] {
			if x.shape == s.shape {
				ways.propose(x.shape, x.pose.Then(g.stands[k].pose), vote{k, f, x.f})
			}
		}
	}
	for _, w := range ways.all {
		if w.mid.Sub(mid).Norm() <= together && a.like(w.pose, s.pose) {
			continue
		}
		if len(w.votes) >= own && !g.insideOthers(i, w.pose, w.votes) {
			n++
		}
	}
	return n
}

// like reports whether a shape looks the same in two poses about one middle.
func (a *alike) like(p, q plate.Pose) bool {
	return slices.ContainsFunc(a.fits, func(f fit) bool { return sameTurn(f.pose.Then(p), q) })
}

// insideOthers reports whether a part would be inside another if it lay in a pose.
func (g *group) insideOthers(i int, pose plate.Pose, votes []vote) bool {
	s := g.stands[i]
	rest := group{m: g.m, stands: slices.Delete(slices.Clone(g.stands), i, i+1)}
	shifted := slices.Clone(votes)
	for k := range shifted {
		if shifted[k].stand > i {
			shifted[k].stand--
		}
	}
	return rest.inside(&proposal{shape: s.shape, pose: pose, votes: shifted})
}
