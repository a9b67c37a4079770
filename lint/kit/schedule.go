package kit

import "slices"

// Fingers returns the finger edges that were matched, indices in Edges,
// ascending.
func (k *Kit) Fingers() []int {
	var out []int
	for _, p := range k.Pairs {
		if p.JointA < 0 {
			out = append(out, p.EdgeA, p.EdgeB)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Shown returns the joint by which an unmatched joint or edge is shown: itself,
// or the joint of the edge nearest to its place; nil if the edge has none.
func (k *Kit) Shown(u *Unmatched) *Joint {
	if u.Joint >= 0 {
		return &k.Joints[u.Joint]
	}
	var best *Joint
	for _, i := range k.Edges[u.Edge].Joints {
		if j := &k.Joints[i]; best == nil || j.At.Dist(u.At) < best.At.Dist(u.At) {
			best = j
		}
	}
	return best
}

// Line is a line of the schedule: what the parts of one number have to do with
// the rest of the kit.
type Line struct {
	Number   int
	Count    int   // parts drawn with this number
	GoesInto []int // numbers of the parts whose slots, notches or edges take its tabs, ascending
	Takes    []int // numbers of the parts whose tabs go into it, ascending
	Slots    int   // joints of one part
	Notches  int
	Tabs     int
	Fingers  int // finger edges of one part
	Free     int // joints without a mate, on all parts of the number
}

// Schedule returns a line for each number, ascending. It goes by what can meet:
// a part is listed with every number one of whose joints it was matched with.
// Laps and finger edges count both ways.
func (k *Kit) Schedule() []Line {
	most := 0
	for i := range k.Sheet.Parts {
		most = max(most, k.Sheet.Parts[i].Number)
	}
	lines := make([]Line, most)
	first := make([]int32, most)
	for i := range lines {
		lines[i].Number, first[i] = i+1, -1
	}
	for i := range k.Sheet.Parts {
		n := k.Sheet.Parts[i].Number - 1
		if n < 0 {
			continue
		}
		lines[n].Count++
		if first[n] < 0 {
			first[n] = int32(i)
		}
	}
	finger := map[int]bool{}
	for _, e := range k.Fingers() {
		finger[e] = true
	}
	for i := range k.Joints {
		j := &k.Joints[i]
		n := k.Number(j.Part) - 1
		if n < 0 || first[n] != j.Part {
			continue
		}
		if j.Edge >= 0 && finger[j.Edge] {
			continue
		}
		switch j.Kind {
		case Slot, Gap:
			lines[n].Slots++
		case Notch:
			lines[n].Notches++
		case Tab:
			lines[n].Tabs++
		}
	}
	for e := range finger {
		if n := k.Number(k.Edges[e].Part) - 1; n >= 0 && first[n] == k.Edges[e].Part {
			lines[n].Fingers++
		}
	}
	put := func(list *[]int, n int) {
		if i, found := slices.BinarySearch(*list, n); !found {
			*list = slices.Insert(*list, i, n)
		}
	}
	for _, p := range k.Pairs {
		a, b := k.Number(p.PartA), k.Number(p.PartB)
		if a < 1 || b < 1 {
			continue
		}
		put(&lines[a-1].GoesInto, b)
		put(&lines[b-1].Takes, a)
		if p.JointA < 0 || k.Joints[p.JointA].Kind == Notch { // neither goes into the other
			put(&lines[b-1].GoesInto, a)
			put(&lines[a-1].Takes, b)
		}
	}
	for _, u := range k.Unmatched {
		if n := k.Number(u.Part) - 1; n >= 0 {
			lines[n].Free++
		}
	}
	return lines
}
