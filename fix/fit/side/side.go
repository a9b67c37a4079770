// Package side reads a closed path as straight sides that meet at corners,
// whatever the corners are like: sharp, rounded, chamfered or relieved.
//
//	side     a straight stretch, however often it is split, carried on to where
//	         it would meet its neighbours were their corner sharp
//	corner   what lies between two sides that would meet close by: nothing, an
//	         arc, a chamfer, a short run of lines, a round relief
//	linked   a side whose next side follows through a corner
//
//	  ──side──╮        ──side──●         ──side──◯
//	     arc  │            sharp│         relief │
//	          side              side             side
//
// Lengths are mm; angles are radians, positive to the left.
package side

import (
	"math"
	"sync"

	"sluice/geom"
)

// Limits say how large a corner may be.
type Limits struct {
	Same  float64 // pieces within this of one line are one side
	Arc   float64 // largest distance from a side's end to the corner point where arcs round it
	Line  float64 // longest line that counts as a chamfer or part of a rounded corner
	Speck float64 // a line shorter than this belongs to the corner it stands at
	Open  float64 // farthest that a relief of lines reaches from its corner, along either wall
}

// DefaultLimits returns limits that suit sheet of 1 to 12 mm (common practice,
// no source).
func DefaultLimits() Limits { return Limits{Same: 0.01, Arc: 12, Line: 2.2, Speck: 0.25, Open: 2.2} }

// Side is a straight stretch of a closed path.
type Side struct {
	A, B   geom.Point // the corner points, or the drawn ends where a corner is none
	U      geom.Point // unit direction of travel
	First  int        // index of its first piece
	Count  int        // number of its pieces, from First round
	Linked bool       // the next side follows through a corner
	Turn   float64    // from this side to the next, in (-pi, pi]; 0 where not linked
	After  int        // index of the first piece of what follows before the next side
	Gap    int        // number of such pieces
	Relief bool       // those pieces open an inside corner into the material
	Round  bool       // a half circle, taken for the line across its far end: see Heads
}

// Len returns the length from corner point to corner point.
func (s *Side) Len() float64 { return s.A.Dist(s.B) }

// Holds reports whether a piece of a path of n is on the side.
func (s *Side) Holds(piece, n int) bool { return (piece-s.First+n)%n < s.Count }

// group is a run of pieces on one line, or a single arc.
type group struct {
	from, n int
	line    bool
	a, b    geom.Point
	side    bool
}

func (g *group) dir() geom.Point { return g.b.Sub(g.a).Unit() }
func (g *group) length() float64 { return g.a.Dist(g.b) }

// Of returns the sides of a closed path in order. A path without a straight
// stretch has none.
func Of(path geom.Path, l Limits) []Side {
	room := rooms.Get().(*[]group)
	defer rooms.Put(room)
	gs := groups((*room)[:0], path, l.Same)
	*room = gs
	if len(gs) == 0 {
		return nil
	}
	choose(gs, l)
	relieve(gs, path, l)
	promote(gs, l)
	at := make([]int, 0, len(gs))
	for i := range gs {
		if gs[i].side {
			at = append(at, i)
		}
	}
	sides := make([]Side, len(at))
	for k, i := range at {
		g := &gs[i]
		sides[k] = Side{A: g.a, B: g.b, U: g.dir(), First: g.from, Count: g.n, After: (g.from + g.n) % len(path)}
	}
	if len(at) < 2 {
		return sides
	}
	for k, i := range at {
		next := (k + 1) % len(at)
		s := &sides[k]
		s.Gap = (sides[next].First - s.After + len(path)) % len(path)
		if v, ok := corner(gs, i, at[next], l); ok {
			s.Linked = true
			s.Turn = geom.TurnTo(s.U, sides[next].U)
			s.B, sides[next].A = v, v
			s.Relief = s.Gap > 0 && opens(path, gs, i, at[next])
		}
	}
	return sides
}

// rooms are lists of groups to be used anew: sides are asked for of every outline of a
// drawing, several at a time.
var rooms = sync.Pool{New: func() any { return new([]group) }}

// groups joins pieces that go on along one line, in a list made in gs. Pieces without
// length are taken into the group before them.
func groups(gs []group, path geom.Path, same float64) []group {
	n := len(path)
	start := -1
	for k := range n {
		if path[k].Length() > same && !goesOn(path[prevLong(path, k, same)], path[k], same) {
			start = k
			break
		}
	}
	if start < 0 {
		return gs
	}
	for i := range n {
		k := (start + i) % n
		p := &path[k]
		m := len(gs)
		if m > 0 {
			g := &gs[m-1]
			if p.Length() <= same {
				g.n++
				continue
			}
			if g.line && p.R == 0 {
				whole := geom.Line(g.a, p.B)
				if d := whole.Dist(p.A); d <= same && g.dir().Dot(p.B.Sub(p.A)) > 0 {
					g.n++
					g.b = p.B
					continue
				}
			}
		}
		gs = append(gs, group{from: k, n: 1, line: p.R == 0, a: p.A, b: p.B})
	}
	return gs
}

func prevLong(path geom.Path, k int, same float64) int {
	n := len(path)
	for i := 1; i < n; i++ {
		if j := (k + n - i) % n; path[j].Length() > same {
			return j
		}
	}
	return k
}

func goesOn(p, q geom.Piece, same float64) bool {
	if p.R > 0 || q.R > 0 {
		return false
	}
	return p.TangentAt(0).Dot(q.TangentAt(0)) > 0 && geom.Line(p.A, q.B).Dist(q.A) <= same
}

// Angles within which a short line belongs to a corner: it is oblique to both
// neighbours.
const (
	leastOblique = 1 * math.Pi / 180
	mostOblique  = 75 * math.Pi / 180
)

// choose marks the groups that are sides: lines, but for specks and for short
// ones oblique to the lines before and after.
func choose(gs []group, l Limits) {
	n := len(gs)
	near := func(i, step int) (group, bool) {
		for k := 1; k < n; k++ {
			if g := gs[(i+step*k+n*k)%n]; g.line {
				return g, true
			}
		}
		return group{}, false
	}
	oblique := func(g, h group) bool {
		t := math.Abs(geom.TurnTo(g.dir(), h.dir()))
		return t > leastOblique && t < mostOblique
	}
	for i := range gs {
		g := gs[i]
		if !g.line {
			continue
		}
		gs[i].side = true
		if g.length() < l.Speck {
			gs[i].side = false
			continue
		}
		if g.length() > l.Line {
			continue
		}
		p, ok1 := near(i, -1)
		q, ok2 := near(i, 1)
		if ok1 && ok2 && oblique(p, g) && oblique(g, q) {
			gs[i].side = false
		}
	}
}

// promote takes back lines that were held to belong to a corner where there is
// no such corner, as the narrow head of a chamfered tab.
func promote(gs []group, l Limits) {
	n := len(gs)
	for i := range gs {
		if !gs[i].side {
			continue
		}
		// The run after side i.
		j := (i + 1) % n
		long, at := 0.0, -1
		for ; !gs[j].side && j != i; j = (j + 1) % n {
			if gs[j].line && gs[j].length() > long {
				long, at = gs[j].length(), j
			}
		}
		if at < 0 || j == i || long < l.Speck {
			continue
		}
		if _, ok := corner(gs, i, j, l); ok {
			continue
		}
		t := math.Abs(geom.TurnTo(gs[i].dir(), gs[at].dir()))
		s := math.Abs(geom.TurnTo(gs[at].dir(), gs[j].dir()))
		if math.Abs(t-math.Pi/2) < 0.1 || math.Abs(s-math.Pi/2) < 0.1 {
			gs[at].side = true
		}
	}
}

// corner returns the point at which sides i and j, with nothing but a corner
// between them, would meet.
func corner(gs []group, i, j int, l Limits) (geom.Point, bool) {
	p, q := &gs[i], &gs[j]
	u, v := p.dir(), q.dir()
	turn := math.Abs(geom.TurnTo(u, v))
	if turn < math.Pi/9 || turn > math.Pi*8/9 {
		return geom.Point{}, false
	}
	n := len(gs)
	if (i+1)%n == j && p.b.Dist(q.a) <= l.Same {
		return p.b, true
	}
	at := p.b.Add(u.Mul(q.a.Sub(p.b).Cross(v) / u.Cross(v)))
	reach := l.Line
	box := geom.BoxOf(p.b, q.a)
	for k, many := (i+1)%n, 1; k != j; k, many = (k+1)%n, many+1 {
		if !gs[k].line || many >= 3 { // three lines and more are a rounding exploded
			reach = l.Arc
		}
		box = box.Add(gs[k].a).Add(gs[k].b)
	}
	// A round corner is no longer than the sides it joins allow.
	reach = min(reach, max(l.Line, 0.8*max(p.length(), q.length())))
	if at.Dist(p.b) > reach || at.Dist(q.a) > reach || box.Add(at).Diagonal() > 2.9*reach {
		return geom.Point{}, false
	}
	return at, true
}
