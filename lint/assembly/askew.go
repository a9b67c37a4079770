package assembly

import (
	"maps"
	"math"
	"slices"

	"sluice/geom/outline"
	"sluice/lint/kit"
)

// How much a kit is looked at for plates at other angles than square: outlines of its sheet,
// and ways of putting it together: a few, and more where some joints then close.
const (
	askewOutlines = 4000
	askewFirst    = 12
	askewRounds   = 2
	askewTries    = 60
)

// Find looks for the joints on the parts of a sheet (kit.Find). Where they do not all close
// square, or parts are left over, plates are tried at other angles (kit.Slanted): what then
// closes besides, and leaves no more open, is among the joints, with its angle.
func Find(s *outline.Sheet, o kit.Options) *kit.Kit {
	k := kit.Find(s, o)
	if len(s.Outlines) > askewOutlines {
		return k
	}
	a := k.Slanted(o)
	if a == nil {
		return k
	}
	square := Soon(k)
	if square == nil || !square.free(k, a, o) || square.Whole() && !square.crosses(a) {
		return k
	}
	model := of(a, 1, askewFirst)
	if now := model.sum(); now.slanted == 0 {
		return k
	} else if now.open > 0 {
		model = of(a, askewRounds, askewTries)
	}
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
	return a.Settled(kindred(a, angles), pairs)
}

// free reports whether slots for plates at other angles have tabs that meet nothing else
// square, or whether there are notches for such plates.
func (k *Kit) free(square, a *kit.Kit, o kit.Options) bool {
	met := map[int]bool{}
	holes := map[int32]bool{} // outlines of the slots
	for i := range a.Askew {
		if j := &a.Askew[i]; j.Kind == kit.Slot {
			holes[j.Outline] = true
		}
	}
	for i := range k.Groups {
		g := &k.Groups[i]
		for n := range g.Joints {
			j := &g.Joints[n]
			if j.JointA < 0 || !holes[square.Joints[j.JointA].Outline] {
				met[j.JointB] = true
			}
			for _, e := range [2]int{j.EdgeA, j.EdgeB} {
				if e >= 0 {
					for _, x := range square.Edges[e].Joints {
						met[x] = true
					}
				}
			}
		}
	}
	var tabs []*kit.Joint
	for i := range square.Joints {
		if j := &square.Joints[i]; j.Kind == kit.Tab && !met[i] {
			tabs = append(tabs, j)
		}
	}
	for _, list := range [2][]kit.Joint{square.Idle, a.Askew} {
		for i := range list {
			if list[i].Kind == kit.Tab {
				tabs = append(tabs, &list[i])
			}
		}
	}
	slots, notches := 0, 0
	for i := range a.Askew {
		switch j := &a.Askew[i]; j.Kind {
		case kit.Notch:
			notches++
		case kit.Slot:
			if slices.ContainsFunc(tabs, func(t *kit.Joint) bool {
				return t.Part != j.Part && t.Length > j.Length-o.Snug && t.Length < j.Length+o.Near
			}) {
				slots++
			}
		}
	}
	return slots > 1 || notches > 1
}

// crosses reports whether something of a kit that stands may meet at an angle: of a part that
// is left over, or where two parts stand.
func (k *Kit) crosses(a *kit.Kit) bool {
	with := map[int]bool{}
	for i := range a.Askew {
		with[int(a.Askew[i].Part)] = true
	}
	if slices.ContainsFunc(k.Unplaced, func(u Unplaced) bool { return with[u.Part] }) {
		return true
	}
	of := features(a)
	m := &maker{kit: a}
	for n := range k.Groups {
		g := &k.Groups[n]
		for i := range g.Parts {
			for l := range i {
				p, q := &g.Parts[i], &g.Parts[l]
				if !with[p.Part] && !with[q.Part] || angleOf(p.Pose, q.Pose) > nearlySquare {
					continue
				}
				for f := range of[p.Part] {
					for h := range of[q.Part] {
						x, y := &of[p.Part][f], &of[q.Part][h]
						if !m.leans(x, y) {
							continue
						}
						if _, _, ok := crossed(x, p.Pose, y, q.Pose); ok {
							return true
						}
					}
				}
			}
		}
	}
	return false
}

// kindred adds to joints that meet at an angle those that are just like them, and stay open:
// slots and notches of one width on one part, and tabs as long and as deep.
func kindred(k *kit.Kit, angles map[int]float64) map[int]float64 {
	met := slices.Sorted(maps.Keys(angles))
	out := maps.Clone(angles)
	for n := range k.Askew {
		i := len(k.Joints) + n
		if _, ok := angles[i]; ok {
			continue
		}
		a := &k.Askew[n]
		for _, o := range met {
			b := k.Joint(o)
			same := a.Kind == b.Kind && math.Abs(a.Width-b.Width) <= sameLength
			if a.Kind == kit.Tab {
				same = same && math.Abs(a.Length-b.Length) <= sameLength && math.Abs(a.Depth-b.Depth) <= sameLength
			} else {
				same = same && a.Part == b.Part
			}
			if same {
				out[i] = angles[o]
				break
			}
		}
	}
	return out
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
