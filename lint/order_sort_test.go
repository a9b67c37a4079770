package lint

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

// TestSortFindings: findings come in the order that a stable sort gives, whatever order
// they were found in; those that compare equal keep theirs.
func TestSortFindings(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := range 60 {
		all := make([]Finding, n)
		for i := range all {
			all[i] = Finding{Rule: string(rune('a' + r.IntN(3))), At: geom.Pt(float64(r.IntN(3)), float64(r.IntN(3))), ID: string(rune('A' + i))}
		}
		want := slices.Clone(all)
		slices.SortStableFunc(want, func(a, b Finding) int {
			switch {
			case a.Rule != b.Rule:
				return map[bool]int{true: -1, false: 1}[a.Rule < b.Rule]
			case a.At.Y != b.At.Y:
				return int(b.At.Y - a.At.Y)
			}
			return int(a.At.X - b.At.X)
		})
		SortFindings(all)
		if diff := cmp.Diff(want, all); diff != "" {
			t.Fatalf("%d findings: %s", n, diff)
		}
	}
}
