package guard

import (
	"math"
	"sync"

	"sluice/geom"
)

// set holds pieces so that those near a place, those with given ends, and those on
// one line or circle are found at once.
type set struct {
	pieces   []geom.Piece
	boxes    []geom.Box
	cell     float64 // mm: about the mean length of a piece
	cells    map[uint64]int32
	next     []link // chains of cells
	ends     chains
	carriers chains
}

type link struct{ id, next int32 }

// chains lists pieces by a key. Different keys may share a list: what is found is
// looked at all the same.
type chains struct {
	first map[uint64]int32 // index + 1
	next  []int32
}

func newChains(n int, key func(i int) uint64) chains {
	c := chains{make(map[uint64]int32, n), make([]int32, n)}
	for i := range n {
		k := key(i)
		c.next[i] = c.first[k]
		c.first[k] = int32(i) + 1
	}
	return c
}

// mix joins whole numbers to a key.
func mix(v ...int64) uint64 {
	h := uint64(14695981039346656037) // FNV-1a, by words
	for _, x := range v {
		h = (h ^ uint64(x)) * 1099511628211
		h ^= h >> 29
	}
	return h
}

// quantum is the step, mm, by which ends are compared for being the same. Ends
// that round to different steps only cost time.
const quantum = 1e-4

// newSet makes a set. A piece's id is its index.
func newSet(n int, piece func(i int) geom.Piece) *set {
	s := &set{pieces: make([]geom.Piece, n), boxes: make([]geom.Box, n)}
	total := 0.0
	for i := range n {
		p := plain(piece(i))
		s.pieces[i], s.boxes[i] = p, p.Box()
		total += p.Length()
	}
	// Cells as long as the mean piece bound the number of entries by a few for
	// each piece, however unequal they are.
	s.cell = max(total/float64(max(n, 1)), 100*quantum)
	var wg sync.WaitGroup
	wg.Go(func() {
		s.ends = newChains(n, func(i int) uint64 { return endKey(&s.pieces[i]) })
		s.carriers = newChains(n, func(i int) uint64 { return carrierKey(&s.pieces[i], 0) })
	})
	s.cells, s.next = make(map[uint64]int32, n), make([]link, 1, 3*n+1)
	for i := range s.pieces {
		s.along(&s.pieces[i], 0, func(c uint64) bool {
			if at := s.cells[c]; at == 0 || s.next[at].id != int32(i) {
				s.cells[c] = int32(len(s.next))
				s.next = append(s.next, link{int32(i), at})
			}
			return true
		})
	}
	wg.Wait()
	return s
}

// endKey is the same for a piece run either way.
func endKey(p *geom.Piece) uint64 {
	q := func(v float64) int64 { return int64(math.Round(v / quantum)) }
	a, b := mix(q(p.A.X), q(p.A.Y)), mix(q(p.B.X), q(p.B.Y))
	return mix(int64(min(a, b)), int64(max(a, b)))
}

// Steps by which lines and circles are compared for being the same: coarse enough
// for those of short pieces.
const (
	carrierStep = 0.05 // mm
	halfTurn    = 3142 // steps of half a turn
	turnStep    = math.Pi / halfTurn
)

// carriers is in how many ways a line or circle may round.
const carriers = 8

// carrierKey names the line or circle that a piece lies on. Coordinates are
// rounded down or up by the bits of way.
func carrierKey(p *geom.Piece, way int) uint64 {
	q := func(v float64, bit int) int64 {
		k := int64(math.Floor(v))
		if way>>bit&1 == 1 {
			if v-float64(k) < 0.5 {
				return k - 1
			}
			return k + 1
		}
		return k
	}
	if p.R > 0 {
		return mix(0, q(p.C.X/carrierStep, 0), q(p.C.Y/carrierStep, 1), q(p.R/carrierStep, 2))
	}
	d := p.B.Sub(p.A).Unit()
	if d.Y < 0 || d.Y == 0 && d.X < 0 {
		d = d.Mul(-1)
	}
	// Just short of half a turn is just past none.
	turn := (q(d.Angle()/turnStep, 0) + halfTurn) % halfTurn
	return mix(1, turn, q(math.Abs(p.A.Cross(d))/carrierStep, 1))
}

// steps returns into how many short runs a piece is taken apart to walk the cells.
func (s *set) steps(p *geom.Piece) float64 {
	return max(1, math.Ceil(p.Length()/s.cell), math.Ceil(math.Abs(p.Sweep)))
}

// along visits the cells within tol of a piece, some more than once, until visit
// returns false.
func (s *set) along(p *geom.Piece, tol float64, visit func(cell uint64) bool) {
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
				if !visit(mix(int64(x), int64(y))) {
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
	s.along(p, tol, func(c uint64) bool {
		for k := s.cells[c]; k != 0; k = s.next[k].next {
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
	if s.known(&p, tol, least/length, keep) {
		return nil
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

// most is how many pieces of a chain are looked at before the search by place.
const most = 64

// known reports whether p is covered by a piece with the same ends, or by those on
// the same line or circle. That settles almost every piece without a search, and
// all where many lie near each other.
func (s *search) known(p *geom.Piece, tol, share float64, keep func(id int32) bool) bool {
	n := 0
	for k := s.ends.first[endKey(p)]; k != 0 && n < most; k = s.ends.next[k-1] {
		if n++; keep(k-1) && whole(p, &s.pieces[k-1], tol) {
			return true
		}
	}
	s.spans = s.spans[:0]
	box := p.Box().Inflate(tol)
	for way := range carriers {
		if p.R == 0 && way&4 != 0 {
			break
		}
		n = 0
		for k := s.carriers.first[carrierKey(p, way)]; k != 0 && n < most; k = s.carriers.next[k-1] {
			if n++; box.Overlaps(s.boxes[k-1]) && keep(k-1) {
				s.spans = appendWithin(s.spans, p, &s.pieces[k-1], tol)
			}
		}
		if len(s.spans) > 0 && len(rest(s.spans, share)) == 0 {
			return true
		}
	}
	return false
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
