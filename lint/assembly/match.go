package assembly

import (
	"slices"

	"sluice/lint/kit"
)

// sure is how certain a pair is that closes where the parts stand, and that a plate is
// missing where the rest of a kit stands without it.
const sure = 0.98

// Which groups are believed though joints of them stay open: those in which nothing is in
// anything else, nothing is trapped, and so large a share of the joints closes, or so large
// a one where a single plate would close the rest.
const (
	mostClose = 0.8
	oneCloses = 0.5
)

// So many plates at most are believed to be missing from a group, and so large a share of
// its parts: where more are wanted, its parts, mostly many alike, were not meant to stand so.
const (
	mostPlates     = 3
	mostPlateShare = 0.05
)

// evenMeets is how many joints the only plate that is missing must meet where lengths leave
// none over: with fewer, the parts were rather not meant to stand so.
const evenMeets = 3

// astray reports whether a group of so many parts wants more plates than can be missing.
func astray(parts, wanted int) bool {
	return wanted > max(mostPlates, int(mostPlateShare*float64(parts)))
}

// plates counts of what is missing the plates that meet several joints.
func plates(all []Missing) (n int) {
	for i := range all {
		if len(all[i].Joints)+len(all[i].Edges) > 1 {
			n++
		}
	}
	return n
}

// Match has the joints of a kit meet where its parts stand, rather than by their lengths
// alone: of groups in which every joint closes, and of those that stand but for a plate or
// few that are missing. The joints that those would meet are told, and no others of the
// group.
func Match(k *kit.Kit) {
	model := Soon(k)
	if model == nil {
		return
	}
	by := known(k)
	var all []kit.Stood
	for i := range model.Groups {
		g := &model.Groups[i]
		pieces, single := model.wanting(i)
		known := slices.DeleteFunc(slices.Clone(single), func(w kit.Wanting) bool { return !by.has(&w) })
		if !g.believed(pieces, known) || g.Share < 1 && !by.lacks(g) && !(len(pieces) == 1 && pieces[0].Count() >= evenMeets) {
			continue
		}
		s := g.stood()
		s.Pieces, s.Single = pieces, single
		all = append(all, s)
	}
	k.Stand(all, sure)
}

// wanting lists what the plates would meet that a group wants: those that meet several
// joints, and those that meet one.
func (k *Kit) wanting(group int) (pieces, single []kit.Wanting) {
	for i := range k.Missing {
		m := &k.Missing[i]
		if m.Group != group {
			continue
		}
		w := kit.Wanting{Joints: m.Joints, Edges: m.Edges}
		if w.Count() > 1 {
			pieces = append(pieces, w)
		} else {
			single = append(single, w)
		}
	}
	return pieces, single
}

// lengths is what the lengths of joints say: which have a mate, or are told to have none.
// What does neither is likely no joint at all.
type lengths struct {
	joint, edge map[int]bool
	part        map[int]bool // has some without a mate
}

func known(k *kit.Kit) lengths {
	by := lengths{map[int]bool{}, map[int]bool{}, map[int]bool{}}
	for _, p := range k.Pairs {
		by.joint[p.JointA], by.joint[p.JointB] = true, true
		if p.JointA < 0 {
			by.edge[p.EdgeA], by.edge[p.EdgeB] = true, true
		}
	}
	for _, u := range k.Unmatched {
		by.joint[u.Joint], by.edge[u.Edge], by.part[int(u.Part)] = true, true, true
	}
	return by
}

// has reports whether one of the joints that a plate would meet is one by its length.
func (by lengths) has(w *kit.Wanting) bool {
	return slices.ContainsFunc(w.Joints, func(j int) bool { return by.joint[j] }) || slices.ContainsFunc(w.Edges, func(e int) bool { return by.edge[e] })
}

// lacks reports whether the lengths of a group's joints leave one without a mate.
func (by lengths) lacks(g *Group) bool {
	return slices.ContainsFunc(g.Parts, func(p Placed) bool { return by.part[p.Part] })
}

// believed reports whether a group is taken to stand as its plates were meant to, though it
// wants some plates.
func (g *Group) believed(pieces, single []kit.Wanting) bool {
	switch {
	case len(g.Clashes) > 0 || astray(len(g.Parts), len(pieces)):
		return false
	case g.Share >= 1:
		return true
	case len(g.Trapped) > 0:
		return false
	}
	closed, open := 2*float64(len(g.Joints)), float64(len(single))
	for i := range pieces {
		open += float64(pieces[i].Count())
	}
	share := closed / (closed + open)
	return share >= mostClose || len(pieces) == 1 && len(single) == 0 && share >= oneCloses
}

// stood returns the joints of a group that meet; of a pair what goes in comes first.
func (g *Group) stood() kit.Stood {
	s := kit.Stood{Whole: g.Share >= 1}
	for i := range g.Parts {
		s.Parts = append(s.Parts, int32(g.Parts[i].Part))
	}
	for n := range g.Joints {
		j := &g.Joints[n]
		switch {
		case j.EdgeA >= 0 || j.JointA >= 0 && j.JointB >= 0:
			s.Pairs = append(s.Pairs, kit.Pair{
				PartA: s.Parts[j.B], PartB: s.Parts[j.A], JointA: j.JointB, JointB: j.JointA,
				EdgeA: j.EdgeB, EdgeB: j.EdgeA, Certainty: sure,
			})
		case j.JointA >= 0:
			s.Met = append(s.Met, j.JointA)
		case j.JointB >= 0:
			s.Met = append(s.Met, j.JointB)
		}
	}
	return s
}
