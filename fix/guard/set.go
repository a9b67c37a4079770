package guard

import (
	"math"
	"sync"

	"sluice/geom"
	"sluice/geom/index"
)

// set holds pieces so that those near a place, those with given ends, and those on
// one line or circle are found at once.
type set struct {
	pieces   []geom.Piece
	boxes    []geom.Box
	cells    *index.Cells[int32]
	ends     *index.Table // by both ends
	carriers *index.Table // by line or circle
}

// mix joins whole numbers to a key.
func mix(a, b, c, d int64) uint64 {
	return index.Mix(int64(index.Mix(a, b)), int64(index.Mix(c, d)))
}

// quantum is the step, mm, by which ends are compared for being the same. Ends
// that round to different steps only cost time.
const quantum = 1e-4

// newSet makes a set. A piece's id is its index.
func newSet(n int, piece func(i int) geom.Piece) *set { return newWideSet(n, piece, 0) }

// newWideSet makes a set that is asked what lies within reach, mm, which may be much
// more than its pieces are long.
func newWideSet(n int, piece func(i int) geom.Piece, reach float64) *set {
	s := &set{pieces: make([]geom.Piece, n), boxes: make([]geom.Box, n)}
	total := 0.0
	for i := range n {
		p := plain(piece(i))
		s.pieces[i], s.boxes[i] = p, p.Box()
		total += p.Length()
	}
	// Cells as long as the mean piece bound the number of entries by a few for
	// each piece, however unequal they are.
	s.cells = index.NewCells[int32](max(total/float64(max(n, 1)), 4*reach, 100*quantum), 2*n)
	s.ends, s.carriers = index.NewTable(n), index.NewTable(n)
	var wg sync.WaitGroup
	wg.Go(func() {
		for i := range s.pieces {
			s.ends.Push(endKey(&s.pieces[i]), int32(i))
			s.carriers.Push(carrierKey(&s.pieces[i], 0), int32(i))
		}
	})
	for i := range s.pieces {
		s.cells.AddPiece(&s.pieces[i], int32(i))
	}
	wg.Wait()
	return s
}

// endKey is the same for a piece run either way.
func endKey(p *geom.Piece) uint64 {
	q := func(v float64) int64 { return int64(math.Round(v / quantum)) }
	a, b := index.Mix(q(p.A.X), q(p.A.Y)), index.Mix(q(p.B.X), q(p.B.Y))
	return index.Mix(int64(min(a, b)), int64(max(a, b)))
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
	return mix(1, turn, q(math.Abs(p.A.Cross(d))/carrierStep, 1), 0)
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
	s.cells.Along(p, tol, func(id int32) bool {
		if s.seen[id] == s.round {
			return true
		}
		s.seen[id] = s.round
		return !box.Overlaps(s.boxes[id]) || visit(id)
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

// most is how many pieces of a list are looked at before the search by place.
const most = 64

// known reports whether p is covered by a piece with the same ends, or by those on
// the same line or circle. That settles almost every piece without a search, and
// all where many lie near each other.
func (s *search) known(p *geom.Piece, tol, share float64, keep func(id int32) bool) bool {
	n := 0
	for id := range s.ends.All(endKey(p)) {
		if keep(id) && whole(p, &s.pieces[id], tol) {
			return true
		}
		if n++; n == most {
			break
		}
	}
	s.spans = s.spans[:0]
	box := p.Box().Inflate(tol)
	for way := range carriers {
		if p.R == 0 && way&4 != 0 {
			break
		}
		n = 0
		for id := range s.carriers.All(carrierKey(p, way)) {
			if box.Overlaps(s.boxes[id]) && keep(id) {
				s.spans = appendWithin(s.spans, p, &s.pieces[id], tol)
			}
			if n++; n == most {
				break
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
