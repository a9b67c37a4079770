package diff

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// How far a hole may have moved to count as moved and not as removed there and
// added here. A person takes a hole for moved when it is still beside where it
// was: within its own size, and nearer than half way to the next hole; where
// holes are far between, within a share of the part. Common sense, no source.
const (
	holeSizes     = 1.0   // its own diagonals that a hole may always move
	holeSpacing   = 0.5   // of the distance to the nearest other hole
	holePartShare = 0.125 // of the part's diagonal, at most
	holesTogether = 3     // holes that move alike may move up to
	togetherShare = 0.25  // this share of the part's diagonal
)

// holePairs pairs the holes of two parts.
type holePairs struct {
	m            *matcher
	p            *Part
	a, b         []ring
	usedA, usedB []bool
	room         float64 // the part's diagonal, mm
	nextA, nextB []float64
}

// compareHoles pairs the holes of two parts: those that lie on each other, then
// those of one shape that moved alike or a little, then those that take the same
// place.
func (m *matcher) compareHoles(p *Part, a, b *shape) {
	h := &holePairs{m: m, p: p, a: holesOf(a, p.Lay), b: holesOf(b, geom.Identity()), room: b.box.Diagonal()}
	h.usedA, h.usedB = make([]bool, len(h.a)), make([]bool, len(h.b))
	h.inPlace()
	if slices.Contains(h.usedA, false) && slices.Contains(h.usedB, false) {
		h.nextA, h.nextB = nextOf(h.a), nextOf(h.b)
		h.moved()
		h.reshaped()
	}
	for y := range h.b {
		if !h.usedB[y] {
			p.Holes = append(p.Holes, Hole{Verdict: Added, At: h.b[y].box.Center(), Box: h.b[y].box, Before: -1, After: y})
		}
	}
	for x := range h.a {
		if !h.usedA[x] {
			p.Holes = append(p.Holes, Hole{Verdict: Removed, At: h.a[x].box.Center(), Box: h.a[x].box, Before: x, After: -1})
		}
	}
	slices.SortStableFunc(p.Holes, func(u, v Hole) int {
		return cmp.Or(cmp.Compare(v.At.Y, u.At.Y), cmp.Compare(u.At.X, v.At.X))
	})
}

func (h *holePairs) inPlace() {
	tol := h.m.tol
	corners := index.NewCells[int](2*tol, len(h.b))
	for y := range h.b {
		corners.Add(h.b[y].box.Min, y)
	}
	for x := range h.a {
		corners.Around(h.a[x].box.Min, tol, func(y int) bool {
			if h.usedB[y] || !sameBox(h.a[x].box, h.b[y].box, tol) {
				return true
			}
			if g, ok := deviate(h.a[x].index(), h.b[y].index(), geom.Identity(), limits{h.m.eps, tol}); ok && g.dist <= tol {
				h.usedA[x], h.usedB[y] = true, true
				h.p.worse(g)
			}
			return !h.usedA[x]
		})
	}
}

// nextOf returns for each hole the distance of its middle to the nearest middle of
// another, infinite where there is none. The holes are swept by x.
func nextOf(holes []ring) []float64 {
	order := make([]int, len(holes))
	next := make([]float64, len(holes))
	for i := range order {
		order[i], next[i] = i, math.Inf(1)
	}
	mid := func(i int) geom.Point { return holes[order[i]].box.Center() }
	slices.SortStableFunc(order, func(x, y int) int { return cmp.Compare(holes[x].box.Center().X, holes[y].box.Center().X) })
	for i := range order {
		n := &next[order[i]]
		for k := i - 1; k >= 0 && mid(i).X-mid(k).X < *n; k-- {
			*n = min(*n, mid(i).Dist(mid(k)))
		}
		for k := i + 1; k < len(order) && mid(k).X-mid(i).X < *n; k++ {
			*n = min(*n, mid(i).Dist(mid(k)))
		}
	}
	return next
}

// moved pairs holes of one size: first by the shift that most share, then each
// with the nearest within reason.
func (h *holePairs) moved() {
	tol := h.m.tol
	var pairs []pair
	shifts := map[index.Cell][]pair{}
	var order []index.Cell
	tried := 0
	for x := range h.a {
		for y := range h.b {
			if h.usedA[x] || h.usedB[y] || tried > pairLimit {
				continue
			}
			s, t := h.a[x].box, h.b[y].box
			if math.Abs(s.W()-t.W()) > 2*tol || math.Abs(s.H()-t.H()) > 2*tol {
				continue
			}
			tried++
			d := t.Center().Sub(s.Center())
			if d.Norm() <= togetherShare*h.room {
				k := index.CellOf(d, 5*tol)
				if shifts[k] == nil {
					order = append(order, k)
				}
				shifts[k] = append(shifts[k], pair{x, y, d.Norm()})
			}
			if d.Norm() <= h.reach(x, y) {
				pairs = append(pairs, pair{x, y, d.Norm()})
			}
		}
	}
	slices.SortStableFunc(order, func(k, l index.Cell) int {
		return cmp.Or(cmp.Compare(len(shifts[l]), len(shifts[k])), cmp.Compare(shifts[k][0].cost, shifts[l][0].cost))
	})
	if len(order) > 0 && len(shifts[order[0]]) >= holesTogether {
		h.settle(shifts[order[0]], h.shifted)
	}
	h.settle(pairs, h.shifted)
}

// reach returns how far the hole x before may have moved to become y.
func (h *holePairs) reach(x, y int) float64 {
	own := holeSizes * h.a[x].box.Diagonal()
	return max(own, min(holeSpacing*min(h.nextA[x], h.nextB[y]), holePartShare*h.room))
}

// settle tries pairs of holes still free, the cheapest first.
func (h *holePairs) settle(pairs []pair, judge func(x, y int) bool) {
	slices.SortStableFunc(pairs, func(u, v pair) int { return cmp.Compare(u.cost, v.cost) })
	for _, q := range pairs {
		if !h.usedA[q.i] && !h.usedB[q.j] && judge(q.i, q.j) {
			h.usedA[q.i], h.usedB[q.j] = true, true
		}
	}
}

// shifted takes a pair of holes for one that moved, if they are of one shape.
func (h *holePairs) shifted(x, y int) bool {
	a, b := &h.a[x], &h.b[y]
	d := b.box.Center().Sub(a.box.Center())
	g, ok := deviate(a.index(), b.index(), geom.Shift(d), limits{h.m.eps, h.m.tol})
	if !ok || g.dist > h.m.tol {
		return false
	}
	h.p.Holes = append(h.p.Holes, Hole{Verdict: Moved, At: b.box.Center(), Box: b.box, Shift: d, Deviation: g.dist, Before: x, After: y})
	h.p.worse(gap{d.Norm(), b.box.Center().Sub(d), b.box.Center()})
	return true
}

// reshaped pairs holes that take the same place.
func (h *holePairs) reshaped() {
	var pairs []pair
	for x := range h.a {
		for y := range h.b {
			if !h.usedA[x] && !h.usedB[y] && len(pairs) <= pairLimit {
				if share := shared(h.a[x].box, h.b[y].box); share >= shareOfBoxes {
					pairs = append(pairs, pair{x, y, 1 - share})
				}
			}
		}
	}
	h.settle(pairs, func(x, y int) bool {
		a, b := &h.a[x], &h.b[y]
		hole := Hole{Verdict: Reshaped, At: b.box.Center(), Box: b.box, Before: x, After: y}
		ms, lay, g, ok := h.m.measured(a, b, geom.Identity())
		if !ok {
			g, _ = deviate(a.index(), b.index(), geom.Identity(), limits{h.m.eps, math.Inf(1)})
			lay = geom.Identity()
			if d := b.box.Center().Sub(a.box.Center()); d.Norm() > h.m.tol {
				lay.T = d
			}
		}
		hole.Measure, hole.Deviation, hole.Shift = ms, g.dist, lay.T
		h.p.Holes = append(h.p.Holes, hole)
		h.p.worse(g)
		return true
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
