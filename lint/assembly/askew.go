package assembly

import (
	"sluice/geom/outline"
	"sluice/lint/kit"
)

// How much a kit is looked at for plates at other angles than square: outlines of its sheet,
// and ways of putting it together.
const (
	askewOutlines = 4000
	askewRounds   = 2
	askewTries    = 6
)

// Find looks for the joints on the parts of a sheet (kit.Find). Where they do not all close
// square, or parts are left over, plates are tried at other angles (kit.Slanted): what then
// closes besides, and leaves no more open, is among the joints, with its angle.
func Find(s *outline.Sheet, o kit.Options) *kit.Kit {
	k := kit.Find(s, o)
	if len(s.Outlines) > askewOutlines {
		return k
	}
	square := Soon(k)
	if square == nil || square.Whole() && len(square.Unplaced) == 0 {
		return k
	}
	a := k.Slanted(o)
	if a == nil {
		return k
	}
	model := of(a, askewRounds, askewTries)
	was, now := square.sum(), model.sum()
	if now.slanted == 0 || now.met <= was.met || now.open > was.open || now.clashes > was.clashes {
		return k
	}
	angles := map[int]float64{}
	var pairs []kit.Pair
	for i := range model.Groups {
		g := &model.Groups[i]
		for n := range g.Joints {
			j := &g.Joints[n]
			if j.Slant == 0 {
				continue
			}
			angles[j.JointA], angles[j.JointB] = j.Slant, j.Slant
			pairs = append(pairs, kit.Pair{
				PartA: int32(g.Parts[j.B].Part), PartB: int32(g.Parts[j.A].Part), JointA: j.JointB, JointB: j.JointA, Certainty: sure,
			})
		}
	}
	return a.Settled(angles, pairs)
}

// sums is how much of a kit closes.
type sums struct{ met, slanted, open, clashes int }

func (k *Kit) sum() (s sums) {
	for i := range k.Groups {
		g := &k.Groups[i]
		s.met, s.clashes = s.met+len(g.Joints), s.clashes+len(g.Clashes)
		for n := range g.Joints {
			if g.Joints[n].Slant > 0 {
				s.slanted++
			}
		}
		for n := range g.Parts {
			s.open += g.Parts[n].Open
		}
	}
	for _, u := range k.Unplaced {
		if u.Why != noJoints {
			s.open++
		}
	}
	return s
}
