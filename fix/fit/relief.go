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
		if !s.Linked || s.Turn >= 0 || s.Round || sides[(i+1)%len(sides)].Round {
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

// Relief is the shape in which a corner is opened.
type Relief uint8

// Reliefs, each a round hole of the radius given.
const (
	DogBone Relief = iota // on the bisector, through the corner
	Tee                   // on one wall, from the corner on: the shorter wall where it is long enough
)

// opening is how far back from a corner the walls before and after it end, and
// what runs between.
type opening struct {
	before, after float64
	arc           func(from, to geom.Point) geom.Piece
}

func (r Relief) openings(sides []side.Side, c Corner, radius float64) []opening {
	if r == DogBone {
		back := 2 * radius * math.Cos(c.Angle/2)
		// Through the corner, on the waste's right: the jet's side.
		return []opening{{back, back, func(a, b geom.Point) geom.Piece { return geom.ThroughPoint(a, c.At, b) }}}
	}
	half := func(a, b geom.Point) geom.Piece { return geom.Bulge(a, b, -1) } // into the material
	before, after := opening{2 * radius, 0, half}, opening{0, 2 * radius, half}
	if sides[c.Side].Len() <= sides[(c.Side+1)%len(sides)].Len() {
		return []opening{before, after}
	}
	return []opening{after, before}
}

// Open opens the corners with a round relief of radius r, so that a square tab
// goes right in. r must be at least half the kerf. src gives the piece of path
// that each piece of the result comes from. A corner with too little wall beside
// it is left as it is; done tells which were opened.
func Open(path geom.Path, sides []side.Side, corners []Corner, shape Relief, r float64) (opened geom.Path, src []int, done []bool) {
	done = make([]bool, len(corners))
	n := len(sides)
	at := map[int]opening{} // by the wall before
	corner := map[int]Corner{}
	need := make([]float64, n)
	const apart = 0.2 // mm of wall to leave between two reliefs
	for k, c := range corners {
		i, j := c.Side, (c.Side+1)%n
		for _, o := range shape.openings(sides, c, r) {
			if need[i]+o.before+apart < sides[i].Len() && need[j]+o.after+apart < sides[j].Len() {
				need[i] += o.before
				need[j] += o.after
				at[i], corner[i], done[k] = o, c, true
				break
			}
		}
	}
	ok := func(i int) (Corner, bool) {
		_, found := at[i]
		return corner[i], found
	}
	if n == 0 {
		return path, identity(len(path)), done
	}
	for i := range sides {
		s := &sides[i]
		from, to := path[s.First].A, path[(s.First+s.Count-1)%len(path)].B
		if c, yes := ok((i + n - 1) % n); yes {
			from = c.At.Add(s.U.Mul(at[(i+n-1)%n].after))
		}
		c, yes := ok(i)
		if yes {
			to = c.At.Sub(s.U.Mul(at[i].before))
		}
		p := from
		for k, q := range stretch(path, s.First, s.Count) {
			if s.Round {
				opened, src = append(opened, q), append(src, (s.First+k)%len(path))
				continue
			}
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
			end := c.At.Add(next.U.Mul(at[i].after))
			opened, src = append(opened, at[i].arc(to, end)), append(src, (s.First+s.Count-1)%len(path))
			continue
		}
		for k, q := range stretch(path, s.After, s.Gap) {
			opened, src = append(opened, q), append(src, (s.After+k)%len(path))
		}
	}
	close0(opened)
	return opened, src, done
}
