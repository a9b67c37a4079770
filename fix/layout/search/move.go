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

// Times the overlap at hand that a sample may have to be followed down at all,
// and to be followed further once a few steps are made. Of those beyond 22 times,
// two in five, one in a hundred came to be the best (dagli and shirts of the
// published instances, 140,000 samples).
const (
	hopeless = 8
	poor     = 1.5
)

func fourthRoot(x float64) float64 { return math.Sqrt(math.Sqrt(max(x, 1e-6))) }

// spot is a candidate place.
type spot struct {
	x, y, f float64
	o       int32 // orientation
}

// move takes item i to the place found with the least weighted overlap. It
// reports whether it moved.
func (s *solver) move(i int) bool {
	now := spot{s.pos[i].X, s.pos[i].Y, 0, s.ori[i]}
	if now.f = s.eval(i, now.o, now.x, now.y, math.Inf(1)); now.f == 0 {
		return false
	}
	last := now
	s.descend(i, &last, 0.02, 0.001)
	s.push(i, &last)
	if last.f > 0 { // else the nearest way out will do
		best := s.sample(i, hopeless*last.f)
		for k := range best.n {
			c := &best.at[k]
			s.descend(i, c, 0.25, 0.05)
			if c.f < poor*last.f {
				s.descend(i, c, 0.05, 0.01)
			}
			if c.f < last.f {
				last = *c
			}
		}
		s.descend(i, &last, 0.01, 0.0005)
		s.push(i, &last)
	}
	if last.f >= now.f {
		return false
	}
	s.set(i, geom.Pt(last.x, last.y), last.o)
	return true
}

// sample looks at places all over the room and about the item, in all its turns,
// and returns the best of those that overlap less than most.
func (s *solver) sample(i int, most float64) leaders {
	best := leaders{most: most}
	turns := s.t.of[i]
	middle := s.pos[i].Add(s.t.orient[s.ori[i]].box.Center())
	wide, near := wideSamples/len(turns)+1, nearSamples/len(turns)+1
	for _, o := range turns {
		room, ok := s.room(o)
		if !ok {
			continue
		}
		box := s.t.orient[o].box
		c := middle.Sub(box.Center())
		for k := range wide + near {
			var x, y float64
			if k < wide {
				x = room.Min.X + s.rng.Float64()*room.W()
				y = room.Min.Y + s.rng.Float64()*room.H()
			} else {
				x = clamp(c.X+(s.rng.Float64()-0.5)*box.W(), room.Min.X, room.Max.X)
				y = clamp(c.Y+(s.rng.Float64()-0.5)*box.H(), room.Min.Y, room.Max.Y)
			}
			if f := s.eval(i, o, x, y, best.bound()); f < best.bound() {
				best.put(spot{x, y, f, o})
			}
		}
	}
	return best
}

// leaders are the best spots met so far, best first.
type leaders struct {
	at   [followedDown + 1]spot
	n    int
	most float64 // what none may reach
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
		return l.most
	}
	return l.at[l.n-1].f
}

func clamp(v, lo, hi float64) float64 { return min(max(v, lo), hi) }

// descend walks downhill from a spot: steps along one of four lines in turn,
// longer after success and half as long after none, from one share of the item's
// size down to another.
func (s *solver) descend(i int, c *spot, from, to float64) {
	if c.f == 0 {
		return
	}
	o := c.o
	room, ok := s.room(o)
	if !ok {
		return
	}
	box := s.t.orient[o].box
	size := min(box.W(), box.H())
	sx, sy := size*from, size*from
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
			if f := s.eval(i, o, x, y, c.f); f < c.f {
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

// push leaves the overlaps that are left one after the other, each by the
// shortest way, and keeps the result if that overlaps less.
func (s *solver) push(i int, c *spot) {
	room, ok := s.room(c.o)
	if c.f == 0 || !ok {
		return
	}
	at := geom.Pt(c.x, c.y)
	for range 12 {
		moved := false
		s.meet(i, c.o, &at, func(_ int, d, nx, ny float64) {
			at.X = clamp(at.X+nx*d, room.Min.X, room.Max.X)
			at.Y = clamp(at.Y+ny*d, room.Min.Y, room.Max.Y)
			moved = true
		})
		if !moved {
			break
		}
	}
	if f := s.eval(i, c.o, at.X, at.Y, c.f); f < c.f {
		c.x, c.y, c.f = at.X, at.Y, f
	}
}
