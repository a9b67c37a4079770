package fit

import (
	"math"

	"sluice/fix/fit/side"
	"sluice/geom"
)

// Corner is an inside corner of a path, where a round jet leaves material.
type Corner struct {
	At    geom.Point // where the walls would meet
	Side  int        // the wall before it
	Angle float64    // of the waste at the corner, rad, below pi
	Left  float64    // what a jet leaves between the corner and its own rounding, mm
}

// Corners returns the inside corners of a path that are sharper than a jet of
// the given kerf cuts, so that a square tab does not seat. The jet rounds a
// corner of angle a with half a kerf r and leaves r (1/sin(a/2) - 1) along the
// bisector. Corners already relieved are left out.
func Corners(path geom.Path, sides []side.Side, kerf float64) []Corner {
	r := kerf / 2
	var out []Corner
	for i := range sides {
		s := &sides[i]
		if !s.Linked || s.Turn >= 0 {
			continue
		}
		angle := math.Pi + s.Turn
		relieved := false
		rounded := 0.0
		for _, p := range stretch(path, s.After, s.Gap) {
			switch {
			case p.R > 0 && p.Sweep < -math.Pi/2-0.2:
				relieved = true // it turns past the corner
			case p.R > 0:
				rounded = max(rounded, p.R)
			}
		}
		if relieved || s.Gap > 1 || angle < 0.2 {
			continue
		}
		q := max(r, rounded)
		out = append(out, Corner{At: s.B, Side: i, Angle: angle, Left: q * (1/math.Sin(angle/2) - 1)})
	}
	return out
}

// Relieve opens the corners with a round relief of radius r that passes through
// the corner, so that a square tab goes right in. r must be at least half the
// kerf. src gives the piece of path that each piece of the result comes from. A
// corner with too little wall beside it is left as it is.
func Relieve(path geom.Path, sides []side.Side, corners []Corner, r float64) (opened geom.Path, src []int) {
	at := map[int]Corner{} // by the wall before
	for _, c := range corners {
		at[c.Side] = c
	}
	n := len(sides)
	back := func(c Corner) float64 { return 2 * r * math.Cos(c.Angle/2) }
	need := make([]float64, n)
	for _, c := range corners {
		need[c.Side] += back(c)
		need[(c.Side+1)%n] += back(c)
	}
	ok := func(i int) (Corner, bool) {
		c, found := at[i]
		return c, found && need[i] < sides[i].Len() && need[(i+1)%n] < sides[(i+1)%n].Len()
	}
	if n == 0 {
		return path, identity(len(path))
	}
	for i := range sides {
		s := &sides[i]
		from, to := path[s.First].A, path[(s.First+s.Count-1)%len(path)].B
		if c, yes := ok((i + n - 1) % n); yes {
			from = c.At.Add(s.U.Mul(back(c)))
		}
		c, yes := ok(i)
		if yes {
			to = c.At.Sub(s.U.Mul(back(c)))
		}
		p := from
		for k, q := range stretch(path, s.First, s.Count) {
			e := q.B
			if k == s.Count-1 {
				e = to
			} else if d := e.Sub(from).Dot(s.U); d <= 0 {
				e = from
			} else if d > to.Sub(from).Dot(s.U) {
				e = to
			}
			if p.Dist(e) > 1e-9 {
				opened, src = append(opened, geom.Line(p, e)), append(src, (s.First+k)%len(path))
			}
			p = e
		}
		if yes {
			next := &sides[(i+1)%n]
			end := c.At.Add(next.U.Mul(back(c)))
			// Through the corner, on the waste's right: the jet's side.
			opened, src = append(opened, geom.ThroughPoint(to, c.At, end)), append(src, (s.First+s.Count-1)%len(path))
			continue
		}
		for k, q := range stretch(path, s.After, s.Gap) {
			opened, src = append(opened, q), append(src, (s.After+k)%len(path))
		}
	}
	close0(opened)
	return opened, src
}
