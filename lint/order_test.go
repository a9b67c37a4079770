package lint

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint/job"
)

// TestFindingsInReadingOrder: by rule, then from the top down, from left to right,
// then by what is said; however they were found.
func TestFindingsInReadingOrder(t *testing.T) {
	want := []Finding{
		{Rule: "a", At: geom.Pt(5, 9)},
		{Rule: "a", At: geom.Pt(-1, 3)},
		{Rule: "a", At: geom.Pt(7, 3), Message: "one"},
		{Rule: "a", At: geom.Pt(7, 3), Message: "two"},
		{Rule: "a", At: geom.Pt(0, -2)},
		{Rule: "b", At: geom.Pt(0, 20)},
		{Rule: "b", At: geom.Pt(0, 1)},
	}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		got := append([]Finding(nil), want...)
		rng.Shuffle(len(got), func(i, k int) { got[i], got[k] = got[k], got[i] })
		SortFindings(got)
		if d := cmp.Diff(want, got); d != "" {
			t.Fatal(d)
		}
	}
	// The same comes out of a check, whatever a rule reports first.
	var d geomtest.Drafter
	d.Piece(geom.Circle(geom.Pt(0, 0), 50), 0)
	rule := &Rule{ID: "r", Severity: Note, Check: func(p *Pass) {
		for _, at := range []geom.Point{{X: 0, Y: -2}, {X: 7, Y: 3}, {X: 5, Y: 9}, {X: -1, Y: 3}} {
			p.Report(Finding{At: at, Message: "here"})
		}
	}}
	r := Check(t.Context(), "disc", bytes.NewReader(d.Bytes()), job.Default(), Options{Rules: []*Rule{rule}})
	var at []geom.Point
	for _, f := range r.Findings {
		at = append(at, f.At)
	}
	if d := cmp.Diff([]geom.Point{{X: 5, Y: 9}, {X: -1, Y: 3}, {X: 7, Y: 3}, {X: 0, Y: -2}}, at); d != "" {
		t.Error(d)
	}
}

// TestNumbersTellSizesApart: parts share a number where they differ by no more than
// a cut does, and not where they differ by what a hand can feel.
func TestNumbersTellSizesApart(t *testing.T) {
	for _, tt := range []struct {
		more float64 // mm by which the second plate is longer
		same bool
	}{{0, true}, {0.01, true}, {0.05, false}, {0.2, false}, {0.5, false}} {
		for _, turned := range []bool{false, true} {
			var d geomtest.Drafter
			rect := func(x, w, h float64) {
				c := [4]geom.Point{geom.Pt(x, 0), geom.Pt(x+w, 0), geom.Pt(x+w, h), geom.Pt(x, h)}
				for i := range c {
					d.Piece(geom.Line(c[i], c[(i+1)%4]), 0)
				}
			}
			rect(0, 60, 40)
			if turned {
				rect(100, 40, 60+tt.more)
			} else {
				rect(100, 60+tt.more, 40)
			}
			r := Check(t.Context(), "plates", bytes.NewReader(d.Bytes()), job.Default(), Options{})
			if r.Err != nil || len(r.Sheet.Parts) != 2 {
				t.Fatalf("%v, %d parts", r.Err, len(r.Sheet.Parts))
			}
			if same := r.Sheet.Parts[0].Number == r.Sheet.Parts[1].Number; same != tt.same {
				t.Errorf("%g mm longer, turned %v: one number for both is %v", tt.more, turned, same)
			}
		}
	}
}

func TestReadingOrderIsAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 30).Draw(t, "n")
		fs := make([]Finding, n)
		for i := range fs {
			// Places that differ by less than is written must not disturb the order.
			at := geom.Pt(float64(rapid.IntRange(0, 3).Draw(t, "x")), float64(rapid.IntRange(0, 3).Draw(t, "y"))+rapid.SampledFrom([]float64{0, 1e-9, -1e-9}).Draw(t, "jitter"))
			fs[i] = Finding{Rule: rapid.SampledFrom([]string{"a", "b"}).Draw(t, "rule"), At: at}
		}
		got := ReadingOrder(fs)
		if !slices.IsSortedFunc(got, func(a, b Finding) int {
			switch {
			case a.Rule != b.Rule:
				return strings.Compare(a.Rule, b.Rule)
			case Written(a.At.Y) != Written(b.At.Y):
				return int(math.Copysign(1, Written(b.At.Y)-Written(a.At.Y)))
			}
			return int(Written(a.At.X) - Written(b.At.X))
		}) {
			t.Fatalf("not sorted: %+v", got)
		}
	})
}

func TestNaturalOrder(t *testing.T) {
	got := []string{"10", "2", "A10", "1", "A2", "01", "B", "", "2b", "99999999999999999999999", "3"}
	slices.SortStableFunc(got, CompareNames)
	want := []string{"", "1", "01", "2", "2b", "3", "10", "99999999999999999999999", "A2", "A10", "B"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}
