package assembly

import (
	"cmp"
	"slices"

	"sluice/geom/plate"
)

// groups puts all parts with joints together, those with most joints first. A group may be
// a part alone, which nothing fits.
func (m *maker) groups() (all []*group) {
	m.left = make([]int, len(m.shapes))
	order := make([]int, len(m.shapes))
	for i := range m.shapes {
		m.left[i], order[i] = len(m.shapes[i].copies), i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(len(m.shapes[b].of), len(m.shapes[a].of)) })
	next := make([]int, len(m.shapes)) // by shape: the copy that is taken next
	for _, s := range order {
		for m.left[s] > 0 {
			g := m.build(s)
			for i := range g.stands {
				s := &g.stands[i]
				s.copy = next[s.shape]
				s.part = m.shapes[s.shape].copies[s.copy]
				next[s.shape]++
			}
			g.lower()
			all = append(all, g)
		}
	}
	return all
}

// lower turns a group so that its first part lies as it is drawn.
func (g *group) lower() {
	by := g.placed(0).Back()
	for i := range g.stands {
		s := &g.stands[i]
		s.pose = s.pose.Then(by)
		s.lo, s.hi = g.m.shapes[s.shape].plate.Extent(s.pose)
	}
}

// placed returns where a part of a group lies, from its own place in the drawing.
func (g *group) placed(i int) plate.Pose {
	s := &g.stands[i]
	return g.m.shapes[s.shape].onto[s.copy].pose.Then(s.pose)
}

// feature returns a joint of a placed part as it is drawn on that copy.
func (g *group) feature(i, f int) *feature {
	s := &g.stands[i]
	own := slices.Index(g.m.shapes[s.shape].onto[s.copy].perm, f)
	return &g.m.drawn[s.part][own]
}

// mostTries is how often a group is put together in other ways where joints stay open.
const mostTries = 14

// build puts together what hangs together with a part of a shape: where joints stay open,
// in other ways too, of which the one counts that closes most.
func (m *maker) build(first int) *group {
	was := slices.Clone(m.left)
	var best *group
	var left []int
	for try := range uint64(mostTries) {
		copy(m.left, was)
		g := m.begin(try)
		g.add(first, plate.Still(), nil)
		g.grow()
		if best == nil || len(g.joints) > len(best.joints) || len(g.joints) == len(best.joints) && len(g.stands) > len(best.stands) {
			best, left = g, slices.Clone(m.left)
		}
		if len(g.stands) < 2 || best.closed() {
			break
		}
	}
	copy(m.left, left)
	return best
}

// closed reports whether every joint of the group meets another.
func (g *group) closed() bool {
	for i := range g.stands {
		if slices.Contains(g.stands[i].open, true) {
			return false
		}
	}
	return true
}

// others counts the other ways in which a part would close as many joints with what
// stands, and be inside nothing.
func (g *group) others(i int) (n int) {
	m := g.m
	s := &g.stands[i]
	a := &m.shapes[s.shape]
	type way struct {
		pose  plate.Pose
		mid   plate.Vec
		votes []vote
	}
	var ways []way
	own, mid := 0, s.pose.Apply(a.middle)
	for _, j := range g.joints {
		k, f := j.a, j.fa
		if j.a == i {
			k, f = j.b, j.fb
		} else if j.b != i {
			continue
		}
		own++
		o := &g.stands[k]
	next:
		for _, x := range m.mates[o.shape][f] {
			if x.shape != s.shape {
				continue
			}
			pose := x.pose.Then(o.pose)
			at := pose.Apply(a.middle)
			if at.Sub(mid).Norm() <= together && a.like(pose, s.pose) {
				continue
			}
			v := vote{k, f, x.f}
			for w := range ways {
				if ways[w].mid.Sub(at).Norm() <= together && a.like(pose, ways[w].pose) {
					ways[w].votes = append(ways[w].votes, v)
					continue next
				}
			}
			ways = append(ways, way{pose, at, []vote{v}})
		}
	}
	for _, w := range ways {
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
