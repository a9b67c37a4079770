package index

// Sets are disjoint sets of the numbers 0 to len-1 (union-find with path halving;
// a step takes logarithmic time at worst and next to none on average). The lowest
// number of a set stands for it, so that the outcome does not depend on the order
// in which sets are made one. Find shortens paths: it writes.
type Sets[I ~int32] []I

// NewSets returns n sets of one number each.
func NewSets[I ~int32](n int) Sets[I] {
	s := make(Sets[I], n)
	for i := range s {
		s[i] = I(i)
	}
	return s
}

// Add adds a set of one new number, and returns that.
func (s *Sets[I]) Add() I {
	i := I(len(*s))
	*s = append(*s, i)
	return i
}

// Find returns the lowest number of the set that holds i.
func (s Sets[I]) Find(i I) I {
	for s[i] != i {
		s[i] = s[s[i]]
		i = s[i]
	}
	return i
}

// Union makes the sets of i and j one. It returns false where they were one.
func (s Sets[I]) Union(i, j I) bool {
	i, j = s.Find(i), s.Find(j)
	if i == j {
		return false
	}
	s[max(i, j)] = min(i, j)
	return true
}

// Same reports whether i and j are in one set.
func (s Sets[I]) Same(i, j I) bool { return s.Find(i) == s.Find(j) }

// Groups returns the numbers of each set, ascending, sets in the order of their
// lowest. It takes linear time and three slices for all of them.
func (s Sets[I]) Groups() [][]I {
	count := make([]int32, len(s))
	sets := 0
	for i := range s {
		r := s.Find(I(i))
		if r == I(i) {
			sets++
		}
		count[r]++
	}
	out := make([][]I, 0, sets)
	flat := make([]I, len(s))
	for i := range s {
		r := s[i] // the lowest number, since Find went through all in order
		if r == I(i) {
			n := count[i]
			out = append(out, flat[:0:n])
			flat = flat[n:]
			count[i] = int32(len(out)) - 1 // from here on: which group it is
		}
		k := count[r]
		out[k] = append(out[k], I(i))
	}
	return out
}
