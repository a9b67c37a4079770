package rules_test

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"

	"sluice/geom"
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

// TestManyNotches: choices are offered for each of thousands of notches of one outline
// without going over the outline for each.
func TestManyNotches(t *testing.T) {
	const n = 3000
	var d geomtest.Drafter
	at := geom.Pt(0, 60)
	to := func(x, y float64) {
		d.Piece(geom.Line(at, geom.Pt(x, y)), 0)
		at = geom.Pt(x, y)
	}
	for k := range n {
		x := 5 + 2.2*float64(k)
		to(x, 60)
		to(x, 50)
		to(x+0.6, 50)
		to(x+0.6, 60)
	}
	to(2.2*n+10, 60)
	to(2.2*n+10, 0)
	to(0, 0)
	to(0, 60)
	r := lint.Check(t.Context(), "notches", bytes.NewReader(d.Bytes()), job.Default(), lint.Options{Rules: rules.All()})
	if r.Err != nil {
		t.Fatal(r.Err)
	}
	ops, told := 0, 0
	for i := range r.Findings {
		for _, w := range r.Findings[i].Choices {
			if w.Name == "widen" && w.Worse && strings.Contains(w.Words, "web 1.3") { // 1.6 mm less what the walls move
				told++
			}
			for _, e := range w.Edits("narrow-slot") {
				ops += len(e.Ops)
			}
		}
	}
	if ops > 40*n { // where the whole outline is drawn anew for each, thousands of times as many
		t.Errorf("%d changes", ops)
	}
	if told != n {
		t.Errorf("that the web becomes too thin is told of %d choices", told)
	}
	if ops < 10*n {
		t.Errorf("only %d changes are offered", ops)
	}
}
