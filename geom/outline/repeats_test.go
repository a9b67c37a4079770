package outline

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
)

// span is a stretch of a carrier, by length along it.
type span struct{ lo, hi float64 }

// union returns the spans joined.
func union(in []span) (out []span) {
	in = slices.Clone(in)
	slices.SortFunc(in, func(a, b span) int { return cmp.Compare(a.lo, b.lo) })
	for _, s := range in {
		if n := len(out); n > 0 && s.lo <= out[n-1].hi+1e-3 {
			out[n-1].hi = max(out[n-1].hi, s.hi)
			continue
		}
		out = append(out, s)
	}
	return out
}

// TestRepeatsLeaveOneCopy draws stretches of one line, or of one circle, over
// each other: whole and partial, either way round, many-fold. What stays must
// cover exactly what was drawn, everywhere once. The union is worked out apart,
// by sorting numbers.
func TestRepeatsLeaveOneCopy(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 34))
	const radius = 40.0
	dir := geom.Polar(geom.Point{}, 1, 0.6)
	o := geom.Pt(1e5, -3e4)
	carriers := []struct {
		name  string
		piece func(s span) geom.Piece
		at    func(p geom.Point) float64
	}{
		{"line", func(s span) geom.Piece { return geom.Line(o.Add(dir.Mul(s.lo)), o.Add(dir.Mul(s.hi))) },
			func(p geom.Point) float64 { return p.Sub(o).Dot(dir) }},
		{"circle", func(s span) geom.Piece { return geom.Arc(o, radius, s.lo/radius, (s.hi-s.lo)/radius) },
			func(p geom.Point) float64 {
				a := p.Sub(o).Angle()
				if a < -1e-6 {
					a += 2 * math.Pi
				}
				return a * radius
			}},
	}
	for _, c := range carriers {
		for round := range 200 {
			var drawn []span
			var strokes []drawing.Stroke
			for range 2 + rng.IntN(12) {
				// Whole numbers of mm, so that ends meet as often as not.
				lo := float64(rng.IntN(200))
				s := span{lo, lo + float64(2+rng.IntN(30))}
				if rng.IntN(3) == 0 && len(drawn) > 0 {
					s = drawn[rng.IntN(len(drawn))]
				}
				drawn = append(drawn, s)
				p := c.piece(s)
				if rng.IntN(2) == 0 {
					p = p.Reverse()
				}
				strokes = append(strokes, drawing.Stroke{Piece: p, Entity: int32(len(strokes))})
			}
			sheet := build(t, strokes)
			var kept []span
			var total float64
			for _, path := range sheet.Open {
				for i, p := range path.Pieces {
					if path.Flags[i]&IsBridge != 0 {
						continue
					}
					mid, half := c.at(p.Mid()), p.Length()/2
					kept = append(kept, span{mid - half, mid + half})
					total += p.Length()
				}
			}
			want, got := union(drawn), union(kept)
			var length float64
			for _, s := range want {
				length += s.hi - s.lo
			}
			if math.Abs(total-length) > 1e-3 {
				t.Errorf("%s, round %d: %g mm stay of %g mm drawn\n%v", c.name, round, total, length, drawn)
				continue
			}
			if len(got) != len(want) {
				t.Errorf("%s, round %d: %v stay, want %v", c.name, round, got, want)
				continue
			}
			for k := range want {
				if math.Abs(got[k].lo-want[k].lo) > 1e-3 || math.Abs(got[k].hi-want[k].hi) > 1e-3 {
					t.Errorf("%s, round %d: %v stays, want %v", c.name, round, got[k], want[k])
				}
			}
		}
	}
}
