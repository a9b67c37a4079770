package assembly

import (
	"cmp"
	"slices"

	"sluice/geom/plate"
)

// leaning lists by shape and joint what may meet it at an angle.
func (m *maker) leaning() {
	m.leanMates = make([][][]mate, len(m.shapes))
	for s := range m.shapes {
		a := &m.shapes[s]
		m.leanMates[s] = make([][]mate, len(a.of))
		for f := range a.of {
			for q := range m.shapes {
				for h := range m.shapes[q].of {
					if m.leans(&a.of[f], &m.shapes[q].of[h]) {
						m.leanMates[s][f] = append(m.leanMates[s][f], mate{shape: q, f: h})
						m.askew = true
					}
				}
			}
		}
	}
}

// leaner is where a part may stand at an angle, and what says so.
type leaner struct {
	proposal
	off float64 // by which its joints are out, together, mm
}

// mostLeaners bounds the places at an angle that are looked at for one part, and mostPivots
// the joints on which it may hang.
const (
	mostLeaners = 400
	mostPivots  = 160
)

// lean adds a part that two joints hold at an angle, where nothing can be added square: the
// one on which most joints agree. It reports whether there was one.
func (g *group) lean() bool {
	if !g.m.askew {
		return false
	}
	hinges := g.hinges()
	var all []leaner
	for i, a := range hinges {
		for _, x := range g.leanMates(a) {
			for _, b := range hinges[i+1:] {
				if b[0] == a[0] {
					continue
				}
				for _, y := range g.leanMates(b) {
					if y.shape != x.shape || y.f == x.f {
						continue
					}
					g.m.looks++
					for _, pose := range g.turned(x.shape, pivot{a[0], a[1], x.f}, pivot{b[0], b[1], y.f}) {
						all = g.hold(all, x.shape, pose)
					}
					if len(all) >= mostLeaners {
						return g.leanBest(all)
					}
				}
			}
		}
	}
	return g.leanBest(all)
}

// hinges lists the open joints of what stands on which a part may hang at an angle: stand and
// joint.
func (g *group) hinges() (all [][2]int) {
	for i := range g.stands {
		s := &g.stands[i]
		for f, open := range s.open {
			if open && len(g.m.leanMates[s.shape][f]) > 0 && len(all) < mostPivots {
				all = append(all, [2]int{i, f})
			}
		}
	}
	return all
}

// leanMates lists what of the parts that are left may meet an open joint at an angle.
func (g *group) leanMates(at [2]int) []mate {
	var out []mate
	for _, x := range g.m.leanMates[g.stands[at[0]].shape][at[1]] {
		if g.m.left[x.shape] > 0 {
			out = append(out, x)
		}
	}
	return out
}

// hold notes where a part may stand at an angle, if two joints at an angle, of two parts, and
// all that go with them hold it there.
func (g *group) hold(all []leaner, shape int, pose plate.Pose) []leaner {
	m := g.m
	mid := pose.Apply(m.shapes[shape].middle)
	for i := range all {
		if p := &all[i]; p.shape == shape && p.mid.Sub(mid).Norm() < together && m.shapes[shape].like(p.pose, pose) {
			return all
		}
	}
	p := leaner{proposal: proposal{shape: shape, pose: pose, mid: mid}}
	used := make([]bool, len(m.shapes[shape].of))
	first, held := -1, false
	for i := range g.stands {
		s := &g.stands[i]
		for f, open := range s.open {
			if !open {
				continue
			}
			for _, x := range m.leanMates[s.shape][f] {
				if x.shape != shape || used[x.f] {
					continue
				}
				if off, _, ok := crossed(&m.shapes[s.shape].of[f], s.pose, &m.shapes[shape].of[x.f], pose); ok {
					used[x.f] = true
					p.votes = append(p.votes, vote{i, f, x.f})
					p.off += off
					held = held || first >= 0 && first != i
					first = max(first, i)
					break
				}
			}
			for _, x := range m.mates[s.shape][f] {
				if x.shape == shape && !used[x.f] && x.pose.Then(s.pose).Apply(m.shapes[shape].middle).Sub(mid).Norm() <= together && sameTurn(x.pose.Then(s.pose), pose) {
					used[x.f] = true
					p.votes = append(p.votes, vote{i, f, x.f})
					break
				}
			}
		}
	}
	if !held {
		return all
	}
	p.worth = len(p.votes)
	return append(all, p)
}

// leanBest adds the part on whose place most joints agree, of those alike the one whose joints
// are least out, and that keeps the whole smallest, unless it would be inside another.
func (g *group) leanBest(all []leaner) bool {
	size := make([]float64, len(all))
	order := make([]int, len(all))
	for i := range all {
		order[i], size[i] = i, g.grown(&all[i].proposal)
	}
	slices.SortStableFunc(order, func(i, k int) int {
		return cmp.Or(cmp.Compare(all[k].worth, all[i].worth), cmp.Compare(tenths(all[i].off), tenths(all[k].off)), cmp.Compare(tenths(size[i]), tenths(size[k])))
	})
	for _, i := range order {
		p := &all[i]
		if !g.inside(&p.proposal) {
			g.add(p.shape, p.pose, p.votes)
			return true
		}
	}
	return false
}

// tenths keeps the noise of reckoning out of an order.
func tenths(v float64) int { return int(v*10 + 0.5) }

// settle closes the open joints of a part that stands that meet others at an angle.
func (g *group) settle(at int) {
	m := g.m
	s := &g.stands[at]
	for i := range g.stands {
		o := &g.stands[i]
		if i == at || apart(s.lo, s.hi, o.lo, o.hi) {
			continue
		}
		for f := range o.open {
			if !o.open[f] {
				continue
			}
			for _, x := range m.leanMates[o.shape][f] {
				if x.shape != s.shape || !s.open[x.f] {
					continue
				}
				if off, angle, ok := crossed(&m.shapes[o.shape].of[f], o.pose, &m.shapes[s.shape].of[x.f], s.pose); ok {
					g.joints = append(g.joints, met{a: i, b: at, fa: f, fb: x.f, off: off, slant: angle})
					g.shut(i, f)
					s.close(m, x.f)
					break
				}
			}
		}
	}
}

// shut notes that a joint of what stands is met, and what counted on it.
func (g *group) shut(stand, f int) {
	for _, k := range g.stands[stand].close(g.m, f) {
		for _, p := range g.by[[2]int{stand, k}] {
			p.stale = true
		}
		delete(g.by, [2]int{stand, k})
	}
}
