package tab

import (
	"math"
	"strings"

	"sluice/geom"
	"sluice/geom/near"
)

// wish is something a tab should have; a set of them is kept in a word.
type wish uint16

const (
	offJoint wish = 1 << iota
	offCorner
	besideScrap
	offNumber
	gentle
	backed
	spread
)

// The wishes with what giving one up costs, in the order in which they are
// told. Costs are weights of judgement, not measured: a tab that spoils a joint
// is worse than one that is hard to dress, and that is worse than one on a
// curve. Preferences without a limit cost at most 10.
var wishes = [...]struct {
	wish wish
	name string
	cost float64
}{
	{offJoint, "clear of joint edges", 60},
	{spread, "spread about the centre of mass", 45},
	{offCorner, "away from corners", 40},
	{besideScrap, "beside scrap", 36},
	{offNumber, "clear of numbers", 30},
	{gentle, "on a straight or gentle edge", 20},
	{backed, "solid material behind", 15},
}

func (w wish) String() string {
	var names []string
	for _, x := range wishes {
		if w&x.wish != 0 {
			names = append(names, x.name)
		}
	}
	return strings.Join(names, ", ")
}

func costOf(w wish) float64 {
	for _, x := range wishes {
		if x.wish == w {
			return x.cost
		}
	}
	return 0
}

// spot is a place for a tab, with its score.
type spot struct {
	s     float64 // arc length of the middle of the gap, in the track's direction
	at    geom.Point
	edge  int // index in edges, -1 if it lies on none
	cost  float64
	given wish
}

// score is what a set of tabs on one track is judged by. See Place for the
// terms.
type score struct {
	t       *track
	p       Params
	gap     float64
	mass    geom.Point // centre of mass
	reach   float64    // largest distance of the outline from the centre of mass
	index   *near.Index
	outline int32
	flipped bool // the track runs against the outline
	avoid   []near.Rect
}

// shortfall charges a wish that is not met: have is less than want. Missing it
// by a hair costs two fifths, by all of it the whole.
func (sp *spot) shortfall(w wish, have, want float64) {
	if have < want*(1-1e-9) {
		sp.given |= w
		sp.cost += costOf(w) * (0.4 + 0.6*min(max(1-have/want, 0), 1))
	}
}

// ease charges up to most for being short of plenty.
func (sp *spot) ease(most, have, plenty float64) {
	sp.cost += most * min(max(1-have/plenty, 0), 1)
}

// shape scores what the outline alone tells.
func (c *score) shape(s float64, e int) spot {
	t, g := c.t, c.gap
	sp := spot{s: s, edge: e, at: t.pointAt(s)}
	if e < 0 {
		sp.shortfall(offCorner, 0, g)
	} else if ed := &t.edges[e]; !ed.round {
		d := min(s-ed.s0, ed.s1-s) - g/2
		sp.shortfall(offCorner, d, g)
		sp.ease(6, d, 4*g)
		sp.ease(4, ed.s1-ed.s0, 12*g)
		sp.cost += 1.5 * min(1, math.Abs(2*s-ed.s0-ed.s1)/(ed.s1-ed.s0)) // off its middle
		if ed.joint {
			sp.shortfall(offJoint, 0, 1)
		}
		if ed.shoulder {
			sp.cost += 4 // a stub there keeps a mating part from sitting down
			sp.ease(6, ed.s1-ed.s0, 3*c.p.Joint)
		}
	}
	// An edge that bends away nearby is nearly a corner.
	sp.cost += 6 * min(1, math.Abs(t.turnOver(s, min(4*g, t.length/2))))
	// The turn over the gap: g/R on an arc. Gentle is R >= 3 g.
	turn := t.turnOver(s, min(g, t.length)/2)
	bend := math.Abs(turn)
	if bend > 1e-9 {
		sp.shortfall(gentle, 1/bend, 3)
		sp.cost += 8 * min(1, bend*3)
		if turn < 0 {
			sp.cost += 3 // a hollow is hard to dress
		}
	}
	return sp
}

// surroundings adds what lies around the spot.
func (c *score) surroundings(sp spot) spot {
	g, want := c.gap, c.p.Scrap
	reach := max(2*want, 2*g)
	ends := [3]geom.Point{sp.at, c.t.pointAt(sp.s - g/2), c.t.pointAt(sp.s + g/2)}
	out := c.t.tangentAt(sp.s).Left().Mul(-1)
	own := sp.s
	if c.flipped {
		own = c.t.length - sp.s
	}
	scrap, behind := math.Inf(1), math.Inf(1)
	c.index.In(geom.BoxOf(ends[:]...).Inflate(reach), func(i int32) bool {
		it := &c.index.Items[i]
		if it.Etch {
			return true
		}
		for _, p := range ends {
			q, share := it.Nearest(p)
			if it.Outline == c.outline {
				along := math.Abs(it.At + share*it.Length() - own)
				if min(along, c.t.length-along) < 3*g {
					continue // the tab's own stretch of outline
				}
			}
			d := q.Sub(p)
			if l := d.Norm(); d.Dot(out) > 0.2*l {
				scrap = min(scrap, l)
			} else if d.Dot(out) < -0.2*l {
				behind = min(behind, l)
			}
		}
		return true
	})
	sp.shortfall(besideScrap, scrap, want)
	sp.ease(3, scrap, 2*want)
	sp.shortfall(backed, behind, g)
	sp.ease(2, behind, 2*g)
	if len(c.avoid) > 0 {
		number, stretch := math.Inf(1), near.Span(ends[1], ends[2])
		for _, r := range c.avoid {
			number = min(number, r.ToRect(stretch))
		}
		sp.shortfall(offNumber, number, g)
	}
	return sp
}

// of returns the cost of a set of tabs together, and the wishes it gives up as
// a set; infinite where two gaps are too close to cut between them.
func (c *score) of(set []spot) (float64, wish) {
	n := len(set)
	var cost float64
	var mean geom.Point
	for i := range set {
		cost += set[i].cost / float64(n) * 2
		mean = mean.Add(set[i].at)
		for j := range i {
			if c.crowd(&set[i], &set[j]) {
				return math.Inf(1), 0
			}
		}
	}
	if n < 2 {
		return cost, 0
	}
	off := mean.Mul(1/float64(n)).Dist(c.mass) / c.reach
	cost += 30 * off
	apart, arms := math.Inf(1), 0.0
	for i := range set {
		arms += set[i].at.Dist2(c.mass)
		for j := range i {
			apart = min(apart, set[i].at.Dist(set[j].at))
		}
	}
	ideal := 2 * c.reach * math.Sin(math.Pi/float64(n)) // side of the regular n-gon
	cost += 10 * max(0, 1-apart/ideal)
	// What keeps a part from swinging grows with the arms of its tabs.
	cost += 15 * max(0, 1-math.Sqrt(arms/float64(n))/(0.7*c.reach))

	bad := false
	if n == 2 {
		a, b := set[0].at, set[1].at
		chord := b.Sub(a)
		l := max(chord.Norm(), 1e-12)
		axis := math.Abs(chord.Cross(c.mass.Sub(a))) / l / c.reach
		cost += 20 * axis
		// A part tips about a slat, so tabs hold best across the slats.
		switch c.p.Support.Along {
		case AlongX:
			cost += 1.5 * math.Abs(chord.X) / l
		case AlongY:
			cost += 1.5 * math.Abs(chord.Y) / l
		}
		t := c.mass.Sub(a).Dot(chord) / (l * l)
		bad = axis > 0.35 || t < 0.15 || t > 0.85
	} else {
		cost += 12 * (c.longest(set)*float64(n)/c.t.length - 1)
		bad = c.widest(set) > 1.1*math.Pi
	}
	if bad {
		return cost + costOf(spread), spread
	}
	return cost, 0
}

// crowd reports whether two gaps are too close to cut between them.
func (c *score) crowd(a, b *spot) bool {
	d := math.Abs(a.s - b.s)
	return min(d, c.t.length-d) < 2*c.gap*(1-1e-9)
}

// fits reports whether a spot is too close to none of a set.
func (c *score) fits(set []spot, sp *spot) bool {
	for i := range set {
		if c.crowd(sp, &set[i]) {
			return false
		}
	}
	return true
}

// longest returns the longest stretch of outline from one tab to the next.
func (c *score) longest(set []spot) float64 {
	longest := 0.0
	for i := range set {
		next := c.t.length
		for j := range set {
			if j != i {
				next = min(next, offset(set[j].s-set[i].s, c.t.length))
			}
		}
		longest = max(longest, next)
	}
	return longest
}

// widest returns the widest angle without a tab, as seen from the centre of
// mass.
func (c *score) widest(set []spot) float64 {
	widest := 0.0
	for i := range set {
		u, next := set[i].at.Sub(c.mass), 2*math.Pi
		for j := range set {
			if j == i {
				continue
			}
			a := geom.TurnTo(u, set[j].at.Sub(c.mass))
			if a < 0 {
				a += 2 * math.Pi
			}
			next = min(next, a)
		}
		widest = max(widest, next)
	}
	return widest
}
