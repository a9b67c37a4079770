package kit

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom/index"
)

// matched is how much of a drawing's joints has mates, and so how far a joint
// without one is to be believed.
type matched struct {
	slots, tabs     int // all slots; tabs as deep as a sheet is thick
	inSlots, others int // pairs of a slot and its tab, and of anything else
	counted         bool
	shoulders       map[flank]bool
}

// Shares of joints with mates from which on the others are told. They were chosen
// on the sample kits, no source.
const (
	wholeShare   = 3 // one in so many of the joints without mates: the drawing is a kit
	slotShare    = 3 // one in so many slots has its tab
	tabSlotShare = 5 // one in so many tabs has its slot,
	tabShare     = 2 // or half as many other pairs as there are slots or tabs
	fewPairs     = 4 // other pairs that say nothing of slots by being few
)

// judge decides which joints without a mate are told, and what piece would
// explain them. A drawing is only taken for a kit where enough of its joints
// have mates; counts only mean something where parts are drawn as often as they
// are cut.
func (m *matcher) judge() {
	k := m.k
	has := m.matched()
	pairs := len(k.Pairs)
	share := float64(pairs) / float64(pairs+len(m.loose))
	evident := m.evident()
	for _, u := range m.loose {
		byItself := m.byItself(&u, evident)
		if !byItself && (k.Guessed || !k.Whole || !m.believed(&u, has)) {
			continue
		}
		if u.Certainty == 0 {
			u.Certainty = fewerMates
			if u.None {
				u.Certainty = noMateAtAll
			}
		}
		if u.Certainty *= share; byItself {
			u.Certainty = max(u.Certainty, bySelfEvidence)
		}
		k.Unmatched = append(k.Unmatched, u)
	}
	slices.SortStableFunc(k.Pairs, func(a, b Pair) int {
		return cmp.Or(cmp.Compare(a.PartA, b.PartA), cmp.Compare(a.PartB, b.PartB), cmp.Compare(a.JointA, b.JointA), cmp.Compare(a.EdgeA, b.EdgeA))
	})
	m.tell()
}

// matched counts the joints and their pairs, and says whether the drawing is
// taken for a kit.
func (m *matcher) matched() *matched {
	k := m.k
	has := &matched{shoulders: m.shoulders(false)}
	for _, p := range k.Pairs {
		if p.JointB >= 0 && k.Joints[p.JointB].Kind == Slot {
			has.inSlots++
		} else {
			has.others++
		}
	}
	for i := range k.Joints {
		switch j := &k.Joints[i]; {
		case j.Kind == Slot:
			has.slots++
		case j.Kind == Tab && m.lenOf[i] >= 0 && m.through(j):
			has.tabs++
		}
	}
	pairs, loose := len(k.Pairs), len(m.loose)
	k.Whole = pairs > 0 && wholeShare*pairs >= loose
	has.counted = m.drawnAsCut() || wholeShare*loose <= pairs || m.oneMore()
	return has
}

// believed reports whether the other matches say of a joint without a mate that it
// is one.
func (m *matcher) believed(u *Unmatched, has *matched) bool {
	if !u.None && !has.counted {
		return false
	}
	if u.Joint < 0 {
		return has.counted
	}
	j := &m.k.Joints[u.Joint]
	switch j.Kind {
	case Notch:
		return has.counted
	case Gap:
		return has.counted && !u.None && m.through(j)
	case Slot:
		return m.k.thicknessOf(j.Width) >= 0 && !m.grille(u.Joint) &&
			(slotShare*has.inSlots >= has.slots || has.inSlots == 0 && tabShare*has.others >= has.slots && has.others >= fewPairs)
	}
	return m.through(j) && !has.shoulders[flank{j.Outline, j.walls[0]}] && !has.shoulders[flank{j.Outline, j.walls[1]}] &&
		(tabSlotShare*has.inSlots >= has.tabs || tabShare*has.others >= has.tabs)
}

// shoulders returns the sides on which matched tabs stand, and, unless only those
// are asked for, those on which tabs just as deep as the sheet is thick stand. What lies between two such
// sides is the body of the part, no tab of its own.
func (m *matcher) shoulders(matched bool) map[flank]bool {
	of := map[flank]bool{}
	for i := range m.k.Joints {
		j := &m.k.Joints[i]
		if j.Kind != Tab || !m.taken[i] && (matched || !m.k.asDeep(j.Depth)) {
			continue
		}
		of[flank{j.Outline, j.feet[0]}], of[flank{j.Outline, j.feet[1]}] = true, true
	}
	return of
}

// through reports whether a tab or gap is about as deep as a sheet is thick.
func (m *matcher) through(j *Joint) bool {
	for _, t := range m.k.Thicknesses {
		if r := j.Depth / t.Depth; r > throughLow && r < throughHigh {
			return true
		}
	}
	return false
}

// drawnAsCut reports whether some part with joints is drawn more than once: then
// parts are likely drawn as often as they are to be cut.
func (m *matcher) drawnAsCut() bool {
	seen := map[int]int32{}
	for i := range m.k.Joints {
		p := m.k.Joints[i].Part
		n := m.k.Number(p)
		if q, ok := seen[n]; ok && q != p {
			return true
		}
		seen[n] = p
	}
	return false
}

// oneMore reports whether one more of a part would meet all that is left over:
// it is missing, or is to be cut twice.
func (m *matcher) oneMore() bool {
	want := map[need]int{}
	for _, u := range m.loose {
		want[m.needOf(&u)]++
	}
	return len(want) > 0 && m.like(want) > 0
}

// grille reports whether a slot is one of several equal ones side by side that
// have no tabs: louvres or vents.
func (m *matcher) grille(i int) bool {
	if m.slotsAt == nil {
		m.placeSlots()
	}
	j := &m.k.Joints[i]
	across := j.Dir.Left()
	beside, tries := 0, 0
	m.slotsAt.Around(j.At, facing*j.Width+alongside*j.Length, func(id int) bool {
		q := &m.k.Joints[id]
		tries++
		if id != i && q.Part == j.Part && !m.taken[id] && math.Abs(q.Length-j.Length) <= m.o.Near && math.Abs(q.Dir.Cross(j.Dir)) <= parallel {
			d := q.At.Sub(j.At)
			if math.Abs(d.Dot(j.Dir)) < alongside*j.Length && math.Abs(d.Dot(across)) < facing*j.Width {
				beside++
			}
		}
		return beside < 2 && tries < 16*manyTries
	})
	return beside >= 2 || beside == 1 && m.males[m.lenOf[i]] == 0
}

// placeSlots puts the slots into cells about as wide as those that face each other
// lie apart.
func (m *matcher) placeSlots() {
	side, n := 1.0, 0
	for i := range m.k.Joints {
		if j := &m.k.Joints[i]; j.Kind == Slot {
			side, n = max(side, facing*j.Width+alongside*j.Length), n+1
		}
	}
	m.slotsAt = index.NewCells[int](side, n)
	for i := range m.k.Joints {
		if j := &m.k.Joints[i]; j.Kind == Slot {
			m.slotsAt.Add(j.At, i)
		}
	}
}

// partners names the part that an unmatched joint most likely belongs with: one
// with an unmatched joint of nearly its length, else what is missing.
func (m *matcher) partners() {
	k := m.k
	var order []int // unmatched joints by length
	for i := range k.Unmatched {
		if u := &k.Unmatched[i]; u.Joint >= 0 && k.Joints[u.Joint].Kind != Notch {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(k.Unmatched[a].Length, k.Unmatched[b].Length) })
	for n, i := range order {
		u := &k.Unmatched[i]
		a := &k.Joints[u.Joint]
		best := partnerShare*a.Length + m.o.Snug
		for x := max(0, n-manyTries); x < min(len(order), n+manyTries); x++ {
			v := &k.Unmatched[order[x]]
			b := &k.Joints[v.Joint]
			if v.Part == u.Part || (a.Kind == Tab) == (b.Kind == Tab) {
				continue
			}
			if d := math.Abs(a.Length - b.Length); d < best {
				best, u.Partner = d, k.Number(v.Part)
			}
		}
	}
	for i := range k.Unmatched {
		if u := &k.Unmatched[i]; u.Partner == 0 && u.Piece >= 0 {
			u.Partner = k.Missing[u.Piece].Like
		}
	}
}
