package guard

import (
	"context"
	"fmt"
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"sluice/geom"
)

// Part is a part as told: what bounds it before it moves.
type Part struct {
	Outer geom.Path
	Holes []geom.Path
}

// Move is the movement that a part is told to have made.
type Move struct {
	Part int // index in the parts
	T    geom.Transform
}

// Moved compares a drawing before and after parts of it moved, part by part, and
// starts the next comparison from what it was after. Marks and the like within
// reach of a part may have gone with it. With rest, what belongs to no part must
// have stayed; without it, it must be told elsewhere that it is left out.
func (g *Guard) Moved(ctx context.Context, before, after []Stroke, parts []Part, moves []Move, reach float64, rest bool) error {
	if err := g.compare(ctx, before); err != nil {
		return err
	}
	m := newMotion(before, after, parts, moves, g.limits.tol())
	m.reach, m.rest = reach, rest
	if err := m.check(ctx); err != nil {
		return err
	}
	g.base, g.changes = after, nil
	return nil
}

// motion is one comparison of before and after.
type motion struct {
	before, after []Stroke
	parts         []Part
	moves         []Move
	tol, reach    float64
	rest          bool

	of       [][]int // moves of each part
	rings    []ring
	was, is  *search // of before, after
	from, to *search // told outlines of the parts where they were, and where they went
	faults   []Fault
}

// ring is an outer outline as a polygon: a second opinion on what lies in a part.
type ring struct {
	poly orb.Ring
	box  geom.Box
	area float64
}

// chord is the tolerance, mm, of the polygons. What lies nearer to an outline is
// on it, and not asked for.
const chord = Tolerance / 4

func ringOf(p geom.Path) ring {
	r := ring{box: p.Box(), poly: p.Ring(chord)}
	r.area = math.Abs(planar.Area(r.poly))
	return r
}

func (r *ring) holds(q geom.Point) bool {
	return r.box.Contains(q) && planar.RingContains(r.poly, orb.Point{q.X, q.Y})
}

func newMotion(before, after []Stroke, parts []Part, moves []Move, tol float64) *motion {
	m := &motion{before: before, after: after, parts: parts, moves: moves, tol: tol, of: make([][]int, len(parts))}
	for i := range moves {
		m.of[moves[i].Part] = append(m.of[moves[i].Part], i)
	}
	pieces := func(s []Stroke) *search { return newSet(len(s), func(i int) geom.Piece { return s[i].Piece }).search() }
	m.was, m.is = pieces(before), pieces(after)
	var from, to geom.Path
	for k := range parts {
		m.rings = append(m.rings, ringOf(parts[k].Outer))
		for _, p := range parts[k].paths() {
			from = append(from, p...)
			for _, i := range m.of[k] {
				to = append(to, p.Transform(moves[i].T)...)
			}
		}
	}
	m.from = newSet(len(from), func(i int) geom.Piece { return from[i] }).search()
	m.to = newSet(len(to), func(i int) geom.Piece { return to[i] }).search()
	return m
}

func (p *Part) paths() []geom.Path { return append([]geom.Path{p.Outer}, p.Holes...) }

func every(int32) bool { return true }

// cuts reports whether strokes bound parts.
func cuts(of []Stroke) func(int32) bool {
	return func(id int32) bool { return of[id].Role == Cut || of[id].Role == Tab }
}

// like reports whether strokes have a role.
func like(of []Stroke, r Role) func(int32) bool {
	return func(id int32) bool { return of[id].Role == r }
}

func (m *motion) tell(what What, p geom.Piece, t span, layer string) {
	m.faults = append(m.faults, Fault{What: what, At: p.At((t.t0 + t.t1) / 2), Layer: layer, Much: (t.t1 - t.t0) * p.Length()})
}

func (m *motion) check(ctx context.Context) error {
	for i := range m.moves {
		if !rigid(m.moves[i].T) {
			at := m.moves[i].T.Apply(m.parts[m.moves[i].Part].Outer[0].A)
			return &Fault{What: Misplaced, At: at, Much: m.parts[m.moves[i].Part].Outer.Length(), Note: "since the part is mirrored or sized"}
		}
		m.part(&m.moves[i])
	}
	for i := range m.before {
		m.left(&m.before[i])
	}
	for i := range m.after {
		m.come(&m.after[i])
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	return gravest(m.faults)
}

// exact is how far, as a share, a turn may be from one.
const exact = 1e-9

func rigid(t geom.Transform) bool {
	return math.Abs(t.XX-t.YY) <= exact && math.Abs(t.XY+t.YX) <= exact && math.Abs(t.XX*t.XX+t.YX*t.YX-1) <= exact
}

// part checks that the outlines told of a part were there, and are where its
// movement takes them.
func (m *motion) part(mv *Move) {
	for _, path := range m.parts[mv.Part].paths() {
		for _, p := range path {
			if len(m.was.uncovered(p, m.tol, cuts(m.before))) > 0 {
				continue // closes a gap while judging only: nothing to move
			}
			q := p.Transform(mv.T)
			for _, t := range m.is.uncovered(q, m.tol, cuts(m.after)) {
				m.tell(Misplaced, q, t, "")
			}
		}
	}
}

// left checks what was there besides the outlines told.
func (m *motion) left(s *Stroke) {
	if s.Role == Nothing {
		return
	}
	p := plain(s.Piece)
	for _, t := range m.from.uncovered(p, m.tol, every) {
		q := p.Sub(t.t0, t.t1)
		if q.Length() <= 2*m.tol {
			continue // no longer than what is taken for one place
		}
		at := func(tr geom.Transform) bool { return m.is.covered(q.Transform(tr), m.tol, like(m.after, s.Role)) }
		if k := m.within(q.Mid()); k >= 0 {
			for _, i := range m.of[k] {
				if !at(m.moves[i].T) && !m.wentElsewhere(k, q, at) {
					m.tell(Misplaced, p, t, s.Layer)
				}
			}
			continue
		}
		if m.rest && !at(geom.Identity()) && !m.wentElsewhere(-1, q, at) {
			m.tell(Misplaced, p, t, s.Layer)
		}
	}
}

// within returns the smallest part around q, -1 if there is none.
func (m *motion) within(q geom.Point) int {
	best := -1
	for k := range m.rings {
		if r := &m.rings[k]; (best < 0 || r.area < m.rings[best].area) && r.holds(q) {
			best = k
		}
	}
	return best
}

// wentElsewhere reports whether a stretch that lies beside parts, or across the
// edge of part k, went with another part near it.
func (m *motion) wentElsewhere(k int, q geom.Piece, at func(geom.Transform) bool) bool {
	if k >= 0 && !m.from.touches(q, 2*m.tol, every) { // its ends were cut off tol from there
		return false // wholly inside
	}
	if k >= 0 && m.rest && at(geom.Identity()) {
		return true
	}
	box := q.Box().Inflate(m.reach)
	return m.some(func(mv *Move) bool { return box.Overlaps(m.rings[mv.Part].box) }, func(mv *Move) bool { return at(mv.T) })
}

// some reports whether is holds for a movement, the likely ones asked first: a
// long path goes with a part that only its middle is near.
func (m *motion) some(likely, is func(*Move) bool) bool {
	for _, first := range [2]bool{true, false} {
		for i := range m.moves {
			if mv := &m.moves[i]; likely(mv) == first && is(mv) {
				return true
			}
		}
	}
	return false
}

// come checks that what is there after came from somewhere.
func (m *motion) come(s *Stroke) {
	if s.Role == Nothing {
		return
	}
	p := plain(s.Piece)
	for _, t := range m.to.uncovered(p, m.tol, every) {
		q := p.Sub(t.t0, t.t1)
		if q.Length() <= 2*m.tol {
			continue
		}
		if m.rest && m.was.covered(q, m.tol, like(m.before, s.Role)) {
			continue // that it should have moved is told where it was
		}
		back := func(mv *Move) geom.Piece { return q.Transform(inverse(mv.T)) }
		found := m.some(func(mv *Move) bool {
			return back(mv).Box().Inflate(m.reach).Overlaps(m.rings[mv.Part].box)
		}, func(mv *Move) bool { return m.was.covered(back(mv), m.tol, like(m.before, s.Role)) })
		if !found {
			what := Invented
			if s.Role != Cut {
				what = MarkInvented
			}
			m.tell(what, p, t, s.Layer)
		}
	}
}

// inverse returns the movement back.
func inverse(t geom.Transform) geom.Transform {
	b := geom.Transform{XX: t.XX, XY: t.YX, YX: t.XY, YY: t.YY}
	b.T = b.Apply(t.T).Mul(-1)
	return b
}

// Placed checks that every part has been placed as often as wanted, want by part, on all
// sheets together, but for the copies told as left.
func Placed(parts []Part, want []int, placed []Move, left map[int]int) error {
	n := make([]int, len(parts))
	for _, m := range placed {
		n[m.Part]++
	}
	for k := range parts {
		if n[k]+left[k] != want[k] {
			at := parts[k].Outer[0].A
			return &Fault{What: Lost, At: at, Much: parts[k].Outer.Length(), Note: fmt.Sprintf("since its part is laid out %d times and told as left %d times, of %d", n[k], left[k], want[k])}
		}
	}
	return nil
}

// Kept is a round hole told to keep its size where all else is scaled.
type Kept struct {
	At     geom.Point // its middle before
	Radius float64
}

// Scaled compares a drawing before and after it was sized about 0,0, stroke by
// stroke, and starts the next comparison from what it was after.
func (g *Guard) Scaled(ctx context.Context, before, after []Stroke, factor float64, kept []Kept) error {
	if err := g.compare(ctx, before); err != nil {
		return err
	}
	if len(before) != len(after) {
		return &Fault{What: Misplaced, Much: math.Abs(float64(len(before) - len(after))), Note: "since pieces came or went as all was scaled"}
	}
	var faults []Fault
	for i := range before {
		p, q := &before[i].Piece, &after[i].Piece
		d := apart(p.Transform(geom.Scaling(factor)), *q)
		for _, k := range kept {
			if farthest(p, k.At) <= k.Radius+g.limits.tol() {
				d = min(d, apart(p.Transform(geom.Shift(k.At.Mul(factor-1))), *q))
			}
		}
		if d > g.limits.tol() || before[i].Role != after[i].Role {
			faults = append(faults, Fault{What: Misplaced, At: q.Mid(), Layer: after[i].Layer, Much: q.Length(), Note: "since it is not scaled as told"})
		}
	}
	g.base, g.changes = after, nil
	return gravest(faults)
}

// apart is the largest distance between two pieces at their ends and middles.
func apart(p, q geom.Piece) float64 {
	return max(p.A.Dist(q.A), p.Mid().Dist(q.Mid()), p.B.Dist(q.B))
}
