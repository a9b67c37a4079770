// Package region unites closed paths of lines and arcs, takes one from another, and
// finds what two have in common. What comes out is made of stretches of what went in:
// lines stay lines and arcs stay arcs.
package region

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// Op says what is made of two regions.
type Op uint8

// What can be made of two regions.
const (
	Unite     Op = iota // what is in either
	Subtract            // what is in the first and not in the second
	Intersect           // what is in both
)

// Tolerance is the distance, mm, within which ends count as one place and stretches
// as common. It is far below what any stream can tell, and far above rounding.
const Tolerance = 1e-5

// ErrUnclear is returned where the two run so near to each other that what is inside
// cannot be told.
var ErrUnclear = errors.New("the outlines run too near to each other to tell what is inside")

// Stretch is a stretch of a piece that went in, as it runs in what comes out.
type Stretch struct {
	geom.Piece
	Second bool    // of the second path, not of the first
	Index  int     // of the piece in its path
	T0, T1 float64 // the shares of it, T0 < T1, whichever way it runs
	Back   bool    // it runs against the piece
}

// Whole reports whether the stretch is all of its piece.
func (s *Stretch) Whole() bool { return s.T0 == 0 && s.T1 == 1 }

// Loop is a closed path of what comes out: an outline runs counter-clockwise, a hole
// clockwise.
type Loop []Stretch

// Path returns the pieces of the loop.
func (l Loop) Path() geom.Path {
	p := make(geom.Path, len(l))
	for i := range l {
		p[i] = l[i].Piece
	}
	return p
}

// side is one of the two paths, with where the other cuts it.
type side struct {
	path   geom.Path
	second bool
	back   bool // it runs clockwise, and is taken the other way round
	cuts   [][]float64
	tree   *index.PieceTree
}

func newSide(p geom.Path, second bool) *side {
	return &side{path: p, second: second, back: p.Area() < 0, cuts: make([][]float64, len(p)), tree: index.PathTree(p)}
}

// Combine makes one region of two, each bounded by a closed path that does not cross
// itself. The loops come in no order of size. It returns ErrUnclear where it cannot be
// told what is inside.
func Combine(a, b geom.Path, op Op) ([]Loop, error) {
	if len(a) == 0 || len(b) == 0 {
		return nil, ErrUnclear
	}
	s, t := newSide(a, false), newSide(b, true)
	cutEachOther(s, t)
	parts, ok := classed(s, t)
	if !ok {
		return nil, ErrUnclear
	}
	loops, err := linked(kept(parts, op))
	if err != nil {
		return nil, err
	}
	// What is united and what is common weigh together what went in.
	both, err := linked(kept(parts, Intersect))
	if err != nil {
		return nil, err
	}
	all, err := linked(kept(parts, Unite))
	if err != nil {
		return nil, err
	}
	in := math.Abs(a.Area()) + math.Abs(b.Area())
	if math.Abs(in-area(both)-area(all)) > 10*Tolerance*(a.Length()+b.Length()) {
		return nil, ErrUnclear
	}
	return loops, nil
}

func area(loops []Loop) (sum float64) {
	for _, l := range loops {
		sum += l.Path().Area()
	}
	return sum
}

// cutEachOther notes where the pieces of two paths cross, run along each other, and
// where ends of one lie on the other.
func cutEachOther(s, t *side) {
	at := func(i int) *geom.Piece { return &t.path[i] }
	length := 0.0
	for i := range t.path {
		length += t.path[i].Length()
	}
	grid := index.NewGrid(len(t.path), at, 2*Tolerance, max(length/float64(len(t.path)), 1e-3)).Search()
	var cross []geom.Cross
	var along []geom.Stretch
	for i := range s.path {
		p := &s.path[i]
		grid.In(p.Box().Inflate(2*Tolerance), func(k int32) bool {
			q := &t.path[k]
			cross = geom.Crossings(cross[:0], p, q, Tolerance/100)
			for _, c := range cross {
				s.cuts[i], t.cuts[k] = append(s.cuts[i], c.T), append(t.cuts[k], c.U)
			}
			along = geom.Overlaps(along[:0], p, q, Tolerance, 2*Tolerance)
			for _, o := range along {
				s.cuts[i], t.cuts[k] = append(s.cuts[i], o.T0, o.T1), append(t.cuts[k], o.U0, o.U1)
			}
			s.end(i, q)
			t.end(int(k), p)
			return true
		})
	}
}

// end cuts piece i where an end of another lies on it.
func (s *side) end(i int, q *geom.Piece) {
	for _, e := range [2]geom.Point{q.A, q.B} {
		if at, share := s.path[i].Nearest(e); at.Dist(e) <= Tolerance {
			s.cuts[i] = append(s.cuts[i], share)
		}
	}
}

// place is where a stretch lies against the other region.
type place uint8

const (
	outside place = iota
	inside
	same    // on its border, running the same way
	against // on its border, running the other way
)

// part is a stretch between two cuts.
type part struct {
	Stretch
	at place
}

// classed cuts both paths up and says where each stretch lies; ok is false where that
// cannot be told.
func classed(s, t *side) (parts []part, ok bool) {
	for _, pair := range [2][2]*side{{s, t}, {t, s}} {
		own, other := pair[0], pair[1]
		for i := range own.path {
			for _, st := range own.stretches(i) {
				where, ok := other.placeOf(&st)
				if !ok {
					return nil, false
				}
				parts = append(parts, part{st, where})
			}
		}
	}
	return parts, true
}

// stretches cuts piece i up, as it runs when its path goes counter-clockwise.
func (s *side) stretches(i int) (out []Stretch) {
	p := &s.path[i]
	length := p.Length()
	if length <= Tolerance {
		return []Stretch{s.stretch(i, 0, 1)}
	}
	cuts := append(s.cuts[i], 0, 1)
	slices.Sort(cuts)
	from := 0.0
	for _, c := range cuts {
		switch {
		case (c-from)*length <= Tolerance:
			continue
		case (1-c)*length <= Tolerance:
			c = 1
		}
		out = append(out, s.stretch(i, from, c))
		if from = c; c == 1 {
			break
		}
	}
	return out
}

func (s *side) stretch(i int, t0, t1 float64) Stretch {
	p := s.path[i]
	if t0 > 0 || t1 < 1 {
		p = p.Sub(t0, t1)
	}
	if s.back {
		p = p.Reverse()
	}
	return Stretch{p, s.second, i, t0, t1, s.back}
}

// placeOf says where a stretch of the other path lies against this region.
func (s *side) placeOf(st *Stretch) (place, bool) {
	on := 0
	far := Tolerance / 2
	mid, best := st.Mid(), -1.0
	for _, t := range [3]float64{0.5, 0.23, 0.77} {
		q := st.At(t)
		d, _ := s.tree.Nearest(q, math.Inf(1))
		if d <= 2*Tolerance {
			on++
		}
		if d > best {
			mid, best = q, d
		}
	}
	switch {
	case on == 3:
		q := st.Mid()
		_, k := s.tree.Nearest(q, math.Inf(1))
		p := &s.path[k]
		_, share := p.Nearest(q)
		if (st.TangentAt(0.5).Dot(p.TangentAt(share)) > 0) != s.back {
			return same, true
		}
		return against, true
	case best <= far:
		return outside, false
	case s.path.Contains(mid):
		return inside, true
	}
	return outside, true
}

// kept returns the stretches that bound what is made, each so that what is inside lies
// to its left.
func kept(parts []part, op Op) (out []Stretch) {
	for i := range parts {
		p := &parts[i]
		keep, turn := false, false
		switch {
		case p.at == same:
			keep = !p.Second && op != Subtract
		case p.at == against:
			keep = !p.Second && op == Subtract
		case op == Unite:
			keep = p.at == outside
		case op == Intersect:
			keep = p.at == inside
		case p.Second:
			keep, turn = p.at == inside, true
		default:
			keep = p.at == outside
		}
		if !keep {
			continue
		}
		st := p.Stretch
		if turn {
			st.Piece, st.Back = st.Reverse(), !st.Back
		}
		out = append(out, st)
	}
	return out
}

// linked puts stretches together to loops.
func linked(all []Stretch) ([]Loop, error) {
	nodes := index.NewPoints[int32](4*Tolerance, 2*len(all)+1)
	from, to := make([]int32, len(all)), make([]int32, len(all))
	leaving := map[int32][]int{}
	for i := range all {
		from[i], to[i] = nodes.PlaceNearest(all[i].A), nodes.PlaceNearest(all[i].B)
		leaving[from[i]] = append(leaving[from[i]], i)
	}
	used := make([]bool, len(all))
	var loops []Loop
	for i := range all {
		if used[i] {
			continue
		}
		var l Loop
		for k := i; ; {
			used[k] = true
			st := all[k]
			if a, b := nodes.At[from[k]], nodes.At[to[k]]; !st.IsCircle() && (a != st.A || b != st.B) {
				st.Piece = st.WithEnds(a, b)
			}
			l = append(l, st)
			if to[k] == from[i] {
				break
			}
			next := -1
			for _, n := range leaving[to[k]] {
				if !used[n] && (next < 0 || leftmost(&all[k], &all[n], &all[next])) {
					next = n
				}
			}
			if next < 0 {
				return nil, ErrUnclear
			}
			k = next
		}
		loops = append(loops, joined(l))
	}
	slices.SortStableFunc(loops, func(x, y Loop) int { return cmp.Compare(-math.Abs(x.Path().Area()), -math.Abs(y.Path().Area())) })
	return loops, nil
}

// leftmost reports whether a turns further to the left than b behind a stretch: regions
// that touch in a corner stay apart.
func leftmost(behind, a, b *Stretch) bool {
	dir := behind.TangentAt(1)
	return geom.TurnTo(dir, a.TangentAt(0)) > geom.TurnTo(dir, b.TangentAt(0))
}

// joined puts stretches of one piece that follow each other together again.
func joined(l Loop) Loop {
	follows := func(a, b *Stretch) bool {
		return a.Second == b.Second && a.Index == b.Index && a.Back == b.Back && (a.Back && a.T0 == b.T1 || !a.Back && a.T1 == b.T0)
	}
	// Begin where one piece ends, so that none is cut at the seam of the loop.
	for k := range l {
		before := &l[(k+len(l)-1)%len(l)]
		if !follows(before, &l[k]) {
			l = append(slices.Clone(l[k:]), l[:k]...)
			break
		}
	}
	out := l[:0:0]
	for i := range l {
		st := l[i]
		if n := len(out); n > 0 && follows(&out[n-1], &st) {
			o := &out[n-1]
			o.T0, o.T1 = min(o.T0, st.T0), max(o.T1, st.T1)
			o.Piece = together(&o.Piece, &st.Piece)
			continue
		}
		out = append(out, st)
	}
	return out
}

// together returns two stretches of one piece, the second behind the first, as one.
func together(a, b *geom.Piece) geom.Piece {
	p := *a
	p.B, p.Sweep = b.B, a.Sweep+b.Sweep
	return p
}
