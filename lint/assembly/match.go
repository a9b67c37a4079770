package assembly

import (
	"slices"

	"sluice/lint/kit"
)

// sure is how certain a pair is that closes where the parts stand.
const sure = 0.98

// Match has the joints of a kit meet where its parts stand, rather than by their lengths
// alone: of groups in which every joint closes. Joints of those that were told to have no
// mate are no longer.
func Match(k *kit.Kit) {
	model := Soon(k)
	if model == nil {
		return
	}
	stands := make([]bool, len(k.Sheet.Parts))
	joint, edge := map[int]bool{}, map[int]bool{}
	var pairs []kit.Pair
	for i := range model.Groups {
		g := &model.Groups[i]
		if g.Share < 1 || len(g.Clashes) > 0 {
			continue
		}
		for _, p := range g.Parts {
			stands[p.Part] = true
		}
		for n := range g.Joints {
			j := &g.Joints[n]
			// What goes in comes first.
			p := kit.Pair{
				PartA: int32(g.Parts[j.B].Part), PartB: int32(g.Parts[j.A].Part), JointA: j.JointB, JointB: j.JointA,
				EdgeA: j.EdgeB, EdgeB: j.EdgeA, Certainty: sure,
			}
			switch {
			case j.EdgeA >= 0:
				edge[j.EdgeA], edge[j.EdgeB] = true, true
				for _, e := range [2]int{j.EdgeA, j.EdgeB} {
					for _, x := range k.Edges[e].Joints {
						joint[x] = true
					}
				}
			case j.JointA >= 0 && j.JointB >= 0:
				joint[j.JointA], joint[j.JointB] = true, true
			default:
				continue
			}
			pairs = append(pairs, p)
		}
	}
	tellNotches(k, model)
	if len(pairs) == 0 {
		return
	}
	k.Pairs = append(slices.DeleteFunc(k.Pairs, func(p kit.Pair) bool { return stands[p.PartA] || stands[p.PartB] }), pairs...)
	k.Unmatched = slices.DeleteFunc(k.Unmatched, func(u kit.Unmatched) bool {
		return u.Joint >= 0 && joint[u.Joint] || u.Joint < 0 && edge[u.Edge]
	})
	if len(k.Unmatched) == 0 {
		k.Missing = nil
	}
}

// How sure an open notch is meant for a part that nobody drew, and the share of the joints
// of its group that close, from which on it is told.
const (
	notchSure = 0.7
	mostClose = 0.8
)

// tellNotches tells of notches that stay open in groups of which nearly all joints close,
// where no other part has a notch: by its length alone such a one might be anything.
func tellNotches(k *kit.Kit, model *Kit) {
	for i := range model.Missing {
		m := &model.Missing[i]
		g := &model.Groups[m.Group]
		if g.Share < mostClose || len(g.Clashes) > 0 {
			continue
		}
		for _, n := range m.Joints {
			j := &k.Joints[n]
			if j.Kind != kit.Notch || slices.ContainsFunc(k.Joints, func(o kit.Joint) bool { return o.Kind == kit.Notch && o.Part != j.Part }) || slices.ContainsFunc(k.Unmatched, func(u kit.Unmatched) bool { return u.Joint == n }) {
				continue
			}
			k.Unmatched = append(k.Unmatched, kit.Unmatched{
				Joint: n, Edge: -1, Part: j.Part, At: j.At, Length: j.Length, Certainty: notchSure, None: true, Nearest: -1,
			})
		}
	}
}
