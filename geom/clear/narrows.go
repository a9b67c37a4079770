package clear

import (
	"context"
	"math"

	"sluice/geom"
)

// Narrows returns the narrow runs of one part, whose rings are its outer
// outline (counter-clockwise) and its holes (clockwise): on side Waste the
// slots, notches and gaps narrower than limit (mm), on side Material the webs
// thinner than it. A width equal to the limit, to 1e-6 mm, is not narrow.
//
// A run is one connected narrow region; in material it is divided by the rings
// that face each other, one web between each two holes. What only rounds a
// corner is left out:
//
//   - a region whose sides nowhere face each other within 30 degrees of
//     parallel;
//   - the tip of a sharp corner, however acute, whose mouth lets the disc in;
//   - a taper that opens freely and whose blunt end is under a quarter of the
//     limit wide;
//   - a notch less deep than it is wide, and a bump of material standing out
//     less than the limit: these are details of the outline;
//   - waste between two corners that point at each other: the disc covers it
//     from both sides. Material between them is a web.
//
// The error is that of ctx. Rings that are not closed or cross give some
// answer, never a panic.
func Narrows(ctx context.Context, rings []Ring, side Side, limit float64) ([]Narrow, error) {
	if !(limit > 2*slack) || math.IsInf(limit, 0) {
		return nil, ctx.Err()
	}
	s := newShape(rings, side)
	defer s.done()
	from, err := s.suspects(ctx, limit)
	if err != nil || len(from) == 0 {
		return nil, err
	}
	f, err := newFlood(ctx, s, limit/2, from)
	if err != nil {
		return nil, err
	}
	defer f.done()
	return f.report(ctx, side)
}

// suspects returns the pieces that face another piece, or themselves, across
// less than limit, a few too many rather than one too few. Every narrow region
// that is more than a corner holds a disc whose touching radii span 120 degrees
// or more.
func (s *shape) suspects(ctx context.Context, limit float64) ([]int32, error) {
	hot := make([]bool, len(s.pieces))
	steps := 0
	ok := s.tree.Pairs(limit, func(i, j int32) bool { return s.faces[i].dirs&s.faces[j].facing == 0 }, func(i, j int32) bool {
		if steps++; steps%1024 == 0 && ctx.Err() != nil {
			return false
		}
		a, b := &s.tree.Nodes[i], &s.tree.Nodes[j]
		for i := a.Lo; i < a.Hi; i++ {
			opposite := facing(s.dirs[i])
			j := b.Lo
			if a == b {
				j = i
			}
			for ; j < b.Hi; j++ {
				if s.dirs[j]&opposite == 0 || hot[i] && hot[j] || !s.boxes[i].Within(s.boxes[j], limit) {
					continue
				}
				if s.mayFace(i, j, limit) {
					hot[i], hot[j] = true, true
				}
			}
		}
		return true
	})
	if !ok {
		return nil, ctx.Err()
	}
	var from []int32
	for i, h := range hot {
		if h {
			from = append(from, int32(i))
		}
	}
	return from, nil
}

// mayFace reports whether a disc of diameter limit or less may touch pieces i
// and j (or the vertices at their starts) with radii 120 degrees apart.
func (s *shape) mayFace(i, j int32, limit float64) bool {
	p, q := &s.pieces[i], &s.pieces[j]
	if i == j {
		if p.R == 0 {
			return false
		}
		return p.Sweep > 0 && 2*p.R < limit || p.Sweep < 0 && p.Sweep < -math.Pi ||
			s.fan(i)
	}
	if p.R == 0 && q.R == 0 {
		if s.next(i) == j {
			return s.adjacentMayFace(i, j, limit)
		}
		if s.next(j) == i {
			return s.adjacentMayFace(j, i, limit)
		}
	}
	if !s.inFront(i, s.boxes[j]) || !s.inFront(j, s.boxes[i]) {
		return false
	}
	if p.R > 0 && q.R > 0 && circlesApart(p, q) > limit+near {
		return false
	}
	if p.R > limit || q.R > limit {
		return s.arcsMayFace(i, j, limit)
	}
	return geom.PieceDist(p, q) < limit
}

// circlesApart returns how far the whole circles of two arcs are apart; 0 where they
// cross.
func circlesApart(p, q *geom.Piece) float64 {
	d := p.C.Dist(q.C)
	return max(0, d-p.R-q.R, math.Abs(p.R-q.R)-d)
}

// adjacentMayFace reports whether lines i and j, which follow each other, or
// the fans at their starts, may face each other.
func (s *shape) adjacentMayFace(i, j int32, limit float64) bool {
	if len(s.pieces) > 2 && s.next(j) != i {
		return s.turn[j] > 2*math.Pi/3-1e-3 ||
			s.fan(i) && s.turn[j] > 0 && s.pieces[j].Dist(s.pieces[i].A) < limit
	}
	return true
}

// inFront reports whether some of box b lies on the measured side of piece i.
func (s *shape) inFront(i int32, b geom.Box) bool {
	if s.fan(i) {
		return true
	}
	p := &s.pieces[i]
	if p.R == 0 {
		n := s.n0[i]
		c := b.Center().Sub(p.A)
		return n.Dot(c)+(math.Abs(n.X)*b.W()+math.Abs(n.Y)*b.H())/2 > near
	}
	if p.Sweep > 0 {
		return b.PointDist2(p.C) < p.R*p.R
	}
	dx := max(p.C.X-b.Min.X, b.Max.X-p.C.X)
	dy := max(p.C.Y-b.Min.Y, b.Max.Y-p.C.Y)
	return dx*dx+dy*dy > p.R*p.R
}

// arcsMayFace cuts arcs into spans of at most 30 degrees, so that stretches that
// are near each other and stretches that face each other are not mixed up.
func (s *shape) arcsMayFace(i, j int32, limit float64) bool {
	var is, js [14]part
	for _, a := range s.cutUp(is[:0], i) {
		for _, b := range s.cutUp(js[:0], j) {
			if facing(a.dirs)&b.dirs == 0 || !a.piece.Box().Within(b.piece.Box(), limit) {
				continue
			}
			if geom.PieceDist(&a.piece, &b.piece) < limit {
				return true
			}
		}
	}
	return false
}

// part is a stretch of a piece with its normals.
type part struct {
	piece geom.Piece
	dirs  uint64
}

func (s *shape) cutUp(dst []part, i int32) []part {
	p := s.pieces[i]
	if s.fan(i) {
		run := s.runs[s.ring[i]]
		dst = append(dst, part{geom.Line(p.A, p.A), sectors(s.n0[i], s.n1[s.prev(i, run)])})
	}
	if p.R == 0 {
		return append(dst, part{p, 1 << sector(s.n0[i])})
	}
	k := int(math.Ceil(math.Abs(p.Sweep) / (math.Pi / 6)))
	for m := range k {
		q := p.Sub(float64(m)/float64(k), float64(m+1)/float64(k))
		_, n0 := s.at(2*i+1, float64(m)/float64(k))
		_, n1 := s.at(2*i+1, float64(m+1)/float64(k))
		if p.Sweep < 0 {
			n0, n1 = n1, n0
		}
		dst = append(dst, part{q, sectors(n0, n1)})
	}
	return dst
}
