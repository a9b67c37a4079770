package kit

import (
	"cmp"
	"math"
	"slices"
)

// judge decides which joints without a mate are told, and what piece would
// explain them. A drawing is only taken for a kit where enough of its joints
// have mates; counts only mean something where parts are drawn as often as they
// are cut.
func (m *matcher) judge() {
	k := m.k
	var slots, tabs, slotPairs, other int
	for _, p := range k.Pairs {
		if p.JointB >= 0 && k.Joints[p.JointB].Kind == Slot {
			slotPairs++
		} else {
			other++
		}
	}
	for i := range k.Joints {
		switch j := &k.Joints[i]; {
		case j.Kind == Slot:
			slots++
		case j.Kind == Tab && m.lenOf[i] >= 0 && m.through(j):
			tabs++
		}
	}
	pairs := slotPairs + other
	k.Whole = pairs > 0 && 3*pairs >= len(m.loose)
	counted := m.drawnAsCut() || 3*len(m.loose) <= pairs || m.oneMore()
	shoulder := m.shoulders(false)
	share := float64(pairs) / float64(pairs+len(m.loose))
	evident := m.evident()
	for _, u := range m.loose {
		ok := k.Whole
		kind := Tab
		if u.Joint >= 0 {
			kind = k.Joints[u.Joint].Kind
		}
		switch {
		case u.Joint < 0 || kind == Notch:
			ok = ok && counted
		case kind == Gap:
			ok = ok && counted && !u.None && m.through(&k.Joints[u.Joint])
		case kind == Slot:
			j := &k.Joints[u.Joint]
			ok = ok && k.thicknessOf(j.Width) >= 0 && (3*slotPairs >= slots || slotPairs == 0 && 2*other >= slots && other >= 4) && !m.grille(u.Joint)
		default:
			j := &k.Joints[u.Joint]
			ok = ok && m.through(j) && !shoulder[flank{j.Outline, j.walls[0]}] && !shoulder[flank{j.Outline, j.walls[1]}] && (5*slotPairs >= tabs || 2*other >= tabs)
		}
		if !u.None {
			ok = ok && counted
		}
		byItself := m.byItself(&u, evident)
		if !ok && !byItself || k.Guessed && !byItself {
			continue
		}
		if u.Certainty == 0 {
			u.Certainty = 0.7
			if u.None {
				u.Certainty = 0.9
			}
		}
		if u.Certainty *= share; byItself {
			u.Certainty = max(u.Certainty, evidentCertainty)
		}
		k.Unmatched = append(k.Unmatched, u)
	}
	slices.SortStableFunc(k.Unmatched, func(a, b Unmatched) int {
		return cmp.Or(cmp.Compare(b.At.Y, a.At.Y), cmp.Compare(a.At.X, b.At.X))
	})
	slices.SortStableFunc(k.Pairs, func(a, b Pair) int {
		return cmp.Or(cmp.Compare(a.PartA, b.PartA), cmp.Compare(a.PartB, b.PartB), cmp.Compare(a.JointA, b.JointA), cmp.Compare(a.EdgeA, b.EdgeA))
	})
	m.nearest()
	m.missing()
	m.partners()
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
		if r := j.Depth / t.Depth; r > 0.75 && r < 1.6 {
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

// facing is how near, in slot widths, equal slots side by side are vents.
const facing = 6.0

// grille reports whether a slot is one of several equal ones side by side that
// have no tabs: louvres or vents.
func (m *matcher) grille(i int) bool {
	if m.slotsAt == nil {
		m.slotsAt = m.placesOfSlots()
	}
	j := &m.k.Joints[i]
	across := j.Dir.Left()
	near, tries := 0, 0
	m.slotsAt.cells.Around(j.At, ventReach(j), func(n int) bool {
		q := &m.k.Joints[n]
		if n != i && q.Part == j.Part && !m.taken[n] && math.Abs(q.Length-j.Length) <= m.o.Near && math.Abs(q.Dir.Cross(j.Dir)) <= 0.02 {
			d := q.At.Sub(j.At)
			if math.Abs(d.Dot(j.Dir)) < 0.1*j.Length && math.Abs(d.Dot(across)) < facing*j.Width {
				near++
			}
		}
		tries++
		return tries < 16*manyTries && near < 2
	})
	return near >= 2 || near == 1 && m.males[m.lenOf[i]] == 0
}

// ventReach is how far, mm, from the middle of a slot those of the vents beside it
// may lie.
func ventReach(j *Joint) float64 { return facing*j.Width + 0.1*j.Length }

// placesOfSlots returns the slots in cells as wide as the longest reach.
func (m *matcher) placesOfSlots() *joints {
	side := 1.0
	for i := range m.k.Joints {
		if j := &m.k.Joints[i]; j.Kind == Slot {
			side = max(side, ventReach(j))
		}
	}
	g := newJoints(m.k.Joints, side)
	for i := range m.k.Joints {
		if m.k.Joints[i].Kind == Slot {
			g.add(i)
		}
	}
	return g
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
		best := 0.15*a.Length + m.o.Snug
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
	for _, miss := range k.Missing {
		for i := range k.Unmatched {
			if u := &k.Unmatched[i]; u.Partner == 0 {
				u.Partner = miss.Like
			}
		}
	}
}
