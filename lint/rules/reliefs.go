package rules

import (
	"math"
	"sort"

	"sluice/fix/fit/side"
	"sluice/geom"
	"sluice/geom/clear"
	"sluice/lint"
)

// relief is an inside corner opened into the material, so that a square mate
// goes right in: part of the slot or tab it stands at.
type relief struct {
	ring  int32      // of its part
	first int        // its first piece
	count int        // number of its pieces
	at    geom.Point // where the walls would meet
	box   geom.Box   // of its pieces and at
	size  float64    // radius of a round one, else width, mm
	round bool
}

// reliefsOf returns the reliefs on a ring.
func reliefsOf(path geom.Path, ring int32) []relief {
	var out []relief
	sides := side.Of(path, side.DefaultLimits())
	for i := range sides {
		s := &sides[i]
		if !s.Relief {
			continue
		}
		r := relief{ring: ring, first: s.After, count: s.Gap, at: s.B, box: geom.BoxOf(s.B), size: math.Inf(1)}
		u, v := s.U, sides[(i+1)%len(sides)].U
		du, dv := [2]float64{}, [2]float64{} // how far it reaches along the walls
		for k := range s.Gap {
			p := &path[(s.After+k)%len(path)]
			r.box = r.box.Union(p.Box())
			if p.R > 0 && p.Sweep < 0 {
				r.round = true
				r.size = min(r.size, p.R)
			}
			for _, q := range [2]geom.Point{p.A, p.B} {
				d := q.Sub(s.B)
				du[0], du[1] = min(du[0], d.Dot(u)), max(du[1], d.Dot(u))
				dv[0], dv[1] = min(dv[0], d.Dot(v)), max(dv[1], d.Dot(v))
			}
		}
		if !r.round {
			r.size = min(du[1]-du[0], dv[1]-dv[0])
		}
		out = append(out, r)
	}
	return out
}

// reliefs are those of a part.
type reliefs struct {
	all []relief
	of  map[ringPiece]int // index in all, by each of their pieces
}

// ringPiece names a piece of a part.
type ringPiece struct{ ring, piece int32 }

// partReliefs returns the reliefs on all rings of part k.
func partReliefs(p *lint.Pass, k int) reliefs {
	rs := reliefs{of: map[ringPiece]int{}}
	for i, r := range p.Rings(k) {
		for _, q := range reliefsOf(r.Path, int32(i)) {
			for n := range q.count {
				rs.of[ringPiece{q.ring, int32((q.first + n) % len(r.Path))}] = len(rs.all)
			}
			rs.all = append(rs.all, q)
		}
	}
	return rs
}

// along reports whether a narrow run goes past a relief.
func (rs *reliefs) along(n *clear.Narrow) bool {
	box := n.Box.Inflate(n.Width)
	i := sort.Search(len(rs.all), func(i int) bool { return rs.all[i].ring >= n.RingA })
	for ; i < len(rs.all) && rs.all[i].ring == n.RingA; i++ {
		if box.Contains(rs.all[i].at) {
			return true
		}
	}
	return false
}

// holds reports whether a narrow run lies within a relief alone.
func (rs *reliefs) holds(n *clear.Narrow) bool {
	for _, at := range [2]ringPiece{{n.RingA, n.PieceA}, {n.RingB, n.PieceB}} {
		if i, ok := rs.of[at]; ok && rs.all[i].holds(n) {
			return true
		}
	}
	return false
}

func (r *relief) holds(n *clear.Narrow) bool {
	box := r.box.Inflate(n.Width / 2)
	return n.RingA == r.ring && n.RingB == r.ring && box.Contains(n.At) && box.Contains(n.A) && box.Contains(n.B) &&
		n.Length <= r.box.Diagonal()+n.Width
}

// crossed returns the holes that cross another outline or themselves, which is
// worse than what else may be wrong with them.
func crossed(p *lint.Pass) map[int32]bool {
	at := map[int32]bool{}
	for i := range p.Sheet.Crossings {
		for _, s := range p.Sheet.Crossings[i].Strokes {
			at[s] = true
		}
	}
	of := map[int32]bool{}
	for k := range p.Sheet.Parts {
		for _, h := range p.Sheet.Parts[k].Holes {
			for _, s := range p.Sheet.Outlines[h].Src {
				of[h] = of[h] || at[s]
			}
		}
	}
	return of
}
