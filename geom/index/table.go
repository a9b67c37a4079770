package index

import "iter"

// Table lists numbers by key. Each number is in one list at most. Two keys may
// share a list, once in about four thousand million pairs of them: what is found
// must be looked at anyway. Adding and finding a list take constant time.
//
// Only 32 bits of a key are kept, beside the list: a look-up takes one access to
// memory, and the table grows without asking for the keys again.
type Table struct {
	slots []slot  // open addressing; their number is a power of two
	next  []int32 // by number: the next of its list; the last is followed by the first
	used  int
}

type slot struct {
	print uint32 // of the key, 0 in an empty slot
	last  int32  // the last number of the list
}

// NewTable returns an empty table with room for some keys; it grows beyond them.
func NewTable(expect int) *Table {
	size := 64
	for 3*size < 4*expect {
		size *= 2
	}
	return &Table{slots: make([]slot, size), next: make([]int32, 0, expect)}
}

// Mix spreads two whole numbers over 64 bits, as the key of a Table (the
// finaliser of splitmix64: G. Steele, D. Lea, C. Flood, "Fast Splittable
// Pseudorandom Number Generators", 2014).
func Mix(x, y int64) uint64 {
	h := uint64(x)*0x9E3779B97F4A7C15 ^ uint64(y)*0xC2B2AE3D27D4EB4F
	h ^= h >> 30
	h *= 0xBF58476D1CE4E5B9
	h ^= h >> 27
	h *= 0x94D049BB133111EB
	h ^= h >> 31
	return h
}

func printOf(key uint64) uint32 { return max(1, uint32(key>>32)) }

// at returns the slot of a print, or the empty one where it belongs.
func (t *Table) at(print uint32) *slot {
	m := uint32(len(t.slots) - 1)
	for i := print & m; ; i = (i + 1) & m {
		if s := &t.slots[i]; s.print == print || s.print == 0 {
			return s
		}
	}
}

// last returns the last number of a list, -1 if there is none.
func (t *Table) last(key uint64) int32 {
	if s := t.at(printOf(key)); s.print != 0 {
		return s.last
	}
	return -1
}

// enter puts i behind the last number of its list, which makes it the first and
// the last alike, and returns the slot.
func (t *Table) enter(key uint64, i int32) *slot {
	for int(i) >= len(t.next) {
		t.next = append(t.next, -1)
	}
	if 4*t.used >= 3*len(t.slots) {
		t.grow()
	}
	s := t.at(printOf(key))
	if s.print == 0 {
		s.print, s.last = printOf(key), i
		t.next[i] = i
		t.used++
		return s
	}
	t.next[i] = t.next[s.last]
	t.next[s.last] = i
	return s
}

// Push puts i at the front of the list of key. i must be in no list yet.
func (t *Table) Push(key uint64, i int32) { t.enter(key, i) }

// Append puts i at the end of the list of key. i must be in no list yet.
func (t *Table) Append(key uint64, i int32) { t.enter(key, i).last = i }

func (t *Table) grow() {
	old := t.slots
	t.slots = make([]slot, 2*len(old))
	for _, s := range old {
		if s.print != 0 {
			*t.at(s.print) = s
		}
	}
}

// All returns the list of key in its order. Nothing may be added meanwhile.
func (t *Table) All(key uint64) iter.Seq[int32] {
	return func(yield func(int32) bool) {
		last := t.last(key)
		if last < 0 {
			return
		}
		for i := t.next[last]; yield(i) && i != last; i = t.next[i] {
		}
	}
}
