package survey

import (
	"math"
	"slices"

	"sluice/geom"
)

// shape is a loop, counter-clockwise, with what was measured on it.
type shape struct {
	loop
	box      geom.Box
	area     float64
	round    bool
	diameter float64 // where round
	sides    []side
	depth    int   // of how many others it lies within
	parent   int32 // the smallest of those, -1 if none
}

// side is a straight side of a shape. What is bent between two sides only adds
// to the turn.
type side struct {
	a, b geom.Point
	u    geom.Point // direction of travel
	turn float64    // to the next side, radians, left positive
}

func (s *side) len() float64 { return s.a.Dist(s.b) }

// off returns how far p lies to the left of the side's line.
func (s *side) off(p geom.Point) float64 { return s.u.Cross(p.Sub(s.a)) }

// hole reports whether the shape bounds waste, by its depth.
func (s *shape) hole() bool { return s.depth%2 == 1 }

// Shares and angles by which shapes are told apart. Experience, no published
// source.
const (
	roundShare  = 0.015              // of its radius, by which corners of a circle may stray
	roundCorner = 8                  // corners that a circle has at least
	straightOn  = math.Pi / 360      // a turn up to that is none
	facetTurn   = 51 * math.Pi / 180 // a short side with turns up to that at both ends is a chamfer or stands for a curve
	facetShare  = 0.1                // of the shape's diagonal; longer sides are no facets
	squareTurn  = 4 * math.Pi / 180  // by which a right angle may be out
)

// shapesOf measures the loops; specks within a few welds are left out.
func shapesOf(loops []loop, diagonal float64) []shape {
	out := make([]shape, 0, len(loops))
	for _, l := range loops {
		s := shape{loop: l, box: l.box()}
		if s.box.Diagonal() < 8*weldShare*diagonal {
			continue
		}
		s.orient()
		if s.area > 0 {
			s.measureRound()
			if !s.round {
				s.findSides()
			}
			out = append(out, s)
		}
	}
	return out
}

// orient turns the loop counter-clockwise and takes its area.
func (s *shape) orient() {
	n := len(s.pts)
	o := s.pts[0]
	for i := range s.pts {
		next := i + 1
		if next == n {
			next = 0
		}
		s.area += s.pts[i].Sub(o).Cross(s.pts[next].Sub(o)) / 2
	}
	if s.area >= 0 {
		return
	}
	s.area = -s.area
	slices.Reverse(s.pts)
	slices.Reverse(s.bent[:n-1]) // the last is about the chord back to the first point
}

// measureRound finds out whether the corners lie on a circle all round.
func (s *shape) measureRound() {
	n := len(s.pts)
	if w, h := s.box.W(), s.box.H(); n < roundCorner || w < 0.9*h || h < 0.9*w {
		return
	}
	// The middle of the box is good to the sagitta of a facet only; the mean of the
	// corners weighted by the chords beside them is better.
	var sum geom.Point
	weight := 0.0
	for i := range s.pts {
		l := s.pts[i].Dist(s.pts[(i+1)%n]) + s.pts[i].Dist(s.pts[(i+n-1)%n])
		sum, weight = sum.Add(s.pts[i].Sub(s.pts[0]).Mul(l)), weight+l
	}
	c := s.pts[0].Add(sum.Mul(1 / weight))
	mean := 0.0
	for _, p := range s.pts {
		mean += p.Dist(c) / float64(n)
	}
	for i, p := range s.pts {
		if math.Abs(p.Dist(c)-mean) > roundShare*mean || p.Dist(s.pts[(i+1)%n]) > mean {
			return
		}
	}
	s.round, s.diameter = true, 2*mean
}

// findSides lists the straight sides; those that go straight on are one.
func (s *shape) findSides() {
	n := len(s.pts)
	dir := make([]geom.Point, n)
	for i := range s.pts {
		dir[i] = s.pts[(i+1)%n].Sub(s.pts[i]).Unit()
	}
	// A start at a corner, so that no side is cut in two.
	start := 0
	for i := range n {
		if s.bent[i] || math.Abs(geom.TurnTo(dir[(i+n-1)%n], dir[i])) > straightOn {
			start = i
			break
		}
	}
	for k := range n {
		i := (start + k) % n
		a, b := s.pts[i], s.pts[(i+1)%n]
		if s.bent[i] {
			continue
		}
		if m := len(s.sides); m > 0 && k > 0 && !s.bent[(i+n-1)%n] && math.Abs(geom.TurnTo(s.sides[m-1].u, dir[i])) <= straightOn {
			s.sides[m-1].b = b
			s.sides[m-1].u = b.Sub(s.sides[m-1].a).Unit()
			continue
		}
		s.sides = append(s.sides, side{a: a, b: b, u: dir[i]})
	}
	s.dropFacets()
	for i := range s.sides {
		s.sides[i].turn = geom.TurnTo(s.sides[i].u, s.sides[(i+1)%len(s.sides)].u)
	}
}

// dropFacets takes out short sides that stand for a curve or take off a corner.
func (s *shape) dropFacets() {
	n := len(s.sides)
	short := facetShare * s.box.Diagonal()
	keep := make([]side, 0, n)
	for i := range s.sides {
		before, next := s.sides[(i+n-1)%n].u, s.sides[(i+1)%n].u
		u := s.sides[i].u
		if n > 4 && s.sides[i].len() < short && math.Abs(geom.TurnTo(before, u)) < facetTurn && math.Abs(geom.TurnTo(u, next)) < facetTurn {
			continue
		}
		keep = append(keep, s.sides[i])
	}
	s.sides = keep
}

// square reports whether a turn is a right angle, to the left for sign 1, to the
// right for -1.
func square(turn, sign float64) bool { return math.Abs(turn-sign*math.Pi/2) < squareTurn }

// rectangle returns the sides' distances of a shape of four straight sides at
// right angles, whatever its corners are like.
func (s *shape) rectangle() (short, long float64, ok bool) {
	if len(s.sides) != 4 {
		return 0, 0, false
	}
	for i := range s.sides {
		if !square(s.sides[i].turn, 1) {
			return 0, 0, false
		}
	}
	w, h := across(&s.sides[0], &s.sides[2]), across(&s.sides[1], &s.sides[3])
	return min(w, h), max(w, h), true
}

// across returns the distance between the lines of two facing sides.
func across(a, b *side) float64 {
	return (math.Abs(a.off(b.a.Mid(b.b))) + math.Abs(b.off(a.a.Mid(a.b)))) / 2
}

// span returns the shape's extents along its longest side and across it, the
// shorter first.
func (s *shape) span() (short, long float64) {
	u := geom.Pt(1, 0)
	best := 0.0
	for i := range s.sides {
		if l := s.sides[i].len(); l > best {
			u, best = s.sides[i].u, l
		}
	}
	return spanAlong(u, nil, []loop{s.loop})
}
