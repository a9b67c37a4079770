package mend_test

import (
	"bytes"
	"context"
	"math/rand/v2"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// bigKit is random kits side by side, with flaws, of about n parts.
func bigKit(n int) []byte {
	rng := rand.New(rand.NewPCG(300, 1))
	all := &geomtest.Kit{}
	for y := 0.0; len(all.Parts) < n; {
		k := geomtest.RandomKit(rng)
		box := geom.NoBox()
		for _, p := range k.Parts {
			box = box.Union(p.Outer.Box())
		}
		place := geom.Shift(geom.Pt(-box.Min.X, y-box.Min.Y))
		y += box.H() + 30
		for _, p := range k.Parts {
			p.Outer = p.Outer.Transform(place)
			for i := range p.Holes {
				p.Holes[i] = p.Holes[i].Transform(place)
			}
			all.Parts = append(all.Parts, p)
		}
	}
	return all.Flaw(rng).DXF
}

// BenchmarkFix repairs a clean sheet of 300 plates of 40 entities each, and a kit
// of 300 parts full of flaws.
func BenchmarkFix(b *testing.B) {
	var plates bytes.Buffer
	if err := geomtest.WriteSheet(&plates, 300); err != nil {
		b.Fatal(err)
	}
	for _, bm := range []struct {
		name string
		data []byte
	}{{"plates", plates.Bytes()}, {"flawed kit", bigKit(300)}} {
		b.Run(bm.name, func(b *testing.B) {
			b.SetBytes(int64(len(bm.data)))
			for b.Loop() {
				rep, _, err := mend.Fix(context.Background(), "kit", bytes.NewReader(bm.data), job.Default(), mend.Options{Options: lint.Options{Rules: rules.All()}})
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(len(rep.After.Sheet.Parts)), "parts")
				b.ReportMetric(float64(len(rep.Edits)), "edits")
			}
		})
	}
}
