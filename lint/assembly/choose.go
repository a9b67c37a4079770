package assembly

import "slices"

// count counts the joints that close if a proposal is taken, each once.
func (g *group) count(p *proposal) {
	p.stale = false
	p.worth = 0
	kept := p.votes[:0]
	for _, v := range p.votes {
		if g.stands[v.stand].open[v.f] {
			kept = append(kept, v)
		}
	}
	p.votes = kept
	of := g.m.shapes[p.shape].of
	edges := func(v vote) (e [3]int, ok bool) { // of edges that meet
		f := &g.m.shapes[g.stands[v.stand].shape].of[v.f]
		return [3]int{v.stand, f.edge, of[v.g].edge}, edgewise(f, &of[v.g])
	}
	for i, v := range kept {
		e, whole := edges(v)
		if !slices.ContainsFunc(kept[:i], func(u vote) bool {
			if whole { // all of an edge is one joint
				o, ok := edges(u)
				return ok && o == e
			}
			return u.g == v.g || u.stand == v.stand && u.f == v.f
		}) {
			p.worth++
		}
	}
}

// edgewise reports whether two joints that meet are edges, or parts of edges that meet.
func edgewise(f, g *feature) bool {
	return f.kind == meets || f.edge >= 0 && g.edge >= 0 && !f.through && !g.through
}

// paired reports whether the joints of a proposal were matched by their lengths, which half
// of the tries go by.
func (g *group) paired(p *proposal) bool {
	s := g.stands[p.votes[0].stand].shape
	return g.try%4 < 2 && g.m.paired[[2]int{min(s, p.shape), max(s, p.shape)}]
}

// mostAlike is how many proposals that close as many joints are compared.
const mostAlike = 16

// best returns the proposal on which most joints agree; of those alike the one that what
// else is proposed bears out most, and that keeps the whole smallest; nil where none can
// be taken.
func (g *group) best() *proposal {
	for {
		var top []*proposal
		most, share := 0, 0.0
		live := g.all[:0]
		for _, p := range g.all {
			if p.stale {
				g.count(p)
			}
			if p.bad || p.worth == 0 || g.m.left[p.shape] == 0 {
				p.out = true
				continue
			}
			live = append(live, p)
			if p.worth < most {
				continue
			}
			r := float64(p.worth) / float64(len(g.m.shapes[p.shape].of))
			if g.m.round%2 == 1 { // what leads on rather than what closes
				r = 1 - r
			}
			if g.paired(p) {
				r++
			}
			if p.worth > most || r > share+1e-9 {
				top, most, share = top[:0], p.worth, r
			} else if r < share-1e-9 {
				continue
			}
			top = append(top, p)
		}
		clear(g.all[len(live):])
		g.all = live
		if len(top) == 0 {
			return nil
		}
		if p := g.choose(top); p != nil {
			return p
		}
	}
}

// stepChance is how far, mm, places are apart at least that chance tells apart.
const stepChance = 0.125

// choose takes one of proposals that close as many joints; nil where all of those it
// looked at would be inside something.
func (g *group) choose(top []*proposal) *proposal {
	type rated struct {
		p      *proposal
		size   float64
		chance uint64
	}
	all := make([]rated, len(top))
	for i, p := range top {
		all[i] = rated{p: p, size: g.grown(p)}
		if g.try > 0 {
			all[i].chance = mix(g.try, uint64(p.shape), uint64(p.votes[0].f), uint64(stepped(p.mid[0], stepChance)), uint64(stepped(p.mid[1], stepChance)), uint64(stepped(p.mid[2], stepChance)))
		}
	}
	slices.SortStableFunc(all, func(a, b rated) int {
		switch {
		case g.try > 0 && g.try%2 == 0 && a.chance != b.chance:
			if a.chance < b.chance {
				return -1
			}
			return 1
		case a.size < b.size-1e-6:
			return -1
		case a.size > b.size+1e-6:
			return 1
		case a.chance < b.chance:
			return -1
		case a.chance > b.chance:
			return 1
		}
		return 0
	})
	var best *proposal
	var open []want
	most, seen := [2]int{-1, 0}, 0
	for i := range all {
		p := all[i].p
		if g.inside(p) {
			p.bad = true
			continue
		}
		if len(all) == 1 {
			return p
		}
		if open == nil {
			open = g.wanting()
		}
		if n := [2]int{g.borne(p), g.shared(p, open)}; n[0] > most[0] || n[0] == most[0] && n[1] > most[1] {
			best, most = p, n
		}
		if seen++; seen == mostAlike {
			break
		}
	}
	return best
}

// borne counts the other proposals that would gain by one: what its own open joints would
// have where others would have it too.
func (g *group) borne(p *proposal) (n int) {
	m := g.m
	for f := range m.shapes[p.shape].of {
		if slices.ContainsFunc(p.votes, func(v vote) bool { return v.g == f }) {
			continue
		}
		for i := range m.mates[p.shape][f] {
			x := &m.mates[p.shape][f][i]
			if m.left[x.shape] == 0 || x.shape == p.shape && m.left[x.shape] == 1 {
				continue
			}
			pose := x.pose.Then(p.pose)
			if q, _ := g.find(x.shape, pose, pose.Apply(m.shapes[x.shape].middle)); q != nil && q != p && !q.bad && !q.out {
				n++
				break
			}
		}
	}
	return n
}

// shared counts the open joints of a proposal that want a plate which the open joints of
// what stands want too, so that what is missing at last is few plates.
func (g *group) shared(p *proposal, open []want) (n int) {
	for f := range g.m.shapes[p.shape].of {
		if g.m.shapes[p.shape].of[f].idle || slices.ContainsFunc(p.votes, func(v vote) bool { return v.g == f }) {
			continue
		}
		w := g.m.want(-1, p.shape, p.pose, f)
		if slices.ContainsFunc(open, func(o want) bool { return o.inPlane(&w) }) {
			n++
		}
	}
	return n
}

// reach sees to it that it is known as far as a proposal reaches.
func (g *group) reach(p *proposal) {
	if !p.known {
		p.lo, p.hi = g.m.shapes[p.shape].plate.Extent(p.pose)
		p.known = true
	}
}

// grown returns how large the box around all would be, as the sum of its sides.
func (g *group) grown(p *proposal) float64 {
	g.reach(p)
	sum := 0.0
	for k := range 3 {
		sum += max(p.hi[k], g.hi[k]) - min(p.lo[k], g.lo[k])
	}
	return sum
}

// inside reports whether a part would be inside one that stands.
func (g *group) inside(p *proposal) bool {
	g.reach(p)
	for i := range g.stands {
		s := &g.stands[i]
		if apart(p.lo, p.hi, s.lo, s.hi) {
			continue
		}
		n := 0 // joints with it, whose rounded corners scrape
		for _, v := range p.votes {
			if v.stand == i {
				n++
			}
		}
		g.m.looks++
		if g.m.overlap(s.shape, s.pose, p.shape, p.pose) > g.m.scrapes(n) && !(g.m.round >= lenient && p.worth > 1 && g.m.shallow(s, p)) {
			return true
		}
	}
	return false
}

// lenient is from which round on parts that several joints place may be a little in each
// other: a kit drawn for another thickness may close, and have edges that are filed off.
// They are told as clashes.
const lenient = 2

// little is how far, as a share of the thickness, parts may be in each other then.
const little = 0.35

// shallow reports whether a part would be clear of another if it were moved a little.
func (m *maker) shallow(s *stand, p *proposal) bool {
	for _, d := range s.pose.R {
		for _, by := range [2]float64{little, -little} {
			pose := p.pose
			pose.T = pose.T.Add(d.Mul(by * min(m.shapes[s.shape].plate.Thickness, m.shapes[p.shape].plate.Thickness)))
			if m.overlap(s.shape, s.pose, p.shape, pose) <= clash {
				return true
			}
		}
	}
	return false
}
