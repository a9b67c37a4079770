package outline

import "slices"

// danglesWithin returns the segs, ascending, that lie on no ring made of segs
// of their own group alone, group by group. Segs of group -1 stay.
func (b *builder) danglesWithin(segs []int32, group func(int32) int32) []int32 {
	type place struct{ group, node int32 }
	at := map[place][]int32{} // segs there
	for _, s := range segs {
		if g := group(s); g >= 0 {
			at[place{g, b.segs[s].n0}] = append(at[place{g, b.segs[s].n0}], s)
			at[place{g, b.segs[s].n1}] = append(at[place{g, b.segs[s].n1}], s)
		}
	}
	left := map[place]int{}
	var leaves []place
	for p, list := range at {
		left[p] = len(list)
		if len(list) == 1 {
			leaves = append(leaves, p)
		}
	}
	gone := map[int32]bool{}
	for len(leaves) > 0 {
		p := leaves[len(leaves)-1]
		leaves = leaves[:len(leaves)-1]
		for _, s := range at[p] {
			if gone[s] || left[p] != 1 {
				continue
			}
			gone[s] = true
			for _, n := range [2]int32{b.segs[s].n0, b.segs[s].n1} {
				q := place{p.group, n}
				if left[q]--; left[q] == 1 {
					leaves = append(leaves, q)
				}
			}
		}
	}
	out := make([]int32, 0, len(gone))
	for s := range gone {
		out = append(out, s)
	}
	slices.Sort(out)
	return out
}

// trails lays segs out in paths of half-segments, each seg once, that part where
// more than two of the segs meet, so that every path runs on from piece to piece.
func (b *builder) trails(segs []int32) [][]int32 {
	at := map[int32][]int32{} // node -> halves that start there
	for _, s := range segs {
		at[b.segs[s].n0] = append(at[b.segs[s].n0], 2*s)
		at[b.segs[s].n1] = append(at[b.segs[s].n1], 2*s+1)
	}
	used := map[int32]bool{}
	walk := func(h int32) []int32 {
		var out []int32
		for h >= 0 && !used[h/2] {
			used[h/2] = true
			out = append(out, h)
			hs := at[b.nodeOf(h^1)]
			if len(hs) != 2 {
				break
			}
			if hs[0] == h^1 {
				h = hs[1]
			} else {
				h = hs[0]
			}
		}
		return out
	}
	var out [][]int32
	for _, s := range segs { // from ends and forks first; what is left then is rings
		for _, h := range [2]int32{2 * s, 2*s + 1} {
			if !used[s] && len(at[b.nodeOf(h)]) != 2 {
				out = append(out, walk(h))
			}
		}
	}
	for _, s := range segs {
		if !used[s] {
			out = append(out, walk(2*s))
		}
	}
	return out
}
