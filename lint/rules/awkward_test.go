package rules_test

import (
	"context"
	"fmt"
	"testing"

	"sluice/geom/drawing"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/rules"
)

func drawingOf(a geomtest.Awkward) *drawing.Drawing {
	d := &drawing.Drawing{InsUnits: 4, Measurement: 1, Layers: []drawing.Layer{{Name: "0"}}, Unit: drawing.Unit{Name: "mm", Factor: 1, Basis: "header"}}
	for i, p := range a.Pieces {
		d.Entities = append(d.Entities, drawing.Entity{Type: "LINE", Handle: uint64(i + 1), Color: 256, Place: int32(i + 1), Kept: true})
		d.Strokes = append(d.Strokes, drawing.Stroke{Piece: p, Entity: int32(i)})
	}
	return d
}

// TestAwkward checks that awkward drawings are judged rightly.
func TestAwkward(t *testing.T) {
	want := map[string]func(*lint.Result) error{
		"star": func(r *lint.Result) error {
			if n := len(r.Sheet.Crossings); n != 1 {
				return fmt.Errorf("%d crossings, want 1", n)
			}
			return nil
		},
		"copies": func(r *lint.Result) error {
			if n := len(r.Sheet.Overlaps); n != 999 {
				return fmt.Errorf("%d repeats, want 999", n)
			}
			return nil
		},
		"one outline": func(r *lint.Result) error {
			if c := r.Counts(); c.Parts != 1 || c.Holes != 0 || len(r.Sheet.Open) != 0 {
				return fmt.Errorf("%+v", c)
			}
			return nil
		},
		"holes": func(r *lint.Result) error {
			if c := r.Counts(); c.Parts != 1 || c.Holes != 31*31 {
				return fmt.Errorf("%+v", c)
			}
			return nil
		},
		"rings": func(r *lint.Result) error {
			if c := r.Counts(); c.Parts != 500 || c.Holes != 500 {
				return fmt.Errorf("%+v", c)
			}
			return nil
		},
	}
	for _, a := range geomtest.Awkwards(1000) {
		r, err := lint.Judge(context.Background(), a.Name, drawingOf(a), job.Default(), lint.Options{Rules: rules.All()})
		if err != nil {
			t.Fatal(err)
		}
		if err := want[a.Name](r); err != nil {
			t.Errorf("%s: %v", a.Name, err)
		}
	}
}

// BenchmarkAwkward judges awkward drawings of 10^4 and 10^5 pieces beside an
// ordinary sheet of the same size (BenchmarkLint).
func BenchmarkAwkward(b *testing.B) {
	for _, n := range []int{1e4, 1e5} {
		for _, a := range geomtest.Awkwards(n) {
			d := drawingOf(a)
			b.Run(fmt.Sprintf("%s/%d", a.Name, n), func(b *testing.B) {
				for b.Loop() {
					if _, err := lint.Judge(context.Background(), a.Name, d, job.Default(), lint.Options{Rules: rules.All()}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
