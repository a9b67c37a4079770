package report

import (
	"math"

	"sluice/geom"
	"sluice/geom/outline"
)

// clearPlace returns a place in the material of a part and its distance from
// the nearest edge: the centroid where that is at least as far as asked, else
// the clearest of a coarse grid of places. It is for the eye only; places for
// numbers that are etched come from the repair.
func clearPlace(s *outline.Sheet, pt *outline.Part, enough float64) (best geom.Point, room float64) {
	best, room = pt.Centroid, partRoom(s, pt, pt.Centroid)
	if room >= enough {
		return best, room
	}
	pieces := 0
	for _, o := range append([]int32{pt.Outer}, pt.Holes...) {
		if o >= 0 && int(o) < len(s.Outlines) {
			pieces += len(s.Outlines[o].Pieces)
		}
	}
	if pieces > 4000 || !(pt.Box.W() > 0 && pt.Box.H() > 0) {
		return best, room
	}
	// About a hundred places, spaced alike both ways.
	across := math.Sqrt(pt.Box.W() / pt.Box.H())
	nx, ny := min(max(int(11*across), 3), 40), min(max(int(11/across), 3), 40)
	for i := range nx {
		for j := range ny {
			q := geom.Pt(pt.Box.Min.X+pt.Box.W()*(float64(i)+0.5)/float64(nx), pt.Box.Max.Y-pt.Box.H()*(float64(j)+0.5)/float64(ny))
			if r := partRoom(s, pt, q); r > room {
				best, room = q, r
			}
		}
	}
	return best, room
}

// partRoom returns the distance from q to the nearest edge of the part,
// negative where q is not in its material.
func partRoom(s *outline.Sheet, pt *outline.Part, q geom.Point) float64 {
	room, in := math.Inf(1), false
	for k, o := range append([]int32{pt.Outer}, pt.Holes...) {
		if o < 0 || int(o) >= len(s.Outlines) {
			continue
		}
		path := s.Outlines[o].Pieces
		d, _ := path.Dist(q)
		room = min(room, d)
		if inside := path.Contains(q); k == 0 {
			in = inside
		} else if inside {
			in = false
		}
	}
	if !in {
		return -room
	}
	return room
}
