package outline

import (
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
)

// TestSweepNest holds the sweep against the rays on parts with holes, nested
// parts and arcs.
func TestSweepNest(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for round := range 20 {
		var strokes []drawing.Stroke
		add := func(p geom.Path, tr geom.Transform) {
			for _, q := range p.Transform(tr) {
				strokes = append(strokes, drawing.Stroke{Piece: q})
			}
		}
		const n = 12
		for i := range n {
			outer, holes := geomtest.RandomPart(rng)
			at := geom.Shift(geomtest.Grid(n, i, 500))
			add(outer, at)
			for _, h := range holes {
				add(h, at)
				// A smaller copy of the hole within it is a part again.
				c := h.Centroid()
				shrink := geom.Shift(c.Mul(-1)).Then(geom.Scaling(0.3)).Then(geom.Shift(c)).Then(at)
				if in := h.Contains(c); in {
					add(h, shrink)
				}
			}
		}
		s := build(t, strokes)
		l := newLocator(s.Outlines, 0.001)
		hit, inside := sweepNest(s.Outlines)
		for i := range s.Outlines {
			start, ok := lowAt(&s.Outlines[i])
			if !ok {
				t.Fatal("an outline without a lowest point")
			}
			h, in := l.meet(start, int32(i))
			// The sweep runs before holes are turned round; here they already are.
			if h >= 0 && s.Outlines[h].Hole() {
				in = !in
			}
			if hit[i] >= 0 && s.Outlines[hit[i]].Hole() {
				inside[i] = !inside[i]
			}
			if d := cmp.Diff([]any{h, in}, []any{hit[i], inside[i]}); d != "" {
				t.Errorf("round %d, outline %d (-ray +sweep):\n%s", round, i, d)
			}
		}
	}
}
