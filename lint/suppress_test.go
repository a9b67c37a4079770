package lint

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/lint/job"
)

func TestSuppress(t *testing.T) {
	found := []Finding{
		{Rule: "thin-web", Part: "1", Layer: "grille-a"}, {Rule: "thin-web", Part: "2", Layer: "0"},
		{Rule: "small-hole", Part: "1", Layer: "GRILLE"}, {Rule: "small-hole", Part: "3", Layer: "0"},
	}
	tests := []struct {
		name     string
		suppress []job.Suppression
		left     []string
		accepted []int
	}{
		{"none", nil, []string{"thin-web 1", "thin-web 2", "small-hole 1", "small-hole 3"}, nil},
		{"a rule", []job.Suppression{{Rule: "thin-web"}}, []string{"small-hole 1", "small-hole 3"}, []int{2}},
		{"a layer in any case", []job.Suppression{{Layer: "grille*"}}, []string{"thin-web 2", "small-hole 3"}, []int{2}},
		{"all that is said must hold", []job.Suppression{{Rule: "small-hole", Part: "1"}}, []string{"thin-web 1", "thin-web 2", "small-hole 3"}, []int{1}},
		{"one that means nothing", []job.Suppression{{Part: "9"}, {Part: "3"}}, []string{"thin-web 1", "thin-web 2", "small-hole 1"}, []int{0, 1}},
		{"two that mean the same", []job.Suppression{{Part: "3"}, {Rule: "small-hole"}}, []string{"thin-web 1", "thin-web 2"}, []int{1, 2}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			left, accepted := suppress(append([]Finding(nil), found...), &job.Job{Suppress: tt.suppress})
			var got []string
			for _, f := range left {
				got = append(got, f.Rule+" "+f.Part)
			}
			if d := cmp.Diff(tt.left, got); d != "" {
				t.Error(d)
			}
			if d := cmp.Diff(tt.accepted, accepted); d != "" {
				t.Error(d)
			}
		})
	}
}
