package clear

import (
	"cmp"
	"context"
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/index"
)

// Between returns the smallest distance between two outlines and the points
// where it is taken, if it is below limit (mm); ok is false otherwise. Outlines
// that meet are 0 apart. Only the lines count: an outline inside another is as
// far from it as its nearest point of the line.
func Between(a, b geom.Path, limit float64) (dist float64, pa, pb geom.Point, ok bool) {
	if len(a) == 0 || len(b) == 0 || a.Box().Dist(b.Box()) >= limit {
		return 0, pa, pb, false
	}
	t := index.PathTree(a)
	best := math.Inf(1)
	if !math.IsInf(limit, 1) {
		best = limit
	}
	for j := range b {
		bb := b[j].Box()
		t.Closer(bb, func() float64 { return best }, func(i int32) {
			if d, p, q := geom.NearestPoints(&t.Pieces[i], &b[j]); d < best {
				best, pa, pb, ok = d, p, q, true
			}
		})
	}
	if !ok {
		return 0, pa, pb, false
	}
	return best, pa, pb, true
}

// Pair is two parts that are nearer to each other than a limit.
type Pair struct {
	I, J int        // the parts, I < J
	Dist float64    // smallest distance, mm; 0 where they meet
	A, B geom.Point // where it is taken, on I and on J
}

// CloseParts returns, for every two parts whose outlines come nearer than limit
// (mm), their smallest distance. rings holds the outlines of all parts, holes
// too, so that a part lying in a hole of another is measured against that hole;
// part tells the part of each ring. Pairs are sorted by I, then J. It stops
// early, with what was found by then, when ctx ends.
func CloseParts(ctx context.Context, rings []Ring, part []int32, limit float64) []Pair {
	if !(limit > 0) {
		return nil
	}
	rings, owner := ringsInReach(rings, part, limit)
	if len(rings) < 2 {
		return nil
	}
	s := newScene(rings, owner, limit)
	best := map[[2]int32]Pair{}
	s.nearPairs(ctx, func(i, j int32) {
		p, q := s.owner[i], s.owner[j]
		if p > q {
			p, q, i, j = q, p, j, i
		}
		have, ok := best[[2]int32{p, q}]
		bound := limit
		if ok {
			bound = have.Dist
		}
		if s.Boxes[i].Dist(s.Boxes[j]) >= bound || farApart(&s.Pieces[i], &s.Pieces[j], bound) {
			return
		}
		if d, a, b := geom.NearestPoints(&s.Pieces[i], &s.Pieces[j]); d < bound {
			best[[2]int32{p, q}] = Pair{int(p), int(q), d, s.back.Apply(a), s.back.Apply(b)}
		}
	})
	out := make([]Pair, 0, len(best))
	for _, p := range best {
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b Pair) int { return cmp.Or(cmp.Compare(a.I, b.I), cmp.Compare(a.J, b.J)) })
	return out
}

// ringsInReach keeps the rings of those parts whose box comes within limit of
// another part's; in most drawings few do.
func ringsInReach(rings []Ring, part []int32, limit float64) ([]Ring, []int32) {
	parts := int32(-1)
	for _, p := range part {
		parts = max(parts, p)
	}
	boxes := make([]geom.Box, parts+1)
	for i := range boxes {
		boxes[i] = geom.NoBox()
	}
	for i := range rings {
		boxes[part[i]] = boxes[part[i]].Union(rings[i].Box)
	}
	t := index.NewTree(boxes)
	near := make([]bool, len(boxes))
	for i := range boxes {
		if near[i] || boxes[i].Empty() {
			continue
		}
		t.In(boxes[i].Inflate(limit), func(j int32) bool {
			if int(j) != i {
				near[i], near[j] = true, true
			}
			return !near[i]
		})
	}
	var rs []Ring
	var owner []int32
	for i := range rings {
		if near[part[i]] {
			rs, owner = append(rs, rings[i]), append(owner, part[i])
		}
	}
	return rs, owner
}
