package kit

import (
	"cmp"
	"math"
	"slices"
)

// Where no joint fits any other, or hardly one does, the joints themselves must
// say that they are some: slots as wide as tabs stand out, several of one size
// along one line, feet opened with reliefs. A plate with a slotted hole, vents, a
// part with one bump say nothing of the kind.
const (
	// thinnest and thickest sheet that slots or tabs without any mate are taken to
	// be for, mm.
	thinnest, thickest = 0.8, 13.0
	// Lengths of joints that were meant for each other are out by nearShare of the
	// length at most, of short ones by nearLength, mm, but shortShare at most.
	nearShare, nearLength, shortShare = 0.25, 3.0, 1.0 / 3
	// manySlots and manyTabs in rows say by their number alone that they are joints.
	manySlots, manyTabs = 3, 4
	// clearLeast and clearMost are how much wider a slot may be than the sheet that
	// the job states is thick, mm; stockLeast and stockMost the same for any sheet
	// that is sold (common practice, no source).
	clearLeast, clearMost = -0.3, 0.6
	stockLeast, stockMost = -0.1, 0.36
)

// meant reports whether lengths of a slot and a tab are near enough that they may
// have been meant for each other.
func meant(slot, tab float64) bool {
	return math.Abs(slot-tab) <= slack(min(slot, tab))
}

// slack returns by how much the length of a joint may be out.
func slack(l float64) float64 { return max(nearShare*l, min(nearLength, shortShare*l)) }

// suits reports whether a tab that stands out by depth suits a slot: through one
// sheet or through several.
func suits(depth, width float64) bool {
	for n := 1.0; n <= mostLayers; n++ {
		if d := depth / n; d > width-max(mostPlay, playShare*width)-0.1 && d < width+0.15 {
			return true
		}
	}
	return false
}

// slotLike reports whether a hole without a mate has the measures of a slot for
// a sheet.
func slotLike(h *Joint) bool {
	return h.Kind == Slot && h.Width >= thinnest && h.Width <= thickest && h.Length >= longSlot*h.Width
}

// tabLike reports whether a tab without a mate has the measures of one: longer
// than it stands out through at most mostLayers sheets.
func tabLike(t *Joint) bool {
	return t.Kind == Tab && t.Depth >= thinnest && t.Depth <= thickest && t.Length >= longSlot*t.Depth
}

// guesses returns what a drawing in which no slot has a tab of its length may
// have been drawn for, by slots and tabs that may have been meant for each other;
// else by rows of slots alone, and by rows of tabs alone.
func guesses(f *found, o Options) []Thickness {
	var votes []vote
	tabs := byLength(slices.DeleteFunc(slices.Clone(f.tabs), func(t Joint) bool { return t.Depth > widest }))
	for i := range f.holes {
		h := &f.holes[i]
		if slotLike(h) && tabs.any(h.Length-slack(h.Length), h.Length+slack(h.Length), func(t *Joint) bool {
			return t.Part != h.Part && meant(h.Length, t.Length) && suits(t.Depth, h.Width)
		}) {
			votes = append(votes, vote{h.Width, 2})
		}
	}
	if len(votes) > 0 {
		return modes(votes)
	}
	for _, r := range rowsOf(f.holes, slotLike) {
		votes = append(votes, vote{f.holes[r.joints[0]].Width, 2 * len(r.joints)})
	}
	if len(votes) == 0 {
		for _, r := range rowsOf(f.tabs, tabLike) {
			votes = append(votes, vote{f.tabs[r.joints[0]].Depth, 2 * len(r.joints)})
		}
	}
	if len(votes) == 0 {
		votes = combVotes(f)
	}
	return modes(votes)
}

// combVotes returns the depths of finger edges that edges of other parts have too.
func combVotes(f *found) (votes []vote) {
	combs := slices.DeleteFunc(slices.Clone(f.edges), func(e Edge) bool { return !combLike(&e) })
	slices.SortStableFunc(combs, func(a, b Edge) int { return cmp.Compare(a.depth(), b.depth()) })
	asDeep := func(a, b *Edge) bool { return a.Part != b.Part && math.Abs(a.depth()-b.depth()) <= sameLevel }
	for i := range combs {
		for n := max(0, i-manyTries/8); n < min(len(combs), i+manyTries/8); n++ {
			if asDeep(&combs[i], &combs[n]) {
				votes = append(votes, vote{combs[i].depth(), len(combs[i].Steps)})
				break
			}
		}
	}
	return votes
}

// leastComb is the fewest steps by which an edge without any mate shows that it
// is one of fingers.
const leastComb = 5

// combLike reports whether a run of steps has the measures of a finger edge: out
// and in by turns, all as deep, further apart than deep.
func combLike(e *Edge) bool {
	if len(e.Steps) < leastComb {
		return false
	}
	d := e.Steps[0].Depth
	for i := range e.Steps {
		s := &e.Steps[i]
		if math.Abs(s.Depth-d) > sameSize || d < thinnest || d > thickest {
			return false
		}
		if i > 0 && (s.Up == e.Steps[i-1].Up || s.Pos-e.Steps[i-1].Pos < longer*d) {
			return false
		}
	}
	return true
}

// evident tells of each joint without a mate whether it shows by itself, or by
// what it was meant for, that it is one.
func (m *matcher) evident() []bool {
	k := m.k
	yes := make([]bool, len(k.Joints))
	if !m.severalShapes() {
		return yes
	}
	m.fingersTold = k.Guessed && m.severalCombs()
	free := make([]bool, len(k.Joints))
	for _, u := range m.loose {
		if u.Joint >= 0 {
			free[u.Joint] = true
		}
	}
	shoulder := m.shoulders(false)
	slots := jointRows(k.Joints, func(j *Joint) bool { return slotLike(j) && k.thicknessOf(j.Width) >= 0 })
	tabs := jointRows(k.Joints, func(j *Joint) bool {
		return tabLike(j) && !shoulder[flank{j.Outline, j.walls[0]}] && !shoulder[flank{j.Outline, j.walls[1]}]
	})
	keep := func(rows []row, ok func(i int) bool) []row {
		return slices.DeleteFunc(rows, func(r row) bool { return !slices.ContainsFunc(r.joints, ok) })
	}
	slots = keep(slots, func(i int) bool { return free[i] && !m.grille(i) })
	tabs = keep(tabs, func(i int) bool { return free[i] })
	tell := func(rows []row) {
		for _, r := range rows {
			for _, i := range r.joints {
				yes[i] = free[i]
			}
		}
	}
	if m.byNumber(slots, manySlots) {
		tell(slots)
	}
	if m.byNumber(tabs, manyTabs) {
		tell(tabs)
	}
	inRow := map[int]bool{}
	for _, r := range slices.Concat(slots, tabs) {
		for _, i := range r.joints {
			inRow[i] = true
		}
	}
	m.meantFor(free, inRow, yes)
	return yes
}

// severalShapes reports whether the drawing holds parts of different shape: the
// mates of a part that stands alone are in other drawings.
func (m *matcher) severalShapes() bool {
	for i := range m.k.Sheet.Parts {
		if m.k.Sheet.Parts[i].Number != m.k.Sheet.Parts[0].Number {
			return true
		}
	}
	return false
}

// severalCombs reports whether parts of different shape have finger edges
// without any mate.
func (m *matcher) severalCombs() bool {
	number := 0
	for _, u := range m.loose {
		if n := m.k.Number(u.Part); u.Joint < 0 {
			if number > 0 && n != number {
				return true
			}
			number = n
		}
	}
	return false
}

// byNumber reports whether rows are enough to be taken for joints by themselves:
// by their number, by reliefs, or since they suit the sheet of the job.
func (m *matcher) byNumber(rows []row, many int) bool {
	n := 0
	for _, r := range rows {
		j := &m.k.Joints[r.joints[0]]
		t := max(j.Width, j.Depth)
		if over := t - m.o.Sheet; j.relieved || m.o.Sheet > 0 && over >= clearLeast && over <= clearMost {
			return true
		}
		if m.stocked(t) {
			n += len(r.joints)
		}
	}
	return n >= many
}

// stocked reports whether a slot of that width, or a tab that stands out so far,
// suits sheet that is sold.
func (m *matcher) stocked(t float64) bool {
	if over := t - m.o.Sheet; m.o.Sheet > 0 && over >= clearLeast && over <= clearMost {
		return true
	}
	return m.o.Stock == nil || slices.ContainsFunc(m.o.Stock, func(s float64) bool { return t > s+stockLeast && t < s+stockMost })
}

// meantFor marks slots and tabs that have no mate and may have been meant for
// each other: those of rows, and single ones where hardly any hole of the
// drawing that has the measures of a slot is none.
func (m *matcher) meantFor(free []bool, inRow map[int]bool, yes []bool) {
	k := m.k
	singles := 0
	for i := range k.Joints {
		if k.Joints[i].Kind == Slot {
			singles++
		}
	}
	all := 3*singles >= 2*m.k.slotLike
	var slots, tabs []int
	for i := range k.Joints {
		switch j := &k.Joints[i]; {
		case !free[i] || !all && !inRow[i]:
		case j.Kind == Slot && !m.grille(i):
			slots = append(slots, i)
		case j.Kind == Tab:
			tabs = append(tabs, i)
		}
	}
	both := func(list, other []int) {
		slices.SortStableFunc(other, func(a, b int) int { return cmp.Compare(k.Joints[a].Length, k.Joints[b].Length) })
		for _, i := range list {
			j := &k.Joints[i]
			at, _ := slices.BinarySearchFunc(other, j.Length, func(x int, l float64) int { return cmp.Compare(k.Joints[x].Length, l) })
			for x := max(0, at-manyTries/8); x < min(len(other), at+manyTries/8); x++ {
				q := &k.Joints[other[x]]
				if q.Part != j.Part && meant(j.Length, q.Length) && suits(max(j.Depth, q.Depth), max(j.Width, q.Width)) {
					yes[i] = true
					break
				}
			}
		}
	}
	both(slots, slices.Clone(tabs))
	both(tabs, slices.Clone(slots))
}

// byItself reports whether an unmatched joint is to be told whatever the rest of
// the kit says.
func (m *matcher) byItself(u *Unmatched, evident []bool) bool {
	k := m.k
	if u.Joint < 0 {
		return m.fingersTold && m.stocked(k.Edges[u.Edge].Depth)
	}
	j := &k.Joints[u.Joint]
	switch {
	case j.Kind == Slot && !u.None:
		return m.leftInRow(u.Joint)
	case j.Kind == Slot:
		return evident[u.Joint]
	case j.Kind == Tab:
		return u.None && evident[u.Joint] && (m.through(j) || k.throughSeveral(j))
	}
	return false
}

// leftInRow reports whether a slot is left over in a row whose other slots, two
// or more, all take the tabs of one edge: that edge lacks a tab.
func (m *matcher) leftInRow(i int) bool {
	k := m.k
	if m.rowOf == nil {
		m.rowOf = map[int][]int{}
		for _, r := range jointRows(k.Joints, slotLike) {
			for _, n := range r.joints {
				m.rowOf[n] = r.joints
			}
		}
		m.edgeIn = map[int]int{}
		for _, p := range k.Pairs {
			if p.JointA >= 0 && k.Joints[p.JointB].Kind == Slot {
				m.edgeIn[p.JointB] = k.Joints[p.JointA].Edge
			}
		}
	}
	r := m.rowOf[i]
	if len(r) < 3 {
		return false
	}
	edge, left := -1, 0
	for _, n := range r {
		e, taken := m.edgeIn[n]
		switch {
		case !taken:
			left++
		case edge >= 0 && e != edge:
			return false
		default:
			edge = e
		}
	}
	return edge >= 0 && 2*left < len(r)
}

// nearest finds what comes nearest to a mate of each unmatched slot and tab that
// has none of its length: among those that have no mate either, else among all.
func (m *matcher) nearest() {
	k := m.k
	var lone, all [2][]int // slots, tabs; by length
	kind := func(j *Joint) int {
		switch j.Kind {
		case Slot:
			return 0
		case Tab:
			return 1
		}
		return -1
	}
	for i := range k.Joints {
		if n := kind(&k.Joints[i]); n >= 0 && m.lenOf[i] >= 0 {
			all[n] = append(all[n], i)
		}
	}
	for i := range k.Unmatched {
		if u := &k.Unmatched[i]; u.Joint >= 0 && u.None && kind(&k.Joints[u.Joint]) >= 0 {
			n := kind(&k.Joints[u.Joint])
			lone[n] = append(lone[n], u.Joint)
		}
	}
	length := func(a, b int) int { return cmp.Compare(k.Joints[a].Length, k.Joints[b].Length) }
	for n := range 2 {
		slices.SortStableFunc(lone[n], length)
		slices.SortStableFunc(all[n], length)
	}
	find := func(list []int, j *Joint) int {
		at, _ := slices.BinarySearchFunc(list, j.Length, func(x int, l float64) int { return cmp.Compare(k.Joints[x].Length, l) })
		best, found := math.Inf(1), -1
		for x := max(0, at-manyTries/8); x < min(len(list), at+manyTries/8); x++ {
			q := &k.Joints[list[x]]
			if d := math.Abs(q.Length - j.Length); q.Part != j.Part && d < best && meant(j.Length, q.Length) {
				best, found = d, list[x]
			}
		}
		return found
	}
	for i := range k.Unmatched {
		u := &k.Unmatched[i]
		u.Nearest = -1
		if u.Joint < 0 || !u.None || kind(&k.Joints[u.Joint]) < 0 {
			continue
		}
		j := &k.Joints[u.Joint]
		other := 1 - kind(j)
		if u.Nearest = find(lone[other], j); u.Nearest < 0 {
			u.Nearest = find(all[other], j)
		}
	}
}
