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
	for i := range lines {
		lines[i].Number = i + 1
	}
	first := map[int32]*Line{} // by the first part of each number
	for i := range k.Sheet.Parts {
		l := k.lineOf(lines, int32(i))
		if l == nil {
			continue
		}
		if l.Count++; l.Count == 1 {
			first[int32(i)] = l
		}
	}
	k.countJoints(first)
	for _, p := range k.Pairs {
		a, b := k.lineOf(lines, p.PartA), k.lineOf(lines, p.PartB)
		if a == nil || b == nil {
			continue
		}
		a.GoesInto, b.Takes = with(a.GoesInto, b.Number), with(b.Takes, a.Number)
		if p.JointA < 0 || k.Joints[p.JointA].Kind == Notch { // neither goes into the other
			b.GoesInto, a.Takes = with(b.GoesInto, a.Number), with(a.Takes, b.Number)
		}
	}
	for i := range k.Unmatched {
		if l := k.lineOf(lines, k.Unmatched[i].Part); l != nil {
			l.Free++
		}
	}
	return lines
}

// lineOf returns the line of a part, nil if it has no number.
func (k *Kit) lineOf(lines []Line, part int32) *Line {
	if n := k.Number(part); n > 0 {
		return &lines[n-1]
	}
	return nil
}

// countJoints counts the joints of the first part of each number.
func (k *Kit) countJoints(first map[int32]*Line) {
	finger := map[int]bool{}
	for _, e := range k.Fingers() {
		finger[e] = true
		if l := first[k.Edges[e].Part]; l != nil {
			l.Fingers++
		}
	}
	for i := range k.Joints {
		j := &k.Joints[i]
		l := first[j.Part]
		if l == nil || j.Edge >= 0 && finger[j.Edge] {
			continue
		}
		switch j.Kind {
		case Slot, Gap:
			l.Slots++
		case Notch:
			l.Notches++
		case Tab:
			l.Tabs++
		}
	}
}

// with returns an ascending list with a number in it.
func with(list []int, n int) []int {
	if i, found := slices.BinarySearch(list, n); !found {
		return slices.Insert(list, i, n)
	}
	return list
}
