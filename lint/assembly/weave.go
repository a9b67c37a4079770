package assembly

import "slices"

// weave takes tabs and gaps that go into each other along two edges for one joint, the
// edges, where each has both; and of an edge that nothing meets, its tabs for no joints of
// their own.
func (g *group) weave() {
	type edges struct{ a, b, ea, eb int }
	ways := map[edges][2]bool{} // tabs of the first go into the second, and the other way
	key := func(j *met) (edges, bool, bool) {
		fa, fb := &g.m.shapes[g.stands[j.a].shape].of[j.fa], &g.m.shapes[g.stands[j.b].shape].of[j.fb]
		ok := fa.edge >= 0 && fb.edge >= 0 && fa.kind != meets && fa.kind != laps
		return edges{j.a, j.b, fa.edge, fb.edge}, fa.kind == enters, ok
	}
	for i := range g.joints {
		if k, first, ok := key(&g.joints[i]); ok {
			w := ways[k]
			w[0], w[1] = w[0] || first, w[1] || !first
			ways[k] = w
		}
	}
	done := map[edges]bool{}
	kept := g.joints[:0]
	for i := range g.joints {
		j := g.joints[i]
		k, _, ok := key(&j)
		if w := ways[k]; ok && w[0] && w[1] {
			if done[k] {
				continue
			}
			done[k] = true
			j.whole = true
			g.stands[k.a].wholly(g.m, k.ea, j.fa)
			g.stands[k.b].wholly(g.m, k.eb, j.fb)
		}
		kept = append(kept, j)
	}
	g.joints = kept
	for i := range g.stands {
		s := &g.stands[i]
		of := g.m.shapes[s.shape].of
		for f := range of {
			if of[f].kind == meets && s.open[f] && !of[f].idle {
				s.wholly(g.m, of[f].edge, f)
				s.open[f] = true
			}
		}
	}
	g.edged()
}

// edged takes the tabs and gaps of an edge that no part has the mate of for one joint, the
// edge, where a plate is wanted that other edges of fingers meet too.
func (g *group) edged() {
	for _, set := range g.planes(g.wanting()) {
		if !slices.ContainsFunc(set, func(w *want) bool { return g.m.shapes[g.stands[w.stand].shape].of[w.feature].kind == meets }) {
			continue
		}
		in := map[[2]int]bool{}
		for _, w := range set {
			in[[2]int{w.stand, w.feature}] = true
		}
		for _, w := range set {
			s := &g.stands[w.stand]
			of := g.m.shapes[s.shape].of
			f := slices.IndexFunc(of, func(f feature) bool { return f.kind == meets && f.idle && f.edge == of[w.feature].edge })
			if f < 0 || !s.open[f] || s.edges[f] {
				continue
			}
			all := true
			for k := range of {
				all = all && (of[k].edge != of[f].edge || of[k].idle || in[[2]int{w.stand, k}])
			}
			if all {
				s.wholly(g.m, of[f].edge, f)
				s.open[f] = true
				if s.edges == nil {
					s.edges = map[int]bool{}
				}
				s.edges[f] = true
			}
		}
	}
}

// gapes reports whether a joint of a placed part is open that should not be.
func (g *group) gapes(s *stand, f int) bool {
	return s.open[f] && (!g.m.shapes[s.shape].of[f].idle || s.edges[f]) && !g.engaged(s, f)
}

// wholly notes that of an edge, one feature stands for all.
func (s *stand) wholly(m *maker, edge, f int) {
	of := m.shapes[s.shape].of
	for k := range of {
		if of[k].edge == edge {
			s.open[k], s.void[k] = false, k != f
		}
	}
}

// share returns how many of the joints of a group's parts are met, 0 to 1.
func (g *group) share() float64 {
	all, closed := 0, 0
	for i := range g.stands {
		s := &g.stands[i]
		for f, open := range s.open {
			if !s.void[f] && !(open && g.m.shapes[s.shape].of[f].idle && !s.edges[f]) {
				all++
				if !open {
					closed++
				}
			}
		}
	}
	if all == 0 {
		return 0
	}
	return float64(closed) / float64(all)
}

// closed reports whether every joint of the group meets another.
func (g *group) closed() bool {
	for i := range g.stands {
		if g.gaping(i) {
			return false
		}
	}
	return true
}

// gaping reports whether a joint of a placed part is open that should not be. While it is not
// known which joints are for plates at other angles, that is all of them.
func (g *group) gaping(i int) bool {
	if g.open(i) > 0 {
		return true
	}
	s := &g.stands[i]
	of := g.m.shapes[s.shape].of
	for f, open := range s.open {
		if open && of[f].askew && of[f].idle {
			return true
		}
	}
	return false
}

// open counts the joints of a placed part that are open and should not be.
func (g *group) open(i int) (n int) {
	s := &g.stands[i]
	for f := range s.open {
		if g.gapes(s, f) {
			n++
		}
	}
	return n
}

// engaged reports whether a joint is part of an edge of which others are met: what of an
// edge of fingers is at a corner may have no mate of its own.
func (g *group) engaged(s *stand, f int) bool {
	of := g.m.shapes[s.shape].of
	if of[f].edge < 0 || of[f].kind == meets {
		return false
	}
	met := 0
	for k := range of {
		if of[k].edge == of[f].edge && !s.open[k] {
			met++
		}
	}
	return met > 1
}
