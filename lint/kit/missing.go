package kit

import (
	"cmp"
	"slices"
)

// Missing is a piece that would explain joints without mates.
type Missing struct {
	Like      int      // the number of a part of which one more would do, 0 if there is none
	Joints    []Wanted // what the piece would have
	Meets     []int    // numbers of the parts it would meet, ascending
	Certainty float64
}

// Wanted is a kind of joint that a missing piece would have.
type Wanted struct {
	Kind   Kind    // Tab for a finger edge too
	Length float64 // mm; 0 for notches
	Edge   bool    // a finger edge, Length from its first step to its last
	Count  int
}

// need names a joint by what it meets with.
type need struct {
	kind Kind
	edge bool
	id   int // class of length or of steps
}

// signature counts the joints of a part by kind and length.
func (m *matcher) signature(part int32) map[need]int {
	sig := map[need]int{}
	for _, i := range m.jointsOf[part] {
		j := &m.k.Joints[i]
		switch {
		case j.Kind == Notch:
			sig[need{kind: Notch}]++
		case m.lenOf[i] < 0:
		case j.Kind == Tab:
			sig[need{kind: Tab, id: m.lenOf[i]}]++
		default:
			sig[need{kind: Slot, id: m.lenOf[i]}]++
		}
	}
	for _, e := range m.edgesOf[part] {
		if m.finger[e] {
			sig[need{edge: true, id: m.class[e]}]++
		}
	}
	return sig
}

// needOf returns what would meet an unmatched joint.
func (m *matcher) needOf(u *Unmatched) need {
	switch {
	case u.Joint < 0:
		return need{edge: true, id: m.wanted(m.class[u.Edge])}
	case m.k.Joints[u.Joint].Kind == Notch:
		return need{kind: Notch}
	case m.k.Joints[u.Joint].Kind == Tab:
		return need{kind: Slot, id: m.lenOf[u.Joint]}
	}
	return need{kind: Tab, id: m.lenOf[u.Joint]}
}

// wanted returns the class of the mates of a class of edges; a class that no
// part has is named by the negative of what it meets.
func (m *matcher) wanted(c int) int {
	if d := m.mateOf[c]; d >= 0 {
		return d
	}
	return -1 - c
}

// missing gathers the unmatched joints into the pieces that would meet them: each those
// that are known to want one, and one the rest.
func (m *matcher) missing() {
	k := m.k
	k.Missing = nil
	var pieces []int
	of := map[int][]*Unmatched{}
	for i := range k.Unmatched {
		u := &k.Unmatched[i]
		if of[u.Piece] == nil {
			pieces = append(pieces, u.Piece)
		}
		of[u.Piece] = append(of[u.Piece], u)
	}
	slices.Sort(pieces)
	for _, n := range pieces {
		for _, u := range of[n] {
			u.Piece = -1
		}
		m.piece(of[n])
	}
}

// piece notes the piece that would meet some joints.
func (m *matcher) piece(of []*Unmatched) {
	k := m.k
	want := map[need]int{}
	length := map[need]float64{}
	meets := map[int]bool{}
	certainty := 0.0
	for _, u := range of {
		if k.Guessed && u.Nearest >= 0 {
			continue // drawn wrong rather than missing
		}
		n := m.needOf(u)
		want[n]++
		length[n] = u.Length
		if n.kind == Notch {
			length[n] = 0
		}
		meets[k.Number(u.Part)] = true
		certainty = max(certainty, u.Certainty)
		u.Piece = len(k.Missing)
	}
	if len(want) == 0 {
		return
	}
	miss := Missing{Certainty: certainty, Like: m.like(want)}
	for n, c := range want {
		miss.Joints = append(miss.Joints, Wanted{Kind: n.kind, Length: length[n], Edge: n.edge, Count: c})
	}
	slices.SortFunc(miss.Joints, func(a, b Wanted) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(b2i(a.Edge), b2i(b.Edge)), cmp.Compare(a.Length, b.Length), cmp.Compare(a.Count, b.Count))
	})
	for n := range meets {
		miss.Meets = append(miss.Meets, n)
	}
	slices.Sort(miss.Meets)
	k.Missing = append(k.Missing, miss)
}

// like returns the number of the part that has just the joints wanted, 0 if no
// part has.
func (m *matcher) like(want map[need]int) int {
	seen := map[int]bool{}
	best, bestMiss := 0, 1<<30
	total := 0
	for _, c := range want {
		total += c
	}
	for p := range m.k.Sheet.Parts {
		num := m.k.Sheet.Parts[p].Number
		if seen[num] {
			continue
		}
		seen[num] = true
		sig := m.signature(int32(p))
		off := 0
		for n, c := range want {
			off += max(c-sig[n], sig[n]-c)
		}
		for n, c := range sig {
			if want[n] == 0 {
				off += c
			}
		}
		if off < bestMiss {
			best, bestMiss = num, off
		}
	}
	if 10*bestMiss > total { // a joint in ten may be off
		return 0
	}
	return best
}
