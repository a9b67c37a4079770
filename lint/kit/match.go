package kit

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom/index"
)

// matcher pairs joints off.
type matcher struct {
	k *Kit
	o Options

	finger []bool // by edge: a finger edge, matched as a whole
	class  []int  // by edge: class of its steps
	mateOf []int  // by class
	taken  []bool // by joint: matched
	lenOf  []int  // by joint: class of its length (slots, tabs, gaps), -1
	males  []int  // by class of length: tabs
	female []int  // by class of length: slots and gaps

	jointsOf, edgesOf [][]int // by part

	meets map[[2]int32]bool // parts with a pair of tab and slot, tab's part first

	alone []int       // finger edges that have no mate anywhere
	loose []Unmatched // candidates for Kit.Unmatched

	fingersTold bool              // finger edges without any mate are told
	slotsAt     *index.Cells[int] // slots by their middles; nil until asked for
	rowOf       map[int][]int     // by slot: the joints of its row; nil until asked for
	edgeIn      map[int]int       // by slot: the edge whose tab goes in; nil until asked for
}

func newMatcher(k *Kit, o Options) *matcher {
	m := &matcher{k: k, o: o, finger: make([]bool, len(k.Edges)), taken: make([]bool, len(k.Joints)), meets: map[[2]int32]bool{}}
	m.jointsOf, m.edgesOf = make([][]int, len(k.Sheet.Parts)), make([][]int, len(k.Sheet.Parts))
	for i := range k.Joints {
		p := k.Joints[i].Part
		m.jointsOf[p] = append(m.jointsOf[p], i)
	}
	for e := range k.Edges {
		p := k.Edges[e].Part
		m.edgesOf[p] = append(m.edgesOf[p], e)
	}
	return m
}

// grown returns the matcher of a kit that has the joints that m matched and, counted on from
// from, further ones: each is of the class of length of one as long, or of its own.
func (m *matcher) grown(k *Kit, from int) *matcher {
	g := *m
	g.k, g.slotsAt, g.rowOf, g.edgeIn = k, nil, nil, nil
	g.taken, g.lenOf = slices.Clone(m.taken), slices.Clone(m.lenOf)
	g.males, g.female = slices.Clone(m.males), slices.Clone(m.female)
	g.jointsOf = slices.Clone(m.jointsOf)
	for i := from; i < len(k.Joints); i++ {
		j := &k.Joints[i]
		g.taken, g.lenOf = append(g.taken, false), append(g.lenOf, -1)
		g.jointsOf[j.Part] = append(slices.Clip(g.jointsOf[j.Part]), i)
		if j.Kind == Notch {
			continue
		}
		like := slices.IndexFunc(k.Joints[:i], func(q Joint) bool { return q.Kind != Notch && math.Abs(q.Length-j.Length) <= g.o.Near })
		if like >= 0 {
			g.lenOf[i] = g.lenOf[like]
		}
		if g.lenOf[i] < 0 {
			g.males, g.female = append(g.males, 0), append(g.female, 0)
			g.lenOf[i] = len(g.males) - 1
		}
		if j.Kind == Tab {
			g.males[g.lenOf[i]]++
		} else {
			g.female[g.lenOf[i]]++
		}
	}
	return &g
}

// slots matches slots and gaps with tabs by length, and by the pattern of
// several along an edge.
func (m *matcher) slots() {
	m.play()
	m.lengthClasses()
	m.byPattern()
	m.bySingle()
	m.stacks()
	for i := range m.k.Joints {
		if m.lenOf[i] < 0 || m.taken[i] {
			continue
		}
		m.loose = append(m.loose, m.without(i))
	}
}

// without returns a joint as one that has no mate.
func (m *matcher) without(i int) Unmatched {
	j := &m.k.Joints[i]
	u := Unmatched{Joint: i, Edge: -1, Part: j.Part, At: j.At, Length: j.Length, Nearest: -1}
	switch c := m.lenOf[i]; {
	case j.Kind == Notch:
		u.None = !slices.ContainsFunc(m.k.Joints, func(o Joint) bool { return o.Kind == Notch && o.Part != j.Part })
	case c >= 0:
		u.None = j.Kind == Tab && m.female[c] == 0 || j.Kind != Tab && m.males[c] == 0
	}
	return u
}

// settle drops what is no joint: between the tabs of an edge there are no gaps,
// between its gaps no tabs, and the body of a part between the shoulders of its
// tabs is no tab itself. Finger edges keep all.
func (m *matcher) settle() {
	k := m.k
	body := m.shoulders(false)
	keep := make([]bool, len(k.Joints))
	for i := range k.Joints {
		j := &k.Joints[i]
		keep[i] = true
		if j.Edge < 0 || m.finger[j.Edge] {
			continue
		}
		steps := k.Edges[j.Edge].Steps
		first, last := steps[0].Up, !steps[len(steps)-1].Up
		switch {
		case j.Kind == Gap && first && last, j.Kind == Tab && !first && !last:
			keep[i] = false
		case !k.asDeep(j.Depth) && (body[flank{j.Outline, j.walls[0]}] || body[flank{j.Outline, j.walls[1]}]):
			keep[i] = false
		}
	}
	m.drop(keep)
}

// doubtful reports whether a joint is off the kit's thickness: a slot of another
// width, a tab or gap of another depth. It is matched last, with what is left.
func (m *matcher) doubtful(i int) bool {
	j := &m.k.Joints[i]
	if j.Kind == Slot {
		return m.k.thicknessOf(j.Width) < 0
	}
	return j.Kind != Notch && !m.k.asDeep(j.Depth)
}

// odd gives doubtful slots and tabs what is left of their length, and drops those
// for which nothing is: they are windows and bumps.
func (m *matcher) odd() {
	k := m.k
	left := make([][]int, len(m.males)) // by class of length
	for i := range k.Joints {
		if c := m.lenOf[i]; c >= 0 && !m.taken[i] {
			left[c] = append(left[c], i)
		}
	}
	for _, list := range left {
		for n, a := range list {
			for x := n + 1; x < min(len(list), n+manyTries) && !m.taken[a]; x++ {
				b := list[x]
				ja, jb := &k.Joints[a], &k.Joints[b]
				if m.taken[b] || m.doubtful(a) == m.doubtful(b) || (ja.Kind == Tab) == (jb.Kind == Tab) || ja.Part == jb.Part {
					continue
				}
				if ja.Kind == Tab {
					m.pairJoints(a, b, byLeftOver)
				} else {
					m.pairJoints(b, a, byLeftOver)
				}
			}
		}
	}
	body := m.shoulders(true)
	keep := make([]bool, len(k.Joints))
	for i := range k.Joints {
		j := &k.Joints[i]
		keep[i] = m.taken[i] || k.Guessed && k.throughSeveral(j) || !m.doubtful(i) &&
			(j.Kind != Tab || !body[flank{j.Outline, j.walls[0]}] && !body[flank{j.Outline, j.walls[1]}])
	}
	m.drop(keep)
	m.loose = slices.DeleteFunc(m.loose, func(u Unmatched) bool { return u.Joint >= 0 && m.taken[u.Joint] })
	for i := range k.Joints {
		if k.Joints[i].Kind == Slot && m.doubtful(i) {
			k.Odd = append(k.Odd, i)
		}
	}
}

// drop takes out the joints that are not kept, wherever they are named.
func (m *matcher) drop(keep []bool) {
	k := m.k
	to := make([]int, len(k.Joints))
	n := 0
	for i := range k.Joints {
		to[i] = -1
		if keep[i] {
			to[i] = n
			k.Joints[n], m.taken[n] = k.Joints[i], m.taken[i]
			if m.lenOf != nil {
				m.lenOf[n] = m.lenOf[i]
			}
			n++
		} else {
			k.Idle = append(k.Idle, k.Joints[i])
		}
	}
	k.Joints, m.taken = k.Joints[:n], m.taken[:n]
	if m.lenOf != nil {
		m.lenOf = m.lenOf[:n]
	}
	move := func(list []int) []int {
		out := list[:0]
		for _, i := range list {
			if to[i] >= 0 {
				out = append(out, to[i])
			}
		}
		return out
	}
	for e := range k.Edges {
		k.Edges[e].Joints = move(k.Edges[e].Joints)
	}
	for p := range m.jointsOf {
		m.jointsOf[p] = move(m.jointsOf[p])
	}
	for i := range k.Pairs {
		p := &k.Pairs[i]
		if p.JointA >= 0 {
			p.JointA, p.JointB = to[p.JointA], to[p.JointB]
		}
	}
	m.loose = slices.DeleteFunc(m.loose, func(u Unmatched) bool { return u.Joint >= 0 && to[u.Joint] < 0 })
	for i := range m.loose {
		if u := &m.loose[i]; u.Joint >= 0 {
			u.Joint = to[u.Joint]
		}
	}
}

// counts reports whether a joint takes part in the matching by length.
func (m *matcher) counts(i int) bool {
	j := &m.k.Joints[i]
	switch j.Kind {
	case Slot:
		return true
	case Tab, Gap:
		return !m.finger[j.Edge]
	}
	return false
}

// play finds by how much the kit's slots are longer than its tabs: the most
// frequent difference between a slot and the tab nearest in length.
func (m *matcher) play() {
	var tabs []float64
	for i := range m.k.Joints {
		if m.k.Joints[i].Kind == Tab && m.counts(i) {
			tabs = append(tabs, m.k.Joints[i].Length)
		}
	}
	slices.Sort(tabs)
	ds := make([][]float64, len(m.k.Thicknesses))
	for i := range m.k.Joints {
		j := &m.k.Joints[i]
		if j.Kind != Slot {
			continue
		}
		// The longest tab that still goes in.
		at, exact := slices.BinarySearch(tabs, j.Length+0.02)
		if !exact {
			at--
		}
		if t := m.k.thicknessOf(j.Width); t >= 0 && at >= 0 && j.Length-tabs[at] <= m.o.Snug {
			ds[t] = append(ds[t], j.Length-tabs[at])
		}
	}
	for t, d := range ds {
		m.k.Thicknesses[t].Play = commonest(d)
	}
}

// commonest returns the middle of the densest playBand of the values, 0 if there
// are none.
func commonest(d []float64) float64 {
	slices.Sort(d)
	bestN, best := 0, 0.0
	for i, k := 0, 0; i < len(d); i++ {
		for d[i]-d[k] > playBand {
			k++
		}
		if i-k+1 > bestN {
			bestN = i - k + 1
			best = max(0, d[k+(i-k)/2])
		}
	}
	return best
}

// lengthClasses puts slots, tabs and gaps of one length, play taken off, into
// one class.
func (m *matcher) lengthClasses() {
	m.lenOf = make([]int, len(m.k.Joints))
	var ix []int
	for i := range m.k.Joints {
		m.lenOf[i] = -1
		if m.counts(i) {
			ix = append(ix, i)
		}
	}
	slices.SortStableFunc(ix, func(a, b int) int { return cmp.Compare(m.net(a), m.net(b)) })
	start := 0.0
	for n, i := range ix {
		l := m.net(i)
		if n == 0 || l-m.net(ix[n-1]) > m.o.Near || l-start > 3*m.o.Near {
			m.males, m.female = append(m.males, 0), append(m.female, 0)
			start = l
		}
		c := len(m.males) - 1
		m.lenOf[i] = c
		if m.doubtful(i) {
			continue
		}
		if m.k.Joints[i].Kind == Tab {
			m.males[c]++
		} else {
			m.female[c]++
		}
	}
}

// net is the length of a joint with the play of slots taken off.
func (m *matcher) net(i int) float64 {
	j := &m.k.Joints[i]
	if j.Kind == Slot {
		return j.Length - m.k.PlayOf(j.Width)
	}
	return j.Length
}

// pairJoints matches a tab with a slot or gap.
func (m *matcher) pairJoints(tab, slot int, certainty float64) {
	m.taken[tab], m.taken[slot] = true, true
	a, b := &m.k.Joints[tab], &m.k.Joints[slot]
	m.meets[[2]int32{a.Part, b.Part}], m.meets[[2]int32{b.Part, a.Part}] = true, true
	m.k.Pairs = append(m.k.Pairs, Pair{PartA: a.Part, PartB: b.Part, JointA: tab, JointB: slot, EdgeA: a.Edge, EdgeB: b.Edge, Certainty: certainty})
}
