package kit

import (
	"cmp"
	"slices"
)

// Stood is what is known of the joints of some parts from where they stand.
type Stood struct {
	Parts  []int32
	Whole  bool      // every joint of them meets another
	Pairs  []Pair    // joints that meet
	Met    []int     // further joints that meet what is no joint by its length; indices in Joints
	Pieces []Wanting // what else is wanted: joints that one piece would meet
	Single []Wanting // and joints that stay open alone
}

// Wanting is what of the parts that stand a piece would meet that is not there.
type Wanting struct {
	Joints []int // indices in Joints
	Edges  []int // and in Edges
}

// Count returns how many joints and edges those are.
func (w *Wanting) Count() int { return len(w.Joints) + len(w.Edges) }

// standing settles the joints of a kit by where its parts stand.
type standing struct {
	m           *matcher
	sure        float64 // how certain it is that what is wanted is missing
	joint, edge map[int]bool
	told        map[[2]int]*Unmatched // by their lengths
	all         []Unmatched
	pieces      int
	gone        map[int32]bool // parts that stand where every joint meets another
}

// Stand has the joints of a kit meet where its parts stand, rather than by their lengths:
// those that meet are told to have no mate no longer, and those that a piece is wanted for
// are told, an edge once, as certain as sure says. What stays open alone is told where one
// like it was told by its length, or where it is the only notch. What is matched by its length alone stays
// so where neither of the two is known to meet, or to want, anything else. Parts that lack
// a piece are left as their lengths have them where one more of some part would meet all
// that is left by lengths, and what is wanted where they stand is like no part.
func (k *Kit) Stand(all []Stood, sure float64) {
	m := k.matcher
	if m == nil {
		return
	}
	all = slices.DeleteFunc(slices.Clone(all), func(s Stood) bool { return !s.Whole && m.likelier(&s) })
	if len(all) == 0 {
		return
	}
	st := &standing{m: m, sure: sure, joint: map[int]bool{}, edge: map[int]bool{}, told: map[[2]int]*Unmatched{}, gone: map[int32]bool{}}
	for i := range k.Unmatched {
		u := &k.Unmatched[i]
		st.told[[2]int{u.Joint, u.Edge}] = u
	}
	for i := range all {
		st.settleAll(&all[i])
	}
	k.Pairs = slices.DeleteFunc(k.Pairs, func(p Pair) bool {
		return st.gone[p.PartA] || st.gone[p.PartB] || st.settled(p.JointA, p.EdgeA) || st.settled(p.JointB, p.EdgeB)
	})
	for i := range all {
		k.Pairs = append(k.Pairs, all[i].Pairs...)
	}
	for _, u := range k.Unmatched {
		if !st.settled(u.Joint, u.Edge) {
			u.Piece = st.pieces
			st.all = append(st.all, u)
		}
	}
	k.Unmatched = st.all
	m.tell()
}

// likelier reports whether the lengths of joints explain better than where they stand what
// some parts lack.
func (m *matcher) likelier(s *Stood) bool {
	var left []*Unmatched
	for i := range m.k.Unmatched {
		if u := &m.k.Unmatched[i]; slices.Contains(s.Parts, u.Part) {
			left = append(left, u)
		}
	}
	if len(left) < 2 || m.like(m.wants(left)) == 0 {
		return false
	}
	return slices.ContainsFunc(s.Pieces, func(w Wanting) bool {
		var all []*Unmatched
		for _, u := range m.wanting(&w) {
			all = append(all, &u)
		}
		return m.like(m.wants(all)) == 0
	})
}

// wants counts what would meet unmatched joints.
func (m *matcher) wants(of []*Unmatched) map[need]int {
	want := map[need]int{}
	for _, u := range of {
		want[m.needOf(u)]++
	}
	return want
}

// settle notes that a joint, or else an edge, meets another or is told.
func (st *standing) settle(j, e int) {
	if j >= 0 {
		st.joint[j] = true
		return
	}
	st.edge[e] = true
	for _, x := range st.m.k.Edges[e].Joints {
		st.joint[x] = true
	}
}

func (st *standing) settled(j, e int) bool { return j >= 0 && st.joint[j] || j < 0 && st.edge[e] }

// settleAll notes what is known of parts that stand.
func (st *standing) settleAll(s *Stood) {
	if s.Whole {
		for _, p := range s.Parts {
			st.gone[p] = true
		}
	}
	for _, p := range s.Pairs {
		st.settle(p.JointA, p.EdgeA)
		st.settle(p.JointB, p.EdgeB)
	}
	for _, j := range s.Met {
		st.settle(j, -1)
	}
	met := map[need]int{} // told by their lengths, and met by where their parts stand
	for _, u := range st.told {
		if st.settled(u.Joint, u.Edge) && slices.Contains(s.Parts, u.Part) {
			met[st.m.needOf(u)]++
		}
	}
	for i := range s.Pieces {
		st.tell(&s.Pieces[i], st.sure)
	}
	for i := range s.Single {
		w := &s.Single[i]
		if slices.ContainsFunc(st.m.wanting(w), func(u Unmatched) bool {
			n := st.m.needOf(&u)
			met[n]--
			return st.told[[2]int{u.Joint, u.Edge}] != nil || met[n] >= 0 || n.kind == Notch && u.None
		}) {
			st.tell(w, aloneSure)
		}
	}
}

// aloneSure is how certain it is that a joint that stays open alone is meant for a part
// that nobody drew, where its length does not say.
const aloneSure = 0.7

// tell notes what a piece would meet as joints without mates.
func (st *standing) tell(w *Wanting, sure float64) {
	for _, u := range st.m.wanting(w) {
		st.settle(u.Joint, u.Edge)
		if was := st.told[[2]int{u.Joint, u.Edge}]; was != nil {
			u = *was
		}
		u.Certainty, u.Piece = max(u.Certainty, sure), st.pieces
		st.all = append(st.all, u)
	}
	st.pieces++
}

// wanting returns what a piece would meet as joints that have no mate.
func (m *matcher) wanting(w *Wanting) (all []Unmatched) {
	for _, e := range w.Edges {
		all = append(all, m.withoutEdge(e))
	}
	for _, j := range w.Joints {
		all = append(all, m.without(j))
	}
	return all
}

// tell puts the joints without mates in order, and says what may be missing.
func (m *matcher) tell() {
	k := m.k
	slices.SortStableFunc(k.Unmatched, func(a, b Unmatched) int {
		return cmp.Or(cmp.Compare(b.At.Y, a.At.Y), cmp.Compare(a.At.X, b.At.X))
	})
	m.nearest()
	m.missing()
	m.partners()
}
