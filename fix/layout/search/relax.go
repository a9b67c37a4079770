package search

import (
	"math"

	"sluice/geom"
)

// contact is a pair that overlaps or soon may, i the lower number.
type contact struct {
	i, j int32
	look *lookup
}

// relaxer moves all items at once.
type relaxer struct {
	at, was  []geom.Point // by item: where it is, and was a round before
	push     []geom.Point // what others push it by, mm
	pushed   []float64    // by how many
	room     []geom.Box
	contacts []contact
	from     []geom.Point // where the items were when the contacts were listed
}

// Figures of a relaxation.
const (
	relaxGive   = 0.5  // share of an overlap by which each of the two gives way in a round
	relaxMemory = 0.9  // share of its last move that an item makes again
	relaxMargin = 0.03 // of the height of the room: what comes nearer than that is a contact
	relaxIdle   = 40   // rounds without a tenth less of overlap after which it is given up
)

// relax lets all items that overlap push each other away, all at once, each by the
// shortest way and with some of the last round's movement, for so many rounds:
// where many must give way a little, no move of a single one leads there (all
// items at once as Imamichi, Yagiura and Nagamochi 2009, here by plain descent
// with momentum instead of a quasi-Newton method; from memory). It reports whether
// nothing overlaps any more; else all is as it was.
func (s *solver) relax(rounds int) bool {
	r := &s.relaxer
	if r.at == nil {
		r.at, r.was, r.from = make([]geom.Point, s.all), make([]geom.Point, s.all), make([]geom.Point, s.all)
		r.push, r.pushed, r.room = make([]geom.Point, s.all), make([]float64, s.all), make([]geom.Box, s.all)
	}
	for i := range s.all {
		r.at[i], r.was[i] = s.pos[i], s.pos[i]
		if i < s.n && s.live[i] {
			var fits bool
			if r.room[i], fits = s.room(s.ori[i]); !fits {
				return false
			}
		}
	}
	margin := relaxMargin * s.height
	s.touch(margin)
	least, since := math.Inf(1), 0
	for k := range rounds {
		loss := s.pushAll()
		if loss == 0 {
			for i := range s.n {
				if s.live[i] && r.at[i] != s.pos[i] {
					s.set(i, r.at[i], s.ori[i])
				}
			}
			return true
		}
		if loss < 0.9*least {
			least, since = loss, k
		} else if k-since > relaxIdle {
			return false
		}
		memory := relaxMemory
		if loss > 4*least { // it has run too far
			memory = 0
		}
		if s.giveWay(memory) > margin/2 {
			s.touch(margin)
		}
	}
	return false
}

// pushAll reckons by what every item is pushed, and returns the sum of the squares
// of the overlaps.
func (s *solver) pushAll() float64 {
	r := &s.relaxer
	clear(r.push)
	clear(r.pushed)
	extra := 8 * s.t.skin // so that pairs part, and not only ever less overlap
	loss := 0.0
	for _, c := range r.contacts {
		d, l := r.at[c.i].Sub(r.at[c.j]), c.look
		s.work += l.cost
		h, nx, ny := l.table.Depth(l.xx*d.X+l.xy*d.Y, l.yx*d.X+l.yy*d.Y)
		if h <= s.t.skin/2 {
			continue
		}
		loss += h * h
		h += extra
		v := geom.Pt((l.xx*nx+l.yx*ny)*h, (l.xy*nx+l.yy*ny)*h)
		if int(c.j) < s.n {
			r.push[c.j] = r.push[c.j].Sub(v)
			r.pushed[c.j]++
		} else {
			v = v.Mul(2) // the other does not give way
		}
		r.push[c.i] = r.push[c.i].Add(v)
		r.pushed[c.i]++
	}
	s.work += int64(s.n)
	return loss
}

// giveWay moves every item and returns how far (mm) any is from where the contacts
// were listed.
func (s *solver) giveWay(memory float64) float64 {
	r := &s.relaxer
	far := 0.0
	for i := range s.n {
		if !s.live[i] {
			continue
		}
		v := r.at[i].Sub(r.was[i]).Mul(memory)
		if r.pushed[i] > 0 {
			v = v.Add(r.push[i].Mul(relaxGive / r.pushed[i]))
		}
		b := &r.room[i]
		r.was[i] = r.at[i]
		r.at[i] = geom.Pt(clamp(r.at[i].X+v.X, b.Min.X, b.Max.X), clamp(r.at[i].Y+v.Y, b.Min.Y, b.Max.Y))
		far = max(far, r.at[i].Dist2(r.from[i]))
	}
	return math.Sqrt(far)
}

// touch lists the pairs that are nearer than margin (mm).
func (s *solver) touch(margin float64) {
	r := &s.relaxer
	r.contacts = r.contacts[:0]
	copy(r.from, r.at)
	drift := 0.0 // the index has the items where they were at first
	for i := range s.n {
		if s.live[i] {
			drift = max(drift, r.at[i].Dist(s.pos[i]))
		}
	}
	for i := range s.n {
		if !s.live[i] {
			continue
		}
		o := s.ori[i]
		a, looks := s.t.orient[o].box, s.lookups(o)
		wide := margin + s.reach + drift
		q := s.index.ask(r.at[i].X+a.Min.X-wide, r.at[i].X+a.Max.X+wide, r.at[i].Y+a.Min.Y-wide, r.at[i].Y+a.Max.Y+wide)
		s.work += costEval
		for w := i >> 6; w < s.index.words; w++ {
			s.work += costWord
			for m := q.word(w); m != 0; {
				j := w<<6 + next(&m)
				if j <= i {
					continue
				}
				s.work += costMeet
				b := s.t.orient[s.ori[j]].box
				c := max(s.body[i].clear, s.body[j].clear) + margin
				d := r.at[i].Sub(r.at[j])
				if d.X <= b.Min.X-a.Max.X-c || d.X >= b.Max.X-a.Min.X+c || d.Y <= b.Min.Y-a.Max.Y-c || d.Y >= b.Max.Y-a.Min.Y+c {
					continue
				}
				l := &looks[s.ori[j]]
				if l.left--; l.left < 0 {
					s.worn(l, o, s.ori[j])
				}
				r.contacts = append(r.contacts, contact{int32(i), int32(j), l})
			}
		}
	}
}
