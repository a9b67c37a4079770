package side

import (
	"math"

	"sluice/geom"
)

//	         │ wall            ┌─┐
//	─────┐ ┌─┘           ──────┘ │ wall      a relief of lines: it leaves the wall
//	     └─┘                     │           into the material (below, right) and
//	   a notch in one wall,  a notch past    comes back to the other wall, which
//	   or in the other       the corner      goes on well beyond the corner

const (
	// mostReliefPieces bounds the pieces of a relief: a circle exploded into lines.
	mostReliefPieces = 32
	// leastOpening is the turn (radians) by which a relief leaves its wall into the
	// material, or comes back to it: about 11 degrees. A rounding leaves smoothly.
	leastOpening = 0.2
	// wallBeyond is how far a wall goes on beyond the corner, as a share of how far
	// the relief reaches along it. Equal teeth and gaps go on by as much as they
	// are deep and no further.
	wallBeyond = 1.2
	// skewed is how far (radians) walls with a relief of lines between them may be
	// off square.
	skewed = math.Pi / 9
)

// relieve marks short lines as part of a corner where they open an inside corner
// into the material (which lies on the path's left): square notches, slits and
// round reliefs exploded into lines. Those of fewest pieces come first.
func relieve(gs []group, path geom.Path, l Limits) {
	n := len(gs)
	taken := make([]bool, n)
	for count := 2; count <= min(mostReliefPieces, n-3); count++ {
		found := false
		for i := range gs {
			j := (i + count + 1) % n
			if gs[i].b.Dist(gs[j].a) > 3*l.Open || !walls(gs, taken, i, j, l) {
				continue
			}
			found = true
			if !opens(path, gs, i, j) || !small(gs, path, i, j, l) {
				continue
			}
			gs[i].side, gs[j].side = true, true // even the short end wall of a narrow slot
			for k := (i + 1) % n; k != j; k = (k + 1) % n {
				gs[k].side, taken[k] = false, true
			}
		}
		if !found && count > 8 {
			return
		}
	}
}

// walls reports whether groups i and j are lines about square to each other, with
// an inside corner between them.
func walls(gs []group, taken []bool, i, j int, l Limits) bool {
	p, q := &gs[i], &gs[j]
	if !p.line || !q.line || p.length() < l.Speck || q.length() < l.Speck || taken[i] || taken[j] {
		return false
	}
	return math.Abs(geom.TurnTo(p.dir(), q.dir())+math.Pi/2) < skewed
}

// opens reports whether what lies between sides i and j, which meet at an inside
// corner, goes into the material first or last.
func opens(path geom.Path, gs []group, i, j int) bool {
	if geom.TurnTo(gs[i].dir(), gs[j].dir()) >= 0 {
		return false
	}
	n := len(gs)
	first, last := &gs[(i+1)%n], &gs[(j+n-1)%n]
	in := path[first.from].TangentAt(0)
	out := path[last.from].TangentAt(1)
	if last.line {
		out = last.dir()
	}
	return geom.TurnTo(gs[i].dir(), in) > leastOpening || geom.TurnTo(out, gs[j].dir()) > leastOpening
}

// small reports whether what lies between sides i and j keeps near the corner at
// which they would meet and out of the waste between them, and both go on well
// beyond it.
func small(gs []group, path geom.Path, i, j int, l Limits) bool {
	p, q := &gs[i], &gs[j]
	u, v := p.dir(), q.dir()
	at := p.b.Add(u.Mul(q.a.Sub(p.b).Cross(v) / u.Cross(v)))
	alongU, alongV := math.Abs(p.b.Sub(at).Dot(u)), math.Abs(q.a.Sub(at).Dot(v))
	n := len(gs)
	for k := (i + 1) % n; k != j; k = (k + 1) % n {
		g := &gs[k]
		for m := range g.n {
			piece := &path[(g.from+m)%len(path)]
			for _, t := range [2]float64{0.5, 1} {
				d := piece.At(t).Sub(at)
				if d.Dot(u) < -l.Same && d.Dot(v) > l.Same {
					return false // within the waste
				}
				alongU, alongV = max(alongU, math.Abs(d.Dot(u))), max(alongV, math.Abs(d.Dot(v)))
			}
		}
	}
	return max(alongU, alongV) <= l.Open &&
		at.Sub(p.a).Dot(u) >= wallBeyond*alongU && q.b.Sub(at).Dot(v) >= wallBeyond*alongV
}
