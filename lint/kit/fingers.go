package kit

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// fingers matches finger edges: edges whose steps, three or more, another part
// has the other way round.
func (m *matcher) fingers() {
	m.class, m.mateOf = classes(m.k.Edges, m.o)
	members := make([][]int, len(m.mateOf))
	for e := range m.k.Edges {
		if len(m.k.Edges[e].Steps) >= leastFingers {
			members[m.class[e]] = append(members[m.class[e]], e)
		}
	}
	for c, d := range m.mateOf {
		switch {
		case d < 0 || len(members[d]) == 0: // no part has the mate
			for _, e := range members[c] {
				if m.depthFits(e) {
					m.alone = append(m.alone, e)
				}
			}
		case d < c || len(members[c]) == 0:
		case d == c:
			m.pairSelf(members[c])
		default:
			m.pairTwo(members[c], members[d])
		}
	}
	// In a box a finger edge without any mate lacks a piece; elsewhere its tabs may
	// go into slots one by one.
	for _, e := range m.alone {
		if (len(m.k.Pairs) >= 3 || m.k.Guessed && combLike(&m.k.Edges[e])) && m.isComb(e) {
			m.take(e)
			m.leave(e)
			m.loose[len(m.loose)-1].None = true
		}
	}
}

// depthFits reports whether an edge's steps are as deep as a thickness.
func (m *matcher) depthFits(e int) bool { return m.k.asDeep(m.k.Edges[e].Depth) }

// isComb reports whether an edge cannot be one of tabs for slots: it begins or
// ends at a corner of the part without a shoulder, or has an odd number of steps.
func (m *matcher) isComb(e int) bool {
	s := m.k.Edges[e].Steps
	return len(s)%2 == 1 || !s[0].Up
}

// Comb reports whether an edge may be one of fingers though no part has its mate: its steps
// are as deep as a sheet is thick, and some of them bound a tab or gap.
func (k *Kit) Comb(e int) bool {
	return len(k.Edges[e].Joints) > 0 && len(k.Edges[e].Steps) > 1 && k.asDeep(k.Edges[e].Depth)
}

// CombAlone reports whether such an edge shows by itself that it is one of fingers.
func (k *Kit) CombAlone(e int) bool {
	return k.matcher != nil && len(k.Edges[e].Steps) >= leastFingers && k.matcher.isComb(e)
}

func (m *matcher) pairEdges(a, b int) {
	ea, eb := &m.k.Edges[a], &m.k.Edges[b]
	m.k.Pairs = append(m.k.Pairs, Pair{PartA: ea.Part, PartB: eb.Part, JointA: -1, JointB: -1, EdgeA: a, EdgeB: b, Certainty: byFingers})
}

// take marks an edge as a finger edge, with its joints.
func (m *matcher) take(e int) {
	m.finger[e] = true
	for _, j := range m.k.Edges[e].Joints {
		m.taken[j] = true
	}
}

// pairTwo matches edges of a class with those of its mate. Where there are more
// of one, those left are dealt out over as many parts as can be: a piece that is
// missing meets each part once.
func (m *matcher) pairTwo(a, b []int) {
	if len(a) < len(b) {
		a, b = b, a
	}
	if !m.otherParts(a, b) {
		return // the pattern meets nothing but the part itself
	}
	a = m.dealOut(a)
	free := slices.Clone(a[:len(b)])
	for _, e := range b {
		m.take(e)
		at := slices.IndexFunc(free, func(f int) bool { return m.k.Edges[f].Part != m.k.Edges[e].Part })
		if at < 0 {
			m.leave(e)
			continue
		}
		m.take(free[at])
		m.pairEdges(free[at], e)
		free = slices.Delete(free, at, at+1)
	}
	for _, e := range append(free, a[len(b):]...) {
		m.take(e)
		m.leave(e)
	}
}

func (m *matcher) otherParts(a, b []int) bool {
	for _, x := range a {
		for _, y := range b {
			if m.k.Edges[x].Part != m.k.Edges[y].Part {
				return true
			}
		}
	}
	return false
}

// dealOut orders edges such that those at the end belong to as many parts as can
// be: round and round over the parts, backwards.
func (m *matcher) dealOut(list []int) []int {
	turn := map[int32]int{}
	round := make([]int, len(list))
	for i := len(list) - 1; i >= 0; i-- {
		p := m.k.Edges[list[i]].Part
		round[i] = turn[p]
		turn[p]++
	}
	ix := make([]int, len(list))
	for i := range ix {
		ix[i] = i
	}
	slices.SortStableFunc(ix, func(i, j int) int { return cmp.Compare(round[j], round[i]) })
	out := make([]int, len(list))
	for i, k := range ix {
		out[i] = list[k]
	}
	return out
}

// profile names the finger edges of a part: parts with the same ones stand
// opposite each other and do not meet.
func (m *matcher) profile(part int32) string {
	var cs []int
	for _, e := range m.edgesOf[part] {
		if len(m.k.Edges[e].Steps) >= leastFingers {
			cs = append(cs, m.class[e])
		}
	}
	slices.Sort(cs)
	return fmt.Sprint(cs)
}

// pairSelf matches the edges of a class that is its own mate: between parts with
// different edges, if there are such.
func (m *matcher) pairSelf(list []int) {
	groups := map[string][]int{}
	var numbers []string
	one := true // all edges of the parts concerned are of this one class
	for _, e := range list {
		n := m.profile(m.k.Edges[e].Part)
		if groups[n] == nil {
			numbers = append(numbers, n)
		}
		groups[n] = append(groups[n], e)
		for _, x := range m.edgesOf[m.k.Edges[e].Part] {
			one = one && (len(m.k.Edges[x].Steps) < leastFingers || m.class[x] == m.class[e])
		}
	}
	if len(numbers) == 1 && one && m.otherParts(list, list) { // a cube: by part instead
		clear(groups)
		numbers = numbers[:0]
		for _, e := range list {
			n := fmt.Sprint(m.k.Edges[e].Part)
			if groups[n] == nil {
				numbers = append(numbers, n)
			}
			groups[n] = append(groups[n], e)
		}
	}
	for _, n := range numbers {
		groups[n] = m.dealOut(groups[n])
	}
	for {
		// The two largest groups give an edge each.
		slices.SortStableFunc(numbers, func(a, b string) int { return cmp.Or(cmp.Compare(len(groups[b]), len(groups[a])), cmp.Compare(a, b)) })
		if len(numbers) < 2 || len(groups[numbers[1]]) == 0 {
			break
		}
		a, b := numbers[0], numbers[1]
		x, y := groups[a][0], groups[b][0]
		groups[a], groups[b] = groups[a][1:], groups[b][1:]
		m.take(x)
		m.take(y)
		m.pairEdges(x, y)
	}
	for _, n := range numbers {
		for _, e := range groups[n] {
			m.take(e)
			m.leave(e)
		}
	}
}

// leave notes a finger edge without a mate.
func (m *matcher) leave(e int) { m.loose = append(m.loose, m.withoutEdge(e)) }

// withoutEdge returns an edge as one that has no mate.
func (m *matcher) withoutEdge(e int) Unmatched {
	ed := &m.k.Edges[e]
	at := ed.Middle(ed.Depth / 2)
	// Nearest tab's end, as a place that can be seen on the drawing; of two as near the one
	// nearer to all else, however the drawing lies.
	best, all := math.Inf(1), m.k.Middle()
	shown := at
	for _, j := range ed.Joints {
		jt := &m.k.Joints[j]
		d := jt.At.Dist(at)
		if jt.Kind == Tab && (d < best-sameLevel || d < best+sameLevel && jt.At.Dist(all) < shown.Dist(all)) {
			best, shown = d, jt.At
		}
	}
	return Unmatched{Joint: -1, Edge: e, Part: ed.Part, At: shown, Length: ed.span(), Certainty: noFingers, Nearest: -1}
}
