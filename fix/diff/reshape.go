package diff

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
)

// How unlike two parts or holes may be and still count as one reshaped.
const (
	shareOfBoxes = 0.3  // of the boxes' union that both take, for parts and holes in place
	sizeApart    = 0.2  // relative difference of areas and lengths, for parts elsewhere
	shapeApart   = 0.15 // deviation as a share of the reach, for parts elsewhere
	looks        = 8    // parts of like area looked at on either side
)

// reshaped matches what is left: first parts that take the same place, those of
// one number before others; then parts of one number elsewhere; then parts of
// like size and outline elsewhere.
func (m *matcher) reshaped() {
	settle := func(i, j int) { m.take(i, j, m.compareShapes(i, j)) }
	m.greedy(m.inOnePlace(), settle)

	byNumber := map[string]int{}
	for _, j := range m.restB() {
		if m.nb[j] != "" {
			byNumber[m.nb[j]] = j
		}
	}
	for _, i := range m.restA() {
		if j, ok := byNumber[m.na[i]]; ok && m.na[i] != "" && !m.taken[j] {
			settle(i, j)
		}
	}
	m.greedy(m.likeElsewhere(), settle)
}

// inOnePlace lists pairs of what is left whose boxes share most of their area.
func (m *matcher) inOnePlace() []pair {
	var pairs []pair
	lb := m.restB()
	slices.SortStableFunc(lb, func(x, y int) int { return cmp.Compare(m.sb[x].box.Min.X, m.sb[y].box.Min.X) })
	for _, i := range m.restA() {
		a := m.sa[i].box
		// Boxes that share so much differ in width by no more than this.
		reach := a.W() / shareOfBoxes
		from, _ := slices.BinarySearchFunc(lb, a.Min.X-reach, func(j int, x float64) int { return cmp.Compare(m.sb[j].box.Min.X, x) })
		for _, j := range lb[from:] {
			b := m.sb[j].box
			if b.Min.X > a.Max.X || len(pairs) >= pairLimit {
				break
			}
			share := shared(a, b)
			if share < shareOfBoxes {
				continue
			}
			cost := 1 - share
			if m.na[i] != "" && m.na[i] == m.nb[j] {
				cost -= 1
			}
			pairs = append(pairs, pair{i, j, cost})
		}
	}
	return pairs
}

// shared returns the area common to two boxes as a share of their union.
func shared(a, b geom.Box) float64 {
	w := min(a.Max.X, b.Max.X) - max(a.Min.X, b.Min.X)
	h := min(a.Max.Y, b.Max.Y) - max(a.Min.Y, b.Min.Y)
	if !(w > 0 && h > 0) {
		return 0
	}
	return w * h / (a.W()*a.H() + b.W()*b.H() - w*h)
}

// likeElsewhere lists pairs of what is left that are of like size and whose
// outsides, laid on each other as well as may be, deviate little for their size.
func (m *matcher) likeElsewhere() []pair {
	var pairs []pair
	lb := m.restB()
	slices.SortStableFunc(lb, func(x, y int) int { return cmp.Compare(m.sb[x].area, m.sb[y].area) })
	for _, i := range m.restA() {
		a := m.sa[i]
		at, _ := slices.BinarySearchFunc(lb, a.area, func(j int, v float64) int { return cmp.Compare(m.sb[j].area, v) })
		for _, j := range lb[max(0, at-looks):min(len(lb), at+looks)] {
			b := m.sb[j]
			if math.Abs(a.area-b.area) > sizeApart*max(a.area, b.area) || math.Abs(a.length-b.length) > sizeApart*max(a.length, b.length) {
				continue
			}
			f := m.bestLay(a, b)
			if f.gap.dist > shapeApart*max(a.reach, b.reach) {
				continue
			}
			pairs = append(pairs, pair{i, j, f.gap.dist})
		}
	}
	return pairs
}

// bestLay lays the outside of a on that of b as well as a few ways allow: as it
// is; shifted so that a side of the box, its middle or the centre of mass keeps
// its place; turned as the moments tell. A way that moves more must be better by
// half, so that a part with one edge changed counts as that and not as moved.
func (m *matcher) bestLay(a, b *shape) fit {
	ra, rb := &a.rings[0], &b.rings[0]
	try := func(best fit, list []fit) fit {
		for _, f := range list {
			lim := limits{m.eps, best.gap.dist / 2}
			if g, ok := deviate(ra.index(), rb.index(), f.lay, lim); ok && g.dist < best.gap.dist/2 {
				f.gap = g
				best = f
			}
		}
		return best
	}
	best := fit{lay: geom.Identity()}
	best.gap, _ = deviate(ra.index(), rb.index(), best.lay, limits{m.eps, math.Inf(1)})
	var shifts []fit
	for _, d := range []geom.Point{
		rb.box.Min.Sub(ra.box.Min), rb.box.Max.Sub(ra.box.Max), rb.box.Center().Sub(ra.box.Center()),
		geom.Pt(rb.box.Min.X-ra.box.Min.X, rb.box.Max.Y-ra.box.Max.Y), geom.Pt(rb.box.Max.X-ra.box.Max.X, rb.box.Min.Y-ra.box.Min.Y),
		b.centre.Sub(a.centre),
	} {
		if d.Norm() > m.tol {
			shifts = append(shifts, fit{lay: geom.Shift(d)})
		}
	}
	best = try(best, shifts)
	var turned []fit
	for _, angle := range momentTurns(a, b, geom.Identity()) {
		angle = math.Remainder(angle, 2*math.Pi)
		if math.Abs(angle) < 1e-3 {
			continue
		}
		f := fit{lay: laying(a, b, geom.Identity(), angle), angle: angle}
		turned = append(turned, f, f.refined(a, b))
	}
	return try(best, turned)
}

// compareShapes tells how two parts of different shape differ.
func (m *matcher) compareShapes(i, j int) Part {
	a, b := m.sa[i], m.sb[j]
	f := m.bestLay(a, b)
	p := Part{Verdict: Reshaped, Lay: f.lay, Angle: f.angle, Deviation: f.gap.dist, From: f.gap.from, To: f.gap.to}
	if f.lay != geom.Identity() {
		p.Shift = f.lay.Apply(a.centre).Sub(a.centre)
	}
	m.compareHoles(&p, a, b)
	return p
}

// compareHoles pairs the holes of two parts: those that lie on each other, then
// those of one shape shifted, then those that take the same place.
func (m *matcher) compareHoles(p *Part, a, b *shape) {
	ha, hb := holesOf(a, p.Lay), holesOf(b, geom.Identity())
	usedA, usedB := make([]bool, len(ha)), make([]bool, len(hb))
	grid := newGrid(2 * m.tol)
	for y := range hb {
		grid.add(hb[y].box.Min, y)
	}
	lim := limits{m.eps, m.tol}
	for x := range ha {
		grid.around(ha[x].box.Min, func(y int) bool {
			if usedB[y] || !sameBox(ha[x].box, hb[y].box, m.tol) {
				return true
			}
			if g, ok := deviate(ha[x].index(), hb[y].index(), geom.Identity(), lim); ok && g.dist <= m.tol {
				usedA[x], usedB[y] = true, true
				p.worse(g)
			}
			return !usedA[x]
		})
	}
	settle := func(pairs []pair, judge func(x, y int) bool) {
		slices.SortStableFunc(pairs, func(u, v pair) int { return cmp.Compare(u.cost, v.cost) })
		for _, q := range pairs {
			if !usedA[q.i] && !usedB[q.j] && judge(q.i, q.j) {
				usedA[q.i], usedB[q.j] = true, true
			}
		}
	}
	var shifted, inPlace []pair
	for x := range ha {
		for y := range hb {
			if usedA[x] || usedB[y] || len(shifted)+len(inPlace) > pairLimit {
				continue
			}
			s, t := ha[x].box, hb[y].box
			d := s.Center().Dist(t.Center())
			if math.Abs(s.W()-t.W()) <= 2*m.tol && math.Abs(s.H()-t.H()) <= 2*m.tol && d <= max(2*s.Diagonal(), b.box.Diagonal()/4) {
				shifted = append(shifted, pair{x, y, d})
			}
			if share := shared(s, t); share >= shareOfBoxes {
				inPlace = append(inPlace, pair{x, y, 1 - share})
			}
		}
	}
	settle(shifted, func(x, y int) bool {
		d := hb[y].box.Center().Sub(ha[x].box.Center())
		g, ok := deviate(ha[x].index(), hb[y].index(), geom.Shift(d), lim)
		if !ok || g.dist > m.tol {
			return false
		}
		p.Holes = append(p.Holes, Hole{Verdict: Moved, At: hb[y].box.Center(), Box: hb[y].box, Shift: d, Deviation: g.dist})
		p.worse(gap{d.Norm(), hb[y].box.Center().Sub(d), hb[y].box.Center()})
		return true
	})
	settle(inPlace, func(x, y int) bool {
		g, _ := deviate(ha[x].index(), hb[y].index(), geom.Identity(), limits{m.eps, math.Inf(1)})
		h := Hole{Verdict: Reshaped, At: hb[y].box.Center(), Box: hb[y].box, Deviation: g.dist}
		if d := hb[y].box.Center().Sub(ha[x].box.Center()); d.Norm() > m.tol {
			h.Shift = d
		}
		p.Holes = append(p.Holes, h)
		p.worse(g)
		return true
	})
	for y := range hb {
		if !usedB[y] {
			p.Holes = append(p.Holes, Hole{Verdict: Added, At: hb[y].box.Center(), Box: hb[y].box})
		}
	}
	for x := range ha {
		if !usedA[x] {
			p.Holes = append(p.Holes, Hole{Verdict: Removed, At: ha[x].box.Center(), Box: ha[x].box})
		}
	}
	slices.SortStableFunc(p.Holes, func(u, v Hole) int {
		return cmp.Or(cmp.Compare(v.At.Y, u.At.Y), cmp.Compare(u.At.X, v.At.X))
	})
}

// worse raises the part's deviation.
func (p *Part) worse(g gap) {
	if g.dist > p.Deviation {
		p.Deviation, p.From, p.To = g.dist, g.from, g.to
	}
}

// holesOf returns the holes of a shape, laid by t.
func holesOf(s *shape, t geom.Transform) []ring {
	if t == geom.Identity() {
		return s.rings[1:]
	}
	var out []ring
	for _, r := range s.rings[1:] {
		path := r.path.Transform(t)
		out = append(out, ring{path: path, box: path.Box()})
	}
	return out
}
