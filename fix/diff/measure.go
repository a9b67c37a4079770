package diff

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// MeasureKind says in which way an outline changed, as one would measure it.
type MeasureKind string

// Kinds of measure. None of them: the outlines differ in some other way, which
// only a largest deviation tells.
const (
	NoMeasure MeasureKind = ""
	Diameter  MeasureKind = "diameter" // a circle of another size
	Offset    MeasureKind = "offset"   // larger or smaller by as much on every side
	Edge      MeasureKind = "edge"     // one edge moved, square to itself
	Width     MeasureKind = "width"    // two edges that face each other moved apart by as much each
	Edges     MeasureKind = "edges"    // several edges moved
)

// Measure is how an outline changed. Values are mm.
type Measure struct {
	Kind    MeasureKind
	By      float64    // how far each edge moved, the furthest of several; above 0: what is enclosed has grown
	Was, Is float64    // diameters
	At      geom.Point // the middle of the edge that moved furthest, as after
	Count   int        // edges that moved
	Slot    bool       // what is enclosed is longer than twice its width
	Ends    bool       // the edges that moved are the short ones of it
}

// Tolerances of measuring.
const (
	sameWay     = 0.02 // sine of the angle between edges that count as parallel, about 1 degree
	mitre       = 3.0  // a corner may lie further away than its edges by this factor: angles down to 39 degrees
	uncounted   = 0.05 // share of an outline's length that may go otherwise: corners
	searchLimit = 400  // pieces of outlines whose edges are looked for one by one
	edgesShare  = 0.25 // of the diagonal: several edges that moved further are another shape
	cornerSweep = 1.75 // radians, about 100 degrees: arcs that turn less, next to an edge that moved, are its corners
)

// measured finds the measure that says how a became b, laid by the part's lay and,
// if need be, shifted by the middles of their boxes: a change all round before
// one of an edge. It returns the lay besides that of the part and the largest
// move of an edge with its place.
func (m *matcher) measured(a, b *ring, lay geom.Transform) (Measure, geom.Transform, gap, bool) {
	if ca, cb := circleOf(a, lay), circleOf(b, geom.Identity()); ca != nil && cb != nil {
		t := geom.Identity()
		if d := cb.C.Sub(ca.C); d.Norm() > m.tol {
			t.T = d
		}
		by := cb.R - ca.R
		at := cb.At(0.125)
		from := at.Sub(at.Sub(cb.C).Unit().Mul(by))
		return Measure{Kind: Diameter, By: by, Was: 2 * ca.R, Is: 2 * cb.R, At: at, Count: 1}, t, gap{math.Abs(by), from, at}, true
	}
	best := Measure{}
	var bestLay geom.Transform
	var worst gap
	rank := func(k MeasureKind) int { return slices.Index([]MeasureKind{NoMeasure, Edges, Width, Edge, Offset}, k) }
	box := a.path.Transform(lay).Box()
	mid := geom.Shift(b.box.Center().Sub(box.Center()))
	for _, t := range []geom.Transform{geom.Identity(), mid} {
		if t.T != (geom.Point{}) && t.T.Norm() <= m.tol {
			continue
		}
		ms, g, ok := m.edges(a.path.Transform(lay.Then(t)), b)
		if ok && rank(ms.Kind) > rank(best.Kind) {
			best, bestLay, worst = ms, t, g
		}
		if best.Kind == Offset || best.Kind == Edge {
			break
		}
	}
	best.Slot = oblong(b.path)
	best.Ends = best.Ends && best.Slot
	return best, bestLay, worst, best.Kind != NoMeasure
}

func circleOf(r *ring, lay geom.Transform) *geom.Piece {
	if len(r.path) != 1 || !r.path[0].IsCircle() {
		return nil
	}
	c := r.path[0].Transform(lay)
	return &c
}

// oblong reports whether the rectangle of a path's area and length is longer than
// twice its width.
func oblong(p geom.Path) bool {
	area, half := math.Abs(p.Area()), p.Length()/2
	root := half*half - 4*area
	if root <= 0 {
		return false
	}
	w := (half - math.Sqrt(root)) / 2
	return half-w > 2*w
}

// edgeMove is how far an edge moved.
type edgeMove struct {
	p      *geom.Piece
	by     float64 // square to it, outward
	length float64
	bent   bool // not everywhere as far, or gone
	at     geom.Point
	out    geom.Point // outward, at its middle
}

// edges measures how far each edge of a, already laid, moved to become b.
func (m *matcher) edges(a geom.Path, b *ring) (Measure, gap, bool) {
	list := m.moves(a, b)
	// The other way round nothing may stick out that a has no edge for.
	back := m.moves(b.path, &ring{path: a, box: a.Box()})
	total, odd, most := 0.0, 0.0, 0.0
	for k := range list {
		e := &list[k]
		total += e.length
		if !e.bent {
			most = max(most, math.Abs(e.by))
		}
	}
	var moved []*edgeMove
	for k := range list {
		e := &list[k]
		if e.bent && !isCorner(list, k, m.tol) {
			odd += e.length
		}
		if !e.bent && math.Abs(e.by) > m.tol {
			moved = append(moved, e)
		}
	}
	backOdd := 0.0
	for k := range back {
		if e := &back[k]; e.bent && e.length > mitre*most && !isCorner(back, k, m.tol) {
			backOdd += e.length
		}
	}
	if len(moved) == 0 || odd > uncounted*total || backOdd > 0 {
		return Measure{}, gap{}, false
	}
	if g, ok := deviate(index.PathTree(a), b.index(), geom.Identity(), limits{m.eps, mitre*most + m.tol}); !ok || g.dist > mitre*most+m.tol {
		return Measure{}, gap{}, false
	}
	slices.SortStableFunc(moved, func(x, y *edgeMove) int {
		return cmp.Or(compareBeyond(math.Abs(y.by), math.Abs(x.by), m.tol), cmp.Compare(y.length, x.length))
	})
	first := moved[0]
	ms := Measure{Kind: kindOf(list, moved, total, m.tol), By: first.by, At: first.at.Add(first.out.Mul(first.by)), Count: len(moved)}
	if ms.Kind == Offset {
		ms.By = meanMove(moved)
	}
	if ms.Kind == Edges && most > edgesShare*b.box.Diagonal() {
		return Measure{}, gap{}, false
	}
	ms.Ends = first.length < total/6
	return ms, gap{math.Abs(ms.By), first.at, ms.At}, true
}

// compareBeyond compares two values that count as equal within tol.
func compareBeyond(x, y, tol float64) int {
	if math.Abs(x-y) <= tol {
		return 0
	}
	return cmp.Compare(x, y)
}

func meanMove(list []*edgeMove) float64 {
	sum, length := 0.0, 0.0
	for _, e := range list {
		sum, length = sum+e.by*e.length, length+e.length
	}
	return sum / length
}

// kindOf names the change in which the moved of all edges took part.
func kindOf(list []edgeMove, moved []*edgeMove, total, tol float64) MeasureKind {
	first, length := moved[0], 0.0
	alike, line, facing := true, true, true
	for _, e := range moved {
		length += e.length
		alike = alike && math.Abs(e.by-first.by) <= 2*tol
		straight := e.p.R == 0 && math.Abs(e.out.Cross(first.out)) <= sameWay
		line = line && straight && e.out.Dot(first.out) > 0 && math.Abs(e.at.Sub(first.at).Dot(first.out)) <= tol
		facing = facing && straight
	}
	if first.p.R > 0 && len(moved) == 1 {
		line = true
	}
	still := 0.0
	for k := range list {
		if !list[k].bent && math.Abs(list[k].by) <= tol {
			still += list[k].length
		}
	}
	switch {
	case alike && still <= uncounted*total && length >= total/2:
		return Offset
	case alike && line:
		return Edge
	case alike && facing && twoSides(moved):
		return Width
	}
	return Edges
}

// twoSides reports whether edges move out on both of two opposite sides.
func twoSides(moved []*edgeMove) bool {
	for _, e := range moved {
		if e.out.Dot(moved[0].out) < 0 {
			return true
		}
	}
	return false
}

// isCorner reports whether a bent piece is the rounding of a corner whose edges
// have moved.
func isCorner(list []edgeMove, k int, tol float64) bool {
	n := len(list)
	p := list[k].p
	if p.R == 0 || math.Abs(p.Sweep) > cornerSweep || n < 3 {
		return false
	}
	x, y := &list[(k+n-1)%n], &list[(k+1)%n]
	return !x.bent && !y.bent && max(math.Abs(x.by), math.Abs(y.by)) > tol
}

// moves measures each piece of a closed path against a ring: at places along it,
// square to it, to the nearest edge that runs the same way.
func (m *matcher) moves(a geom.Path, b *ring) []edgeMove {
	right := 1.0 // outward is to the right of a path run counter-clockwise
	if a.Area() < 0 {
		right = -1
	}
	same := right
	if b.path.Area() < 0 {
		same = -same
	}
	list := make([]edgeMove, len(a))
	hint := int32(-1)
	for k := range a {
		p := &a[k]
		e := edgeMove{p: p, length: p.Length(), at: p.Mid()}
		e.out = p.TangentAt(0.5).Left().Mul(-right)
		var by []float64
		for _, s := range [5]float64{0.15, 0.35, 0.5, 0.65, 0.85} {
			at, u := p.At(s), p.TangentAt(s)
			d, near, ok := edgeFrom(at, u.Mul(same), u.Left().Mul(-right), b, hint, m.tol)
			if hint = near; ok {
				by = append(by, d)
			}
		}
		if len(by) < 2 {
			e.bent = true
		} else {
			slices.Sort(by)
			e.by = by[len(by)/2]
			e.bent = by[len(by)-1]-by[0] > m.tol
		}
		list[k] = e
	}
	return list
}

// edgeFrom returns the distance from a point of an edge, along its outward
// direction, to the nearest edge of b that runs along dir there.
func edgeFrom(at, dir, out geom.Point, b *ring, hint int32, tol float64) (by float64, near int32, ok bool) {
	_, near = b.index().NearestFrom(at, hint)
	pieces := b.index().Pieces
	foot := func(p *geom.Piece) (d float64, ok bool) {
		q, s := p.Nearest(at)
		d = q.Sub(at).Dot(out)
		off := q.Sub(at).Sub(out.Mul(d)).Norm()
		return d, off <= 0.1*tol+sameWay*math.Abs(d) && p.TangentAt(s).Dot(dir) >= 1-sameWay
	}
	if by, ok = foot(&pieces[near]); ok || len(pieces) > searchLimit {
		return by, near, ok
	}
	best := math.Inf(1)
	for k := range pieces {
		if d, fine := foot(&pieces[k]); fine && math.Abs(d) < math.Abs(best) {
			best, ok = d, true
		}
	}
	return best, near, ok
}
