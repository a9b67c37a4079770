package diff

import (
	"math"

	"sluice/geom"
	"sluice/geom/index"
	"sluice/geom/outline"
)

// How many parts must share a motion for it to be told as one.
const (
	groupLeast  = 3   // parts of a group
	groupsMost  = 8   // groups looked for; further ones are told part by part
	wholeShare  = 3   // a third of the parts of the smaller drawing make it that of the drawing
	stayedShare = 0.9 // of the parts in place: the drawing has not moved
	plainGrowth = 1.5 // a lone simple shape this much larger has been scaled; less, it is another size
)

// wholeOf finds the motion that took the drawing as a whole to where it is now,
// by a majority of the parts that have kept their shape: at least two of them,
// more than stayed in place and more than have gone elsewhere. A scale may be told
// by one part. It returns nil where the drawing lies as it did.
func wholeOf(a, b *Side, tol, eps float64) *Motion {
	if len(a.Sheet.Parts) == 0 || len(b.Sheet.Parts) == 0 {
		return wholeOfLines(a.Sheet, b.Sheet, tol)
	}
	m := newMatcher(a, b, tol, eps)
	m.inPlace()
	rest := m.restA()
	stayed, least := len(m.sa)-len(rest), min(len(m.sa), len(m.sb))
	if float64(stayed) >= stayedShare*float64(least) {
		return nil
	}
	if w, n := m.vote(rest, stayed, true); w != nil || max(stayed, n)*wholeShare >= least {
		return w
	}
	// Few parts are as they were. Those that have gained or lost holes are still drawn
	// by outlines of which most are.
	m = outlineMatcher(m)
	m.inPlace()
	rest = m.restA()
	w, _ := m.vote(rest, len(m.sa)-len(rest), least > 1)
	return w
}

// vote finds the motion that most shapes share, and how many do. rest are those
// that do not lie on their like as they are, stayed how many do.
func (m *matcher) vote(rest []int, stayed int, moves bool) (*Motion, int) {
	all := make([]int, len(m.sa))
	for i := range all {
		all[i] = i
	}
	m.taken = make([]bool, len(m.sb))
	f := newFinder(m, all)
	f.seek = rest
	best, ok := f.best(func(t geom.Transform) bool {
		return t != geom.Identity() && (moves || factorOf(t) != 1)
	})
	n := len(best.hits)
	if !ok || n <= stayed || n*wholeShare < min(len(m.sa), len(m.sb)) || n <= f.elsewhere(best.hits) || !f.enough(&best) {
		return nil, n
	}
	w := MotionOf(best.lay, n)
	return &w, n
}

// outlineMatcher matches the outlines of parts, each for itself. The number of a
// part is that of its outside.
func outlineMatcher(m *matcher) *matcher {
	apart := func(parts []*shape, numbers []string) (out []*shape, n []string) {
		for k, s := range parts {
			for i := range s.rings {
				out, n = append(out, ringShape(s.part, s.rings[i])), append(n, "")
			}
			n[len(n)-len(s.rings)] = numbers[k]
		}
		return out, n
	}
	o := &matcher{a: m.a, b: m.b, tol: m.tol, eps: m.eps}
	o.sa, o.na = apart(m.sa, m.na)
	o.sb, o.nb = apart(m.sb, m.nb)
	o.of, o.taken = make([]*Part, len(o.sa)), make([]bool, len(o.sb))
	return o
}

// enough reports whether the parts that a motion takes onto their like tell it
// beyond doubt: a disc tells no turn, and a square twice as large nothing else.
func (f *finder) enough(m *motion) bool {
	w := MotionOf(m.lay, 0)
	telling := 0
	for _, h := range m.hits {
		if !f.a[h.i].simple() {
			telling++
		}
	}
	n := len(m.hits)
	switch {
	case w.Scale != 1 && n == 1:
		return telling > 0 || betweenUnits(w.Scale) ||
			len(f.a) == 1 && len(f.b) == 1 && math.Abs(math.Log(w.Scale)) >= math.Log(plainGrowth)
	case w.Scale != 1 || !w.Mirrored && w.Angle == 0:
		return n >= 2
	}
	return n >= 3 || n == 2 && telling > 0
}

// simple reports whether a shape says little by being drawn again: a circle, or a
// single outline of up to four pieces.
func (s *shape) simple() bool { return len(s.rings) == 1 && len(s.rings[0].path) <= 4 }

// betweenUnits reports whether a factor is one of those between units.
func betweenUnits(s float64) bool {
	for _, u := range unitFactors {
		if math.Abs(s/u-1) < 1e-4 || math.Abs(s*u-1) < 1e-4 {
			return true
		}
	}
	return false
}

// elsewhere counts the parts not among the hits that have a like of their own
// size after.
func (f *finder) elsewhere(hits []pair) int {
	from, to := map[int]bool{}, map[int]bool{}
	for _, h := range hits {
		from[h.i], to[h.j] = true, true
	}
	n := 0
	for i := range f.a {
		if from[i] {
			continue
		}
		lo, hi := f.window(f.a[i])
		for _, j := range f.order[lo:min(hi, lo+crossPartners)] {
			if !to[j] && f.a[i].alike(f.b[j], 1, f.tol) {
				to[j] = true
				n++
				break
			}
		}
	}
	return n
}

// wholeOfLines tells how a drawing without parts has moved by the boxes of its
// open paths: a scale and a shift that bring most of their length onto each other.
func wholeOfLines(a, b *outline.Sheet, tol float64) *Motion {
	la, lb := append(append([]outline.Open{}, a.Open...), a.Etch...), append(append([]outline.Open{}, b.Open...), b.Etch...)
	ba, bb := boxOf(la), boxOf(lb)
	if ba.Empty() || bb.Empty() || !(ba.Diagonal() > 0) {
		return nil
	}
	s := roundScale(bb.Diagonal()/ba.Diagonal(), tol/ba.Diagonal())
	slack := 4 * scaled(tol, s)
	if math.Abs(ba.W()*s-bb.W()) > slack || math.Abs(ba.H()*s-bb.H()) > slack {
		return nil
	}
	t := geom.Scaling(s)
	t.T = bb.Center().Sub(t.Apply(ba.Center()))
	if t.T.Norm() <= scaled(tol, s) {
		t.T = geom.Point{}
	}
	if t == geom.Identity() {
		return nil
	}
	var pieces []geom.Piece
	for i := range lb {
		pieces = append(pieces, lb[i].Pieces...)
	}
	to := index.Scattered(pieces)
	all, hit := 0.0, 0.0
	for i := range la {
		var g gap
		all += la[i].Length
		if g.reach(la[i].Pieces, t, to, limits{tol / 20, slack}) {
			hit += la[i].Length
		}
	}
	if hit < all/2 {
		return nil
	}
	w := MotionOf(t, 0)
	return &w
}

func boxOf(list []outline.Open) geom.Box {
	b := geom.NoBox()
	for i := range list {
		b = b.Union(list[i].Box)
	}
	return b
}

// together matches parts that have moved in groups, the largest first.
func (m *matcher) together(keep func(t geom.Transform) bool) {
	for range groupsMost {
		rest := m.restA()
		if len(rest) < groupLeast {
			return
		}
		f := newFinder(m, rest)
		f.seek = rest
		best, _ := f.best(func(t geom.Transform) bool { return t != geom.Identity() && keep(t) })
		if len(best.hits) < groupLeast {
			return
		}
		w := MotionOf(best.lay, 0)
		for _, h := range best.hits {
			if p, ok := m.laidBy(h.i, h.j, &w); ok {
				p.Group = len(m.groups)
				m.take(h.i, h.j, p)
				w.Parts++
			}
		}
		if w.Parts == 0 {
			return
		}
		m.groups = append(m.groups, w)
	}
}

// laidBy describes the part i before as laid on part j after by a motion, but for
// a slight shift and turn; ok is false where the two are not one shape.
func (m *matcher) laidBy(i, j int, w *Motion) (Part, bool) {
	a, b := m.sa[i], m.sb[j]
	tol := scaled(m.tol, w.Scale)
	f := fit{lay: laying(a, b, baseOf(a, w.Scale, w.Mirrored), w.Angle), angle: w.Angle}
	for range 2 {
		if g, ok := deviate(a.index(), b.index(), f.lay, limits{m.eps, tol}); ok && g.dist <= tol {
			f.gap = g
			p := m.partOf(i, j, f, w.Mirrored)
			if w.Scale != 1 {
				p.Verdict, p.Scale = Scaled, w.Scale
			}
			return p, true
		}
		f = f.refined(a, b)
	}
	return Part{}, false
}

// grown matches parts left over with those of their form in another size, those
// of a factor that many share first. A simple shape counts only where its factor
// is shared by others or lies between units: any square is like any other.
func (m *matcher) grown() {
	f := newFinder(m, m.restA())
	type growth struct {
		pair
		s float64
	}
	votes := map[int64]int{}
	key := func(s float64) int64 { return int64(math.Round(math.Log(s) * 2000)) }
	var list []growth
	for _, i := range f.from {
		told := map[int64]bool{}
		for _, j := range f.some(i) {
			s, ok := f.scaleOf(m.sa[i], m.sb[j])
			if !ok || s == 1 || m.sa[i].round() && len(m.sa[i].rings) == 1 && !betweenUnits(s) {
				continue
			}
			s = roundScale(s, m.tol/max(m.sa[i].reach, m.tol))
			list = append(list, growth{pair{i, j, 0}, s})
			if k := key(s); !told[k] && !m.sa[i].simple() {
				told[k] = true
				votes[k]++
			}
		}
	}
	var pairs []pair
	factors := map[[2]int]float64{}
	for _, g := range list {
		a, b := m.sa[g.i], m.sb[g.j]
		if a.simple() && votes[key(g.s)] == 0 && !betweenUnits(g.s) {
			continue
		}
		// Many parts of one factor, then one number, then the place that a scale
		// about the origin would give.
		far := b.centre.Dist(a.centre.Mul(g.s))
		g.cost = 0.5*far/(far+a.reach) - float64(votes[key(g.s)])
		if m.na[g.i] != "" && m.na[g.i] == m.nb[g.j] {
			g.cost -= 0.5
		}
		pairs = append(pairs, g.pair)
		factors[[2]int{g.i, g.j}] = g.s
	}
	m.greedy(pairs, func(i, j int) {
		s := factors[[2]int{i, j}]
		if ft, ok := align(m.sa[i], m.sb[j], scaled(m.tol, s), m.eps, s, false); ok {
			p := m.partOf(i, j, ft, false)
			p.Verdict, p.Scale = Scaled, s
			m.take(i, j, p)
		} else if ft, ok := align(m.sa[i], m.sb[j], scaled(m.tol, s), m.eps, s, true); ok {
			p := m.partOf(i, j, ft, true)
			p.Verdict, p.Scale = Scaled, s
			m.take(i, j, p)
		}
	})
}
