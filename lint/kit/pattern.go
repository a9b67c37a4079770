package kit

import (
	"cmp"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// slotCells is the side of the cells in which slots and gaps are looked up by their
// middles, mm: wider than any mate lies from where its tab has it.
const slotCells = 5

// closest returns the joint nearest to p within r that meets the test, -1 if none.
func (m *matcher) closest(cells *index.Cells[int], p geom.Point, r float64, ok func(int) bool) int {
	best, at := r, -1
	cells.Around(p, r, func(id int) bool {
		if d := m.k.Joints[id].At.Dist(p); d <= best && ok(id) {
			best, at = d, id
		}
		return true
	})
	return at
}

// tabEdge is an edge with several tabs that are matched together.
type tabEdge struct {
	edge int
	tabs []int
}

// byPattern matches edges with two and more tabs against slots at the same
// distances along one line of another part.
func (m *matcher) byPattern() {
	cells := index.NewCells[int](slotCells, len(m.k.Joints))
	slots := make([][]int, len(m.males)) // by class of length
	for i := range m.k.Joints {
		j := &m.k.Joints[i]
		if m.lenOf[i] >= 0 && j.Kind != Tab && !m.doubtful(i) {
			cells.Add(j.At, i)
			slots[m.lenOf[i]] = append(slots[m.lenOf[i]], i)
		}
	}
	var list []tabEdge
	for e := range m.k.Edges {
		if m.finger[e] {
			continue
		}
		t := tabEdge{edge: e}
		for _, j := range m.k.Edges[e].Joints {
			if m.k.Joints[j].Kind == Tab && !m.doubtful(j) {
				t.tabs = append(t.tabs, j)
			}
		}
		if len(t.tabs) >= 2 {
			list = append(list, t)
		}
	}
	slices.SortStableFunc(list, func(a, b tabEdge) int { return cmp.Compare(len(b.tabs), len(a.tabs)) })
	for _, t := range list {
		m.placeEdge(t, slots, cells)
	}
}

// placeEdge looks for a row of free slots that has the pattern of the edge. The
// part that already meets this part is the last choice.
func (m *matcher) placeEdge(t tabEdge, slots [][]int, cells *index.Cells[int]) {
	// The tab whose length fewest slots have leads.
	lead := t.tabs[0]
	for _, j := range t.tabs {
		if len(slots[m.lenOf[j]]) < len(slots[m.lenOf[lead]]) {
			lead = j
		}
	}
	e := &m.k.Edges[t.edge]
	list := slots[m.lenOf[lead]]
	sameLength := func(tab, slot int) bool { return m.lenOf[slot] == m.lenOf[tab] }
	for n := range 2 * len(list) {
		s := list[n%len(list)]
		j := &m.k.Joints[s]
		if m.taken[s] || j.Part == e.Part || n < len(list) && m.meets[[2]int32{e.Part, j.Part}] {
			continue
		}
		if n > 8*manyTries {
			return
		}
		if row := m.rowAt(t, lead, s, cells, sameLength); row != nil {
			for n, tab := range t.tabs {
				m.pairJoints(tab, row[n], byRowOfSlots)
			}
			return
		}
	}
}

// rowAt returns the free slots, one for each tab of an edge, that have the
// edge's pattern where slot s takes its tab lead; nil if there are none.
func (m *matcher) rowAt(t tabEdge, lead, s int, cells *index.Cells[int], fits func(tab, slot int) bool) []int {
	e, j := &m.k.Edges[t.edge], &m.k.Joints[s]
	row := make([]int, len(t.tabs))
ways:
	for _, d := range [2]geom.Point{j.Dir, j.Dir.Mul(-1)} {
		for n, tab := range t.tabs {
			off := m.k.Joints[tab].At.Sub(m.k.Joints[lead].At).Dot(e.U)
			row[n] = m.closest(cells, j.At.Add(d.Mul(off)), m.o.Near+m.k.PlayOf(j.Width), func(i int) bool {
				q := &m.k.Joints[i]
				return !m.taken[i] && q.Part == j.Part && fits(tab, i) && math.Abs(q.Dir.Cross(d)) < parallel
			})
			if row[n] < 0 || slices.Contains(row[:n], row[n]) {
				continue ways
			}
		}
		return row
	}
	return nil
}

// bySingle matches what is left by length alone: edge by edge, and each tab to
// a part that its own part does not meet yet, if there is one.
func (m *matcher) bySingle() {
	free := make([][]int, len(m.males))
	for i := range m.k.Joints {
		if m.lenOf[i] >= 0 && !m.taken[i] && m.k.Joints[i].Kind != Tab && !m.doubtful(i) {
			free[m.lenOf[i]] = append(free[m.lenOf[i]], i)
		}
	}
	for i := range m.k.Joints {
		j := &m.k.Joints[i]
		if m.lenOf[i] < 0 || m.taken[i] || j.Kind != Tab || m.doubtful(i) {
			continue
		}
		c := m.lenOf[i]
		best, at := -1, -1
		for n, s := range free[c] {
			if n > manyTries {
				break
			}
			q := &m.k.Joints[s]
			if q.Part == j.Part {
				continue
			}
			score := 1
			if !m.meets[[2]int32{j.Part, q.Part}] {
				score = 2
			}
			if score > best {
				best, at = score, n
			}
		}
		if at < 0 {
			continue
		}
		s := free[c][at]
		free[c] = slices.Delete(free[c], at, at+1)
		m.pairJoints(i, s, 1/float64(1+min(4, len(free[c]))))
	}
}
