package guard

import (
	"math"

	"sluice/geom"
)

// set holds pieces so that those near a place, and those with given ends, are
// found at once.
type set struct {
	pieces []geom.Piece
	boxes  []geom.Box
	cell   float64 // mm: about the mean length of a piece
	table  map[[2]int32]int32
	next   []link // chains of cells
	ends   map[[4]int64]int32
	twins  []int32 // chains of pieces with the same ends
}

type link struct{ id, next int32 }

// quantum is the step, mm, by which ends are compared for being the same. Ends
// that round to different steps only cost time.
const quantum = 1e-4

// newSet makes a set. A piece's id is its index.
func newSet(n int, piece func(i int) geom.Piece) *set {
	s := &set{
		pieces: make([]geom.Piece, n), boxes: make([]geom.Box, n),
		table: make(map[[2]int32]int32, n), next: make([]link, 1, 3*n+1),
		ends: make(map[[4]int64]int32, n), twins: make([]int32, n),
	}
	total := 0.0
	for i := range n {
		p := plain(piece(i))
		s.pieces[i], s.boxes[i] = p, p.Box()
		total += p.Length()
	}
	// Cells as long as the mean piece bound the number of entries by a few for
	// each piece, however unequal they are.
	s.cell = max(total/float64(max(n, 1)), 100*quantum)
	for i := range s.pieces {
		k := endKey(&s.pieces[i])
		s.twins[i] = -1
		if j, ok := s.ends[k]; ok {
			s.twins[i] = j
		}
		s.ends[k] = int32(i)
		s.along(&s.pieces[i], 0, func(c [2]int32) bool {
			at := s.table[c]
			if s.next[at].id != int32(i) || at == 0 {
				s.table[c] = int32(len(s.next))
				s.next = append(s.next, link{int32(i), at})
			}
			return true
		})
	}
	return s
}

// endKey is the same for a piece run either way.
func endKey(p *geom.Piece) [4]int64 {
	q := func(v float64) int64 { return int64(math.Round(v / quantum)) }
	a, b := [2]int64{q(p.A.X), q(p.A.Y)}, [2]int64{q(p.B.X), q(p.B.Y)}
	if a[0] > b[0] || a[0] == b[0] && a[1] > b[1] {
		a, b = b, a
	}
	return [4]int64{a[0], a[1], b[0], b[1]}
}

// steps returns into how many short runs a piece is taken apart to walk the cells.
func (s *set) steps(p *geom.Piece) float64 {
	return max(1, math.Ceil(p.Length()/s.cell), math.Ceil(math.Abs(p.Sweep)))
}

// along visits the cells within tol of a piece, some more than once, until visit
// returns false.
func (s *set) along(p *geom.Piece, tol float64, visit func([2]int32) bool) {
	n := s.steps(p)
	bow := tol
	if p.R > 0 {
		bow += p.R * (1 - math.Cos(p.Sweep/n/2))
	}
	last := [4]int32{}
	from := p.A
	for k := 1.0; k <= n; k++ {
		to := p.At(k / n)
		b := geom.BoxOf(from, to).Inflate(bow)
		from = to
		c := [4]int32{s.at(b.Min.X), s.at(b.Min.Y), s.at(b.Max.X), s.at(b.Max.Y)}
		if k > 1 && c == last {
			continue
		}
		last = c
		for x := c[0]; x <= c[2]; x++ {
			for y := c[1]; y <= c[3]; y++ {
				if !visit([2]int32{x, y}) {
					return
				}
			}
		}
	}
}

// at returns the row or column of a coordinate; what is too far off shares one.
func (s *set) at(v float64) int32 {
	return int32(max(-1<<30, min(1<<30, math.Floor(v/s.cell))))
}

// search is what one goroutine needs to ask a set.
type search struct {
	*set
	seen  []int32
	round int32
	spans []span
}

func (s *set) search() *search { return &search{set: s, seen: make([]int32, len(s.pieces))} }

// near visits each piece within tol of p by its box, until visit returns false.
func (s *search) near(p *geom.Piece, tol float64, visit func(id int32) bool) {
	s.round++
	box := p.Box().Inflate(tol)
	one := func(id int32) bool {
		if s.seen[id] == s.round {
			return true
		}
		s.seen[id] = s.round
		return !box.Overlaps(s.boxes[id]) || visit(id)
	}
	// A piece out of all proportion is compared with everything rather than walk
	// more cells than there are pieces.
	if s.steps(p)*(1+2*tol/s.cell) > float64(4*len(s.pieces)+64) {
		for id := range s.pieces {
			if !one(int32(id)) {
				return
			}
		}
		return
	}
	s.along(p, tol, func(c [2]int32) bool {
		for k := s.table[c]; k != 0; k = s.next[k].next {
			if !one(s.next[k].id) {
				return false
			}
		}
		return true
	})
}

// uncovered returns the stretches of p, longer than least mm, that lie within tol
// of no piece for which keep holds.
func (s *search) uncovered(p geom.Piece, tol float64, keep func(id int32) bool) []span {
	p = plain(p)
	length := p.Length()
	if length <= least {
		return nil
	}
	if k, ok := s.ends[endKey(&p)]; ok {
		for ; k >= 0; k = s.twins[k] {
			if keep(k) && whole(&p, &s.pieces[k], tol) {
				return nil
			}
		}
	}
	s.spans = s.spans[:0]
	done := false
	s.near(&p, tol, func(id int32) bool {
		if !keep(id) {
			return true
		}
		if done = whole(&p, &s.pieces[id], tol); done {
			return false
		}
		s.spans = appendWithin(s.spans, &p, &s.pieces[id], tol)
		return true
	})
	if done {
		return nil
	}
	return rest(s.spans, least/length)
}

// covered reports whether uncovered finds nothing.
func (s *search) covered(p geom.Piece, tol float64, keep func(id int32) bool) bool {
	return len(s.uncovered(p, tol, keep)) == 0
}

// touches reports whether p comes within tol of a piece for which keep holds.
func (s *search) touches(p geom.Piece, tol float64, keep func(id int32) bool) bool {
	p = plain(p)
	found := false
	s.near(&p, tol, func(id int32) bool {
		found = keep(id) && len(appendWithin(nil, &p, &s.pieces[id], tol)) > 0
		return !found
	})
	return found
}
