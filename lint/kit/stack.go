package kit

import (
	"cmp"
	"slices"

	"sluice/geom/index"
)

// A tab as long as several sheets are thick goes through as many decks that lie
// on each other, and each of them has its slot for it.
const (
	// mostLayers is the most decks that one tab goes through.
	mostLayers = 5
	// layerShort is how far a tab may end short of the last deck's face, as a share
	// of the thickness.
	layerShort = 0.25
	// mostPlay and playShare bound by how much a slot may be wider than the sheet is
	// thick: the smaller of mm and a share of the width (common practice, no source).
	mostPlay  = 0.5
	playShare = 0.12
)

// layers returns through how many sheets a tab that stands out by d goes, at
// least 1.
func (k *Kit) layers(d float64) int {
	n := 1
	for i := range k.Thicknesses {
		t := &k.Thicknesses[i]
		sheet := min(t.Depth, t.Width-min(mostPlay, playShare*t.Width))
		n = max(n, int(d/sheet+layerShort))
	}
	return n
}

// Decks returns through how many sheets that lie on each other a tab goes, at least 1, and
// how thick each of them is, mm.
func (k *Kit) Decks(j *Joint) (n int, thick float64) {
	if !k.throughSeveral(j) {
		return 1, j.Depth
	}
	n = k.layers(j.Depth)
	return n, k.Thicknesses[0].Depth
}

// throughSeveral reports whether a tab goes through more than one sheet and not through
// more than can be. One as deep as some sheet of the kit is thick goes through
// that.
func (k *Kit) throughSeveral(j *Joint) bool {
	n := k.layers(j.Depth)
	return j.Kind == Tab && n >= 2 && n <= mostLayers && !k.asDeep(j.Depth)
}

// goesIn reports whether a tab goes into a slot, and does not rattle.
func (m *matcher) goesIn(tab, slot *Joint) bool {
	d := slot.Length - tab.Length
	return d > -m.o.Near && d <= m.o.Snug
}

// stackFlanks returns the flanks of tabs that go through several sheets and have
// a slot of their length on another part.
func (k *Kit) stackFlanks(f *found, o Options) map[flank]bool {
	slots := byLength(f.holes)
	of := map[flank]bool{}
	for i := range f.tabs {
		t := &f.tabs[i]
		lo, hi := k.slotLengths(t.Length, o)
		if k.throughSeveral(t) && slots.any(lo, hi, func(s *Joint) bool {
			return s.Part != t.Part && k.thicknessOf(s.Width) >= 0
		}) {
			of[flank{t.Outline, t.walls[0]}], of[flank{t.Outline, t.walls[1]}] = true, true
		}
	}
	return of
}

// stacks matches tabs that go through several decks with a slot in each: deck by
// deck, first all edges with one deck, then all with the next.
func (m *matcher) stacks() {
	k := m.k
	cells := index.NewCells[int](slotCells, len(k.Joints))
	var free []int
	for i := range k.Joints {
		if j := &k.Joints[i]; j.Kind == Slot && m.lenOf[i] >= 0 && !m.taken[i] && !m.doubtful(i) {
			cells.Add(j.At, i)
			free = append(free, i)
		}
	}
	slices.SortStableFunc(free, func(a, b int) int { return cmp.Compare(k.Joints[a].Length, k.Joints[b].Length) })
	var list []tabEdge
	for e := range k.Edges {
		if m.finger[e] {
			continue
		}
		t := tabEdge{edge: e}
		for _, j := range k.Edges[e].Joints {
			if k.throughSeveral(&k.Joints[j]) {
				t.tabs = append(t.tabs, j)
			}
		}
		if len(t.tabs) > 0 {
			list = append(list, t)
		}
	}
	slices.SortStableFunc(list, func(a, b tabEdge) int { return cmp.Compare(len(b.tabs), len(a.tabs)) })
	met := make([]map[int32]bool, len(list))
	for round := 1; round <= mostLayers; round++ {
		for n, t := range list {
			if met[n] == nil {
				met[n] = map[int32]bool{}
			}
			t.tabs = slices.DeleteFunc(slices.Clone(t.tabs), func(j int) bool { return k.layers(k.Joints[j].Depth) < round })
			if len(t.tabs) > 0 {
				m.placeDeck(t, free, cells, met[n])
			}
		}
	}
}

// placeDeck looks for a part with free slots in the pattern of an edge's deep
// tabs, other than those the edge goes through already.
func (m *matcher) placeDeck(t tabEdge, free []int, cells *index.Cells[int], met map[int32]bool) {
	k := m.k
	e, lead := &k.Edges[t.edge], t.tabs[0]
	least := k.Joints[lead].Length - m.o.Near
	at, _ := slices.BinarySearchFunc(free, least, func(i int, l float64) int { return cmp.Compare(k.Joints[i].Length, l) })
	fits := func(tab, slot int) bool { return m.goesIn(&k.Joints[tab], &k.Joints[slot]) }
	tries := 0
	for _, s := range free[at:] {
		j := &k.Joints[s]
		if j.Length > k.Joints[lead].Length+m.o.Snug {
			return
		}
		if m.taken[s] || j.Part == e.Part || met[j.Part] {
			continue
		}
		if tries++; tries > manyTries {
			return
		}
		if row := m.rowAt(t, lead, s, cells, fits); row != nil {
			for n, tab := range t.tabs {
				m.pairJoints(tab, row[n], byDeck)
			}
			met[j.Part] = true
			return
		}
	}
}
