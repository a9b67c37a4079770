package outline

import (
	"context"
	"math/rand/v2"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
)

// BenchmarkBuild joins sheets of random parts: as drawn, and with gaps, repeats
// and lines that run past each other.
func BenchmarkBuild(b *testing.B) {
	for _, tt := range []struct {
		name  string
		parts int
		flaws bool
	}{{"clean=300", 300, false}, {"clean=3000", 3000, false}, {"flawed=300", 300, true}, {"flawed=3000", 3000, true}} {
		b.Run(tt.name, func(b *testing.B) {
			rng := rand.New(rand.NewPCG(3, 7))
			var strokes []drawing.Stroke
			add := func(p geom.Path, at geom.Transform) {
				for _, q := range p.Transform(at) {
					if tt.flaws && !q.IsCircle() {
						switch rng.IntN(25) {
						case 0:
							q = q.Sub(0, 1-0.3/max(1, q.Length()))
						case 1:
							q = q.Sub(0.1, 0.9)
						case 2:
							strokes = append(strokes, drawing.Stroke{Piece: q, Entity: int32(len(strokes))})
						}
					}
					strokes = append(strokes, drawing.Stroke{Piece: q, Entity: int32(len(strokes))})
				}
			}
			for i := range tt.parts {
				outer, holes := geomtest.RandomPart(rng)
				at := geom.Shift(geomtest.Grid(tt.parts, i, 150))
				add(outer, at)
				for _, h := range holes {
					add(h, at)
				}
			}
			b.ReportAllocs()
			b.ResetTimer()
			for b.Loop() {
				o := testOptions
				o.Workers = 1
				if _, err := Build(context.Background(), strokes, cutAll, o); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
