package diff

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// pairLimit bounds how many pairs are weighed against each other at once; beyond
// it parts are paired in their order.
const pairLimit = 250_000

// matcher finds for each part before the part after that it became.
type matcher struct {
	a, b     *Side
	sa, sb   []*shape
	na, nb   []string // number written on each part, "" for none or for one that occurs twice
	tol, eps float64
	of       []*Part // by part before
	groups   []Motion
	taken    []bool // by part after
}

func newMatcher(a, b *Side, tol, eps float64) *matcher {
	m := &matcher{a: a, b: b, tol: tol, eps: eps}
	for k := range a.Sheet.Parts {
		m.sa = append(m.sa, newShape(a.Sheet, k))
	}
	for k := range b.Sheet.Parts {
		m.sb = append(m.sb, newShape(b.Sheet, k))
	}
	m.na, m.nb = uniqueNumbers(a), uniqueNumbers(b)
	m.of = make([]*Part, len(m.sa))
	m.taken = make([]bool, len(m.sb))
	return m
}

// uniqueNumbers returns by part the number written on it where no other part
// carries the same.
func uniqueNumbers(s *Side) []string {
	out := make([]string, len(s.Sheet.Parts))
	count := map[string]int{}
	for i := range s.Texts {
		if t := &s.Texts[i]; t.Number && t.Part >= 0 && t.Part < len(out) {
			out[t.Part] = t.Value
			count[t.Value]++
		}
	}
	for i, n := range out {
		if count[n] > 1 {
			out[i] = ""
		}
	}
	return out
}

func (m *matcher) match() {
	m.inPlace()
	m.repaired()
	m.together(func(t geom.Transform) bool { return !t.Mirrors() && factorOf(t) == 1 })
	classes := m.classes()
	for i := range classes {
		m.pairUp(&classes[i], &classes[i], false)
	}
	m.mirrored(classes)
	m.together(func(t geom.Transform) bool { return !t.Mirrors() && factorOf(t) != 1 })
	m.grown()
	m.reshaped()
}

// take settles a pair.
func (m *matcher) take(i, j int, p Part) {
	p.Before, p.After = i, j
	m.of[i] = &p
	m.taken[j] = true
}

// restA and restB list the parts not matched yet.
func (m *matcher) restA() []int {
	var rest []int
	for i := range m.of {
		if m.of[i] == nil {
			rest = append(rest, i)
		}
	}
	return rest
}

func (m *matcher) restB() []int {
	var rest []int
	for j := range m.taken {
		if !m.taken[j] {
			rest = append(rest, j)
		}
	}
	return rest
}

// inPlace matches parts that lie on each other. Outlines within tol of each
// other have boxes within tol of each other, so candidates are found by the
// lower left corner of their box.
func (m *matcher) inPlace() {
	corners := index.NewCells[int](2*m.tol, len(m.sb))
	for j, s := range m.sb {
		corners.Add(s.box.Min, j)
	}
	for i, s := range m.sa {
		corners.Around(s.box.Min, m.tol, func(j int) bool {
			o := m.sb[j]
			if m.taken[j] || len(o.rings) != len(s.rings) || !sameBox(s.box, o.box, m.tol) {
				return true
			}
			g, ok := deviate(s.index(), o.index(), geom.Identity(), limits{m.eps, m.tol})
			if !ok || g.dist > m.tol {
				return true
			}
			m.take(i, j, Part{Verdict: Same, Lay: geom.Identity(), Scale: 1, Group: -1, Deviation: g.dist, From: g.from, To: g.to})
			return false
		})
	}
}

func sameBox(a, b geom.Box, tol float64) bool {
	return math.Abs(a.Min.X-b.Min.X) <= tol && math.Abs(a.Min.Y-b.Min.Y) <= tol &&
		math.Abs(a.Max.X-b.Max.X) <= tol && math.Abs(a.Max.Y-b.Max.Y) <= tol
}

// class is a set of congruent parts of both drawings.
type class struct {
	first  *shape
	la, lb []int
}

// classes sorts what is left into classes of congruent parts, in the order of
// their areas. Only parts of like measures are laid on each other.
func (m *matcher) classes() []class {
	var list []class
	put := func(s *shape) *class {
		slack := m.tol*s.length + 1e-9*s.area
		at, _ := slices.BinarySearchFunc(list, s.area-2*slack, byArea)
		for i := at; i < len(list) && list[i].first.area <= s.area+2*slack; i++ {
			if !s.alike(list[i].first, 1, m.tol) {
				continue
			}
			if _, ok := align(s, list[i].first, m.tol, m.eps, 1, false); ok {
				return &list[i]
			}
		}
		at, _ = slices.BinarySearchFunc(list, s.area, byArea)
		list = slices.Insert(list, at, class{first: s})
		return &list[at]
	}
	for _, i := range m.restA() {
		c := put(m.sa[i])
		c.la = append(c.la, i)
	}
	for _, j := range m.restB() {
		c := put(m.sb[j])
		c.lb = append(c.lb, j)
	}
	return list
}

func byArea(c class, area float64) int { return cmp.Compare(c.first.area, area) }

// pairUp matches parts before of class ca with parts after of class cb: those of
// one number, then the nearest.
func (m *matcher) pairUp(ca, cb *class, mirror bool) {
	if len(ca.la) == 0 || len(cb.lb) == 0 {
		return
	}
	la, lb := slices.Clone(ca.la), slices.Clone(cb.lb)
	try := func(i, j int) {
		if f, ok := align(m.sa[i], m.sb[j], m.tol, m.eps, 1, mirror); ok {
			m.take(i, j, m.partOf(i, j, f, mirror))
		}
	}
	byNumber := map[string]int{}
	for _, j := range lb {
		if m.nb[j] != "" {
			byNumber[m.nb[j]] = j
		}
	}
	for _, i := range la {
		if j, ok := byNumber[m.na[i]]; ok && m.na[i] != "" {
			try(i, j)
		}
	}
	la = slices.DeleteFunc(la, func(i int) bool { return m.of[i] != nil })
	lb = slices.DeleteFunc(lb, func(j int) bool { return m.taken[j] })
	if len(la)*len(lb) > pairLimit {
		for k := range min(len(la), len(lb)) {
			try(la[k], lb[k])
		}
		return
	}
	var pairs []pair
	for _, i := range la {
		for _, j := range lb {
			pairs = append(pairs, pair{i, j, m.sa[i].centre.Dist(m.sb[j].centre)})
		}
	}
	m.greedy(pairs, try)
}

// pair is two parts that may belong together, and what speaks against it.
type pair struct {
	i, j int
	cost float64
}

// greedy tries the pairs of parts still free, the cheapest first.
func (m *matcher) greedy(pairs []pair, try func(i, j int)) {
	slices.SortStableFunc(pairs, func(x, y pair) int { return cmp.Compare(x.cost, y.cost) })
	for _, p := range pairs {
		if m.of[p.i] == nil && !m.taken[p.j] {
			try(p.i, p.j)
		}
	}
}

// partOf describes a part that kept its shape.
func (m *matcher) partOf(i, j int, f fit, mirror bool) Part {
	p := Part{
		Verdict: Moved, Lay: f.lay, Scale: 1, Angle: f.angle, Mirrored: mirror, Group: -1,
		Shift: m.sb[j].centre.Sub(m.sa[i].centre), Deviation: f.gap.dist, From: f.gap.from, To: f.gap.to,
	}
	switch {
	case mirror:
		p.Verdict = Reshaped
	case math.Abs(p.Angle)*m.sa[i].reach <= m.tol:
		p.Angle = 0
	default:
		p.Verdict = Turned
		if p.Shift.Norm() <= m.tol {
			p.Shift = geom.Point{}
		}
	}
	return p
}

// mirrored matches what is left with its mirror images.
func (m *matcher) mirrored(list []class) {
	for x := range list {
		ca := &list[x]
		ca.la = slices.DeleteFunc(ca.la, func(i int) bool { return m.of[i] != nil })
		if len(ca.la) == 0 {
			continue
		}
		slack := m.tol*ca.first.length + 1e-9*ca.first.area
		at, _ := slices.BinarySearchFunc(list, ca.first.area-2*slack, byArea)
		for y := at; y < len(list) && list[y].first.area <= ca.first.area+2*slack; y++ {
			cb := &list[y]
			cb.lb = slices.DeleteFunc(cb.lb, func(j int) bool { return m.taken[j] })
			if x == y || len(cb.lb) == 0 || !ca.first.alike(cb.first, 1, m.tol) {
				continue
			}
			if _, ok := align(ca.first, cb.first, m.tol, m.eps, 1, true); ok {
				m.pairUp(ca, cb, true)
			}
		}
	}
}
