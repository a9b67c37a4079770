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

// compareShapes tells how two parts of different shape differ: by a measure of
// their outsides where there is one, else by the largest deviation when laid on
// each other as well as may be.
func (m *matcher) compareShapes(i, j int) Part {
	a, b := m.sa[i], m.sb[j]
	p := Part{Verdict: Reshaped, Scale: 1, Group: -1}
	f := m.bestLay(a, b)
	if f.gap.dist > m.tol {
		for _, lay := range []geom.Transform{geom.Identity(), f.lay} {
			ms, besides, g, ok := m.measured(&a.rings[0], &b.rings[0], lay)
			if !ok {
				continue
			}
			angle := 0.0
			if lay == f.lay {
				angle = f.angle
			}
			p.Measure, f = ms, fit{lay: lay.Then(besides), angle: angle, gap: g}
			break
		}
	}
	p.Lay, p.Angle, p.Deviation, p.From, p.To = f.lay, f.angle, f.gap.dist, f.gap.from, f.gap.to
	if f.lay != geom.Identity() {
		p.Shift = f.lay.Apply(a.centre).Sub(a.centre)
	}
	m.compareHoles(&p, a, b)
	return p
}
