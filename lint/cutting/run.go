package cutting

import (
	"math"

	"sluice/geom"
)

// Slow returns how much of the way from the speed along a straight cut to the
// finest one the head slows down, 0 to 1.
//
// The stream trails behind the head and leaves the sheet at a distance behind
// it, the lag L. Where the head turns by an angle d the exit is L sin d beside
// the new way, at most L; on an arc of radius R it runs outside by
// sqrt(R^2 + L^2) - R. Both are exact for a stiff trailing stream. The share of
// L by which the exit strays is taken as the share of the slow-down: none on a
// straight, all at a right angle or sharper. That the slow-down goes by it, and
// ends at the speed of the finest quality, is a choice of this program; controls
// differ.
func Slow(turn, radius, lag float64) float64 {
	if !(lag > 0) {
		return 0
	}
	at := math.Sin(min(math.Abs(turn), math.Pi/2))
	if radius > 0 {
		at = max(at, (math.Hypot(radius, lag)-radius)/lag)
	}
	return min(at, 1)
}

// RunTime returns the time, s, to follow a path with the stream open, and how
// much of it is slow-down in corners and arcs. At a corner the head goes slower
// over the lag before and behind it, at most half the piece.
func (p Pace) RunTime(path geom.Path, closed bool) (total, slow float64) {
	if !(p.Cut > 0) {
		return 0, 0
	}
	n := len(path)
	speed := func(share float64) float64 { return p.Cut - (p.Cut-p.Fine)*share }
	var plain float64
	for i := range path {
		q := &path[i]
		l := q.Length()
		plain += l / p.Cut
		along := Slow(0, q.R, p.Lag)
		rest := l
		for _, end := range [2]bool{false, true} {
			k := i + 1
			if !end {
				k = i - 1
			}
			if !closed && (k < 0 || k >= n) || n == 1 {
				continue
			}
			other := &path[(k+n)%n]
			var turn float64
			if end {
				turn = geom.TurnTo(q.TangentAt(1), other.TangentAt(0))
			} else {
				turn = geom.TurnTo(other.TangentAt(1), q.TangentAt(0))
			}
			if share := Slow(turn, 0, p.Lag); share > along {
				zone := min(p.Lag, l/2)
				total += zone / speed(share)
				rest -= zone
			}
		}
		total += max(rest, 0) / speed(along)
	}
	return total * 60, (total - plain) * 60
}
