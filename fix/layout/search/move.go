package search

import (
	"math"

	"sluice/geom"
)

// Samples of places for one move, over the whole room and about the place where
// the item lies, and how many of the best are followed down.
const (
	wideSamples  = 48
	nearSamples  = 24
	followedDown = 3
)

func fourthRoot(x float64) float64 { return math.Sqrt(math.Sqrt(max(x, 1e-6))) }

// spot is a candidate place.
type spot struct {
	x, y, f float64
	turn    int
}

// move takes item i to the place found with the least weighted overlap. It
// reports whether it moved.
func (s *solver) move(i int) bool {
	turns := s.t.of[i]
	for len(s.entries) < len(turns) {
		s.entries = append(s.entries, nil)
	}
	cur := -1
	for k, o := range turns {
		if o == s.ori[i] {
			cur = k
		}
	}
	var best leaders
	s.entries[cur] = s.gather(s.entries[cur], i, s.ori[i])
	now := spot{s.pos[i].X, s.pos[i].Y, 0, cur}
	now.f = s.eval(s.entries[cur], now.x, now.y, math.Inf(1))
	if now.f == 0 {
		return false
	}
	middle := s.pos[i].Add(s.t.orient[s.ori[i]].box.Center())
	for k, o := range turns {
		room, ok := s.room(o)
		if !ok {
			continue
		}
		if k != cur {
			s.entries[k] = s.gather(s.entries[k], i, o)
		}
		es := s.entries[k]
		wide, near := wideSamples/len(turns)+1, nearSamples/len(turns)+1
		for range wide {
			x := room.Min.X + s.rng.Float64()*room.W()
			y := room.Min.Y + s.rng.Float64()*room.H()
			if f := s.eval(es, x, y, best.bound()); f < best.bound() {
				best.put(spot{x, y, f, k})
			}
		}
		box := s.t.orient[o].box
		c := middle.Sub(box.Center())
		for range near {
			x := clamp(c.X+(s.rng.Float64()-0.5)*box.W(), room.Min.X, room.Max.X)
			y := clamp(c.Y+(s.rng.Float64()-0.5)*box.H(), room.Min.Y, room.Max.Y)
			if f := s.eval(es, x, y, best.bound()); f < best.bound() {
				best.put(spot{x, y, f, k})
			}
		}
	}
	for k := range best.n {
		s.descend(&best.at[k], turns, 0.25, 0.01)
	}
	last := now
	s.descend(&last, turns, 0.02, 0.001)
	for k := range best.n {
		if best.at[k].f < last.f {
			last = best.at[k]
		}
	}
	s.descend(&last, turns, 0.01, 0.0005)
	s.push(&last, turns)
	if last.f >= now.f {
		return false
	}
	s.pos[i] = geom.Pt(last.x, last.y)
	s.ori[i] = turns[last.turn]
	return true
}

// leaders are the best spots met so far, best first.
type leaders struct {
	at [followedDown + 1]spot
	n  int
}

// put takes a spot in among them, where it is better than the worst.
func (l *leaders) put(c spot) {
	at := l.n
	if l.n == followedDown {
		if c.f >= l.at[l.n-1].f {
			return
		}
		at = l.n - 1
	} else {
		l.n++
	}
	for at > 0 && l.at[at-1].f > c.f {
		l.at[at] = l.at[at-1]
		at--
	}
	l.at[at] = c
}

// bound returns what a spot must be better than.
func (l *leaders) bound() float64 {
	if l.n < followedDown {
		return math.Inf(1)
	}
	return l.at[l.n-1].f
}

func clamp(v, lo, hi float64) float64 { return min(max(v, lo), hi) }

// descend walks downhill from a spot: steps along one of four lines in turn,
// longer after success and half as long after none, from one share of the item's
// size down to another.
func (s *solver) descend(c *spot, turns []int32, from, to float64) {
	if c.f == 0 {
		return
	}
	o := turns[c.turn]
	room, ok := s.room(o)
	if !ok {
		return
	}
	box := s.t.orient[o].box
	size := min(box.W(), box.H())
	sx, sy := size*from, size*from
	// Only what lies within reach is looked at; the walk seldom goes further.
	reach := 4 * size * from
	es, cx, cy := s.nearby(s.entries[c.turn], c.x, c.y, reach), c.x, c.y
	for sx > size*to || sy > size*to {
		var dx, dy float64
		axis := s.rng.IntN(4)
		switch axis {
		case 0:
			dx = sx
		case 1:
			dy = sy
		case 2:
			dx, dy = sx, sy
		case 3:
			dx, dy = sx, -sy
		}
		better := false
		for _, g := range [2]float64{1, -1} {
			x := clamp(c.x+g*dx, room.Min.X, room.Max.X)
			y := clamp(c.y+g*dy, room.Min.Y, room.Max.Y)
			if math.Abs(x-cx) > reach || math.Abs(y-cy) > reach {
				reach = max(reach, 2*max(math.Abs(x-c.x), math.Abs(y-c.y)))
				es, cx, cy = s.nearby(s.entries[c.turn], c.x, c.y, reach), c.x, c.y
			}
			if f := s.eval(es, x, y, c.f); f < c.f {
				c.x, c.y, c.f = x, y, f
				better = true
				break
			}
		}
		m := 0.5
		if better {
			m = 1.1
		}
		switch axis {
		case 0:
			sx *= m
		case 1:
			sy *= m
		default:
			m = math.Sqrt(m)
			sx *= m
			sy *= m
		}
		if c.f == 0 {
			return
		}
	}
}

// nearby copies the entries that can be met within reach of a place.
func (s *solver) nearby(es []entry, x, y, reach float64) []entry {
	s.close = s.close[:0]
	for k := range es {
		e := &es[k]
		if x+reach > e.x0 && x-reach < e.x1 && y+reach > e.y0 && y-reach < e.y1 {
			s.close = append(s.close, *e)
		}
	}
	s.work += int64(len(es)/8 + len(s.close))
	return s.close
}

// push leaves the overlaps that are left one after the other, each by the
// shortest way, and keeps the result if that overlaps less.
func (s *solver) push(c *spot, turns []int32) {
	if c.f == 0 {
		return
	}
	room, ok := s.room(turns[c.turn])
	if !ok {
		return
	}
	es := s.entries[c.turn]
	x, y := c.x, c.y
	for range 12 {
		moved := false
		for k := range es {
			e := &es[k]
			if x <= e.x0 || x >= e.x1 || y <= e.y0 || y >= e.y1 {
				continue
			}
			dx, dy := x-e.tx, y-e.ty
			if e.look.table == nil {
				e.look = s.look(e.moving, int(e.other))
			}
			l := &e.look
			d, nx, ny := l.table.Depth(l.xx*dx+l.xy*dy, l.yx*dx+l.yy*dy, &s.work)
			if d <= s.t.skin/2 {
				continue
			}
			// The map is a turn or a turn with both signs changed: its inverse is
			// its transpose.
			x = clamp(x+(l.xx*nx+l.yx*ny)*d, room.Min.X, room.Max.X)
			y = clamp(y+(l.xy*nx+l.yy*ny)*d, room.Min.Y, room.Max.Y)
			moved = true
		}
		if !moved {
			break
		}
	}
	if f := s.eval(es, x, y, c.f); f < c.f {
		c.x, c.y, c.f = x, y, f
	}
}
