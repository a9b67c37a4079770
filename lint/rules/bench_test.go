package rules_test

import (
	"bytes"
	"context"
	"fmt"
	"testing"

	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/rules"
)

// BenchmarkLint reads and judges sheets of 10^3 to 10^6 entities: the whole of
// lint but the report. Figures are in DEVELOPERS.md.
func BenchmarkLint(b *testing.B) {
	for _, parts := range []int{25, 250, 2500, 25000} {
		b.Run(fmt.Sprintf("entities=%d", parts*geomtest.EntitiesPerPart), func(b *testing.B) {
			var sheet bytes.Buffer
			if err := geomtest.WriteSheet(&sheet, parts); err != nil {
				b.Fatal(err)
			}
			b.SetBytes(int64(sheet.Len()))
			b.ReportAllocs()
			for b.Loop() {
				r := lint.Check(context.Background(), "sheet", bytes.NewReader(sheet.Bytes()), job.Default(), lint.Options{Rules: rules.All()})
				if r.Err != nil || len(r.Sheet.Parts) != parts {
					b.Fatal(r.Err)
				}
			}
		})
	}
}
