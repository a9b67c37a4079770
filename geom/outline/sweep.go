package outline

import (
	"cmp"
	"math"
	"slices"

	"github.com/google/btree"

	"sluice/geom"
)

// crowdedRays is how many pieces a ray may have to look at on average before
// sweepNest is used instead of rays.
const crowdedRays = 200

// strand is a piece, or a part of an arc, that runs one way along x.
type strand struct {
	x0, x1 float64
	piece  *geom.Piece
	upper  bool // of an arc: the part above the centre
	out    int32
	right  bool // travel runs to the right: the inside of a counter-clockwise outline lies above
	query  bool // a point, not a strand: at x0, y
	y      float64
}

// at returns the height of the strand at x.
func (s *strand) at(x float64) float64 {
	if s.query {
		return s.y
	}
	p := s.piece
	if p.R == 0 {
		return p.A.Y + (p.B.Y-p.A.Y)*(x-p.A.X)/(p.B.X-p.A.X)
	}
	d := x - p.C.X
	h := math.Sqrt(max(0, (p.R-d)*(p.R+d)))
	if s.upper {
		return p.C.Y + h
	}
	return p.C.Y - h
}

// under orders strands that stand over one x: it compares them in the middle of
// the stretch they have in common, so that the order does not change while both
// stand.
func under(a, b *strand) bool {
	x := (max(a.x0, b.x0) + min(a.x1, b.x1)) / 2
	if ya, yb := a.at(x), b.at(x); ya != yb {
		return ya < yb
	}
	if a.out != b.out {
		return a.out < b.out
	}
	return cmp.Or(cmp.Compare(a.x0, b.x0), cmp.Compare(a.x1, b.x1)) < 0
}

// strands appends the strands of a piece.
func strands(dst []*strand, p *geom.Piece, out int32) []*strand {
	if p.R == 0 {
		if p.A.X == p.B.X {
			return dst
		}
		return append(dst, &strand{x0: min(p.A.X, p.B.X), x1: max(p.A.X, p.B.X), piece: p, out: out, right: p.B.X > p.A.X})
	}
	// An arc turns back at the leftmost and rightmost point of its circle.
	cuts := []float64{0, 1}
	for _, d := range [2]geom.Point{{X: 1}, {X: -1}} {
		if p.SweepsOver(d) {
			cuts = append(cuts, p.ShareOf(d))
		}
	}
	slices.Sort(cuts)
	for k := range len(cuts) - 1 {
		if cuts[k+1]-cuts[k] < 1e-12 {
			continue
		}
		a, b, m := p.At(cuts[k]), p.At(cuts[k+1]), p.At((cuts[k]+cuts[k+1])/2)
		if a.X == b.X {
			continue
		}
		dst = append(dst, &strand{x0: min(a.X, b.X), x1: max(a.X, b.X), piece: p, upper: m.Y > p.C.Y, out: out, right: b.X > a.X})
	}
	return dst
}

// sweepNest answers for every outline what meet answers, for all at once: a line
// sweeps from left to right over the strands, kept in order of height (after
// Shamos and Hoey 1976). Its cost does not depend on how the strands crowd.
func sweepNest(outs []Outline) (hit []int32, inside []bool) {
	hit, inside = make([]int32, len(outs)), make([]bool, len(outs))
	var all []*strand
	for i := range outs {
		hit[i] = -1
		for k := range outs[i].Pieces {
			all = strands(all, &outs[i].Pieces[k], int32(i))
		}
	}
	type event struct {
		x    float64
		kind int8 // 0 a strand ends, 1 a strand begins, 2 a question
		s    *strand
	}
	events := make([]event, 0, 2*len(all)+len(outs))
	for _, s := range all {
		events = append(events, event{s.x0, 1, s}, event{s.x1, 0, s})
	}
	for i := range outs {
		if p, ok := lowAt(&outs[i]); ok {
			events = append(events, event{p.X, 2, &strand{x0: p.X, x1: p.X, query: true, y: p.Y, out: int32(i)}})
		}
	}
	slices.SortFunc(events, func(a, b event) int {
		return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.kind, b.kind), cmp.Compare(a.s.out, b.s.out), cmp.Compare(a.s.x1, b.s.x1))
	})
	standing := btree.NewG(32, under)
	for _, e := range events {
		switch e.kind {
		case 0:
			standing.Delete(e.s)
		case 1:
			standing.ReplaceOrInsert(e.s)
		default:
			standing.DescendLessOrEqual(e.s, func(s *strand) bool {
				if s.out == e.s.out || s.x1 < e.x {
					return true
				}
				hit[e.s.out], inside[e.s.out] = s.out, s.right
				return false
			})
		}
	}
	return hit, inside
}
