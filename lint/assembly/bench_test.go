package assembly_test

import (
	"bytes"
	"os"
	"testing"

	"sluice/lint"
	"sluice/lint/assembly"
	"sluice/lint/job"
	"sluice/lint/rules"
)

// BenchmarkDemo rebuilds the demo kit as lint does.
func BenchmarkDemo(b *testing.B) {
	data, err := os.ReadFile("../../fixtures/harbour-crane-clean.dxf")
	if err != nil {
		b.Fatal(err)
	}
	r := lint.Check(b.Context(), "crane", bytes.NewReader(data), job.Default(), lint.Options{Rules: rules.All(), Plain: true})
	if r.Err != nil {
		b.Fatal(r.Err)
	}
	b.Run("whole", func(b *testing.B) {
		for b.Loop() {
			assembly.Of(r.Kit())
		}
	})
	b.Run("soon", func(b *testing.B) {
		for b.Loop() {
			assembly.Brief(r.Kit())
		}
	})
}
