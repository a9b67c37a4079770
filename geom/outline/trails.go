package outline

import "slices"

// danglesWithin returns the segs, ascending, that lie on no ring made of segs
// of their own group alone, group by group. Segs of group -1 stay.
func (b *builder) danglesWithin(segs []segID, group func(segID) int32) []segID {
	type place struct {
		group int32
		node  nodeID
	}
	at := map[place][]segID{} // segs there
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
	gone := map[segID]bool{}
	for len(leaves) > 0 {
		p := leaves[len(leaves)-1]
		leaves = leaves[:len(leaves)-1]
		for _, s := range at[p] {
			if gone[s] || left[p] != 1 {
				continue
			}
			gone[s] = true
			for _, n := range [2]nodeID{b.segs[s].n0, b.segs[s].n1} {
				q := place{p.group, n}
				if left[q]--; left[q] == 1 {
					leaves = append(leaves, q)
				}
			}
		}
	}
	out := make([]segID, 0, len(gone))
	for s := range gone {
		out = append(out, s)
	}
	slices.Sort(out)
	return out
}

// trails lays segs out in paths of half-segments, each seg once, that part where
// more than two of the segs meet, so that every path runs on from piece to piece.
func (b *builder) trails(segs []segID) [][]halfID {
	at := map[nodeID][]halfID{} // node -> halves that start there
	for _, s := range segs {
		at[b.segs[s].n0] = append(at[b.segs[s].n0], s.ahead())
		at[b.segs[s].n1] = append(at[b.segs[s].n1], s.back())
	}
	used := map[segID]bool{}
	walk := func(h halfID) []halfID {
		var out []halfID
		for h >= 0 && !used[h.seg()] {
			used[h.seg()] = true
			out = append(out, h)
			hs := at[b.nodeOf(h.twin())]
			if len(hs) != 2 {
				break
			}
			if hs[0] == h.twin() {
				h = hs[1]
			} else {
				h = hs[0]
			}
		}
		return out
	}
	var out [][]halfID
	for _, s := range segs { // from ends and forks first; what is left then is rings
		for _, h := range s.halfs() {
			if !used[s] && len(at[b.nodeOf(h)]) != 2 {
				out = append(out, walk(h))
			}
		}
	}
	for _, s := range segs {
		if !used[s] {
			out = append(out, walk(s.ahead()))
		}
	}
	return out
}
