package assembly

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/plate"
	"sluice/lint/kit"
)

// Stack is parts without joints that have the same round holes: it is a guess that they lie on
// each other.
type Stack struct {
	Parts []Placed // from the bottom up
	Holes int
}

// Lengths, mm, by which holes of parts that stack may be out and differ.
const (
	holeOff  = 0.1
	holeSize = 0.2
)

// fewHoles is how many holes in the same places it takes to guess that parts stack, and
// mostHoles how many are looked at: a grille is no pattern for bolts.
const (
	fewHoles  = 2
	mostHoles = 64
)

// pattern is the round holes of a part.
type pattern struct {
	part int
	at   []geom.Point
	d    []float64
	far  float64 // the longest distance between two of them
	a, b int     // those two
}

// stacks guesses which of some parts lie on each other by their holes, the largest below.
func stacks(k *kit.Kit, alone []int) (all []Stack) {
	var ps []pattern
	for _, i := range alone {
		if p := patternOf(k, i); len(p.at) >= fewHoles {
			ps = append(ps, p)
		}
	}
	slices.SortStableFunc(ps, func(a, b pattern) int {
		return cmp.Or(cmp.Compare(k.Sheet.Parts[b.part].Area, k.Sheet.Parts[a.part].Area), cmp.Compare(a.part, b.part))
	})
	used := make([]bool, len(ps))
	for i := range ps {
		if used[i] {
			continue
		}
		s := Stack{Parts: []Placed{{Part: ps[i].part, Pose: plate.Still()}}, Holes: len(ps[i].at)}
		z := k.PlateOf(int32(ps[i].part))
		for n := i + 1; n < len(ps); n++ {
			if used[n] {
				continue
			}
			tr, ok := ps[n].onto(k, &ps[i])
			if !ok {
				continue
			}
			used[n] = true
			t := k.PlateOf(int32(ps[n].part))
			pose := lifted(tr, t)
			pose.T[2] += z
			z += t
			s.Parts = append(s.Parts, Placed{Part: ps[n].part, Pose: pose})
		}
		if len(s.Parts) > 1 {
			all = append(all, s)
		}
	}
	return all
}

// patternOf returns the round holes of a part.
func patternOf(k *kit.Kit, part int) pattern {
	p := pattern{part: part}
	for _, h := range k.Sheet.Parts[part].Holes {
		if c, d, ok := roundHole(k.Sheet.Outlines[h].Pieces); ok && len(p.at) <= mostHoles {
			p.at, p.d = append(p.at, c), append(p.d, d)
		}
	}
	if len(p.at) > mostHoles {
		return pattern{part: part}
	}
	for i := range p.at {
		for j := range i {
			if d := p.at[i].Dist(p.at[j]); d > p.far+1e-9 {
				p.far, p.a, p.b = d, j, i
			}
		}
	}
	return p
}

// onto returns the movement that lays the holes of one part on those of another, of several
// the one that brings the middles of the parts nearest to each other.
func (p *pattern) onto(k *kit.Kit, q *pattern) (best geom.Transform, ok bool) {
	if len(p.at) != len(q.at) || math.Abs(p.far-q.far) > holeOff {
		return best, false
	}
	least := math.Inf(1)
	mid := k.Sheet.Parts[q.part].Centroid
	for i := range q.at {
		for j := range q.at {
			if math.Abs(q.at[i].Dist(q.at[j])-p.far) > holeOff {
				continue
			}
			for _, mirror := range [2]bool{false, true} {
				tr := laid(p.at[p.a], p.at[p.b], q.at[i], q.at[j], mirror)
				if !p.matches(q, tr) {
					continue
				}
				if d := tr.Apply(k.Sheet.Parts[p.part].Centroid).Dist(mid); d < least-1e-6 {
					least, best, ok = d, tr, true
				}
			}
		}
	}
	return best, ok
}

// laid returns the movement that takes two places to two others as far apart.
func laid(a, b, c, d geom.Point, mirror bool) geom.Transform {
	u, v := b.Sub(a).Unit(), d.Sub(c).Unit()
	w, x := u.Left(), v.Left()
	if mirror {
		x = x.Mul(-1)
	}
	tr := geom.Transform{XX: u.X*v.X + w.X*x.X, XY: u.Y*v.X + w.Y*x.X, YX: u.X*v.Y + w.X*x.Y, YY: u.Y*v.Y + w.Y*x.Y}
	tr.T = c.Mid(d).Sub(tr.Apply(a.Mid(b)))
	return tr
}

// matches reports whether each hole, moved, lies on one of the other as wide.
func (p *pattern) matches(q *pattern, tr geom.Transform) bool {
	used := make([]bool, len(q.at))
	for i := range p.at {
		at := tr.Apply(p.at[i])
		n := -1
		for j := range q.at {
			if !used[j] && at.Dist(q.at[j]) <= holeOff && math.Abs(p.d[i]-q.d[j]) <= holeSize {
				n = j
				break
			}
		}
		if n < 0 {
			return false
		}
		used[n] = true
	}
	return true
}
