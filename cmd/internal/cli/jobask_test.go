package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom/geomtest"
	"sluice/lint/job"
)

// TestJobAsk answers the questions as people do, wrong at first, and reads the job
// file that is written.
func TestJobAsk(t *testing.T) {
	type shop struct {
		Size                   []float64
		Material               string
		Thickness, Kerf, Pitch float64
		Along                  string
	}
	for _, tt := range []struct {
		name    string
		answers []string
		want    *shop // nil: nothing is written
		told    []string
	}{
		{"all as offered", []string{"", "", "", "4.7", "", "", ""}, &shop{[]float64{1250, 2500}, "", 4.7, 1, 50, "x"}, nil},
		{"in inches", []string{"in", "full", "aluminium 5052", "3/16", "0.035", "2", "y"}, &shop{[]float64{1219.2, 2438.4}, "aluminium 5052", 4.7625, 0.889, 50.8, "y"}, nil},
		{"a plate of one's own", []string{"mm", "610 x 405mm", "-", "3mm", "0.9", "40", "x"}, &shop{[]float64{610, 405}, "", 3, 0.9, 40, "x"}, nil},
		{
			"slips", []string{"cm", "mm", "huge", "0 x 5", "600x400", "glass", "", "0.19", "4.76", "25", "0.9", "50", "z", "y"},
			&shop{[]float64{600, 400}, "glass", 4.76, 0.9, 50, "y"},
			[]string{`"cm" is neither mm nor in`, `"huge" is no size`, "is no side of a plate", "an answer is needed here", "did you mean 0.1875in?", "did you mean 0.025in?", `did you mean "x"?`},
		},
		{"given up", []string{"mm", "", ""}, nil, []string{"nothing is written"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(geomtest.Folder(t), "sluice.toml")
			var out, told strings.Builder
			status := run(t.Context(), []string{"job", "--ask", "--out", path}, strings.NewReader(strings.Join(tt.answers, "\n")+"\n"), &out, &told, wired())
			data, err := os.ReadFile(path)
			if (tt.want == nil) != (err != nil) || (tt.want == nil) != (status == statusFailure) {
				t.Fatalf("status %d, %v\n%s", status, err, told.String())
			}
			for _, s := range tt.told {
				if !strings.Contains(told.String(), s) {
					t.Errorf("%q is not told:\n%s", s, told.String())
				}
			}
			if tt.want == nil {
				return
			}
			j, err := job.Parse(data, path, wired().ruleIDs())
			if err != nil {
				t.Fatal(err)
			}
			got := &shop{j.Sheet.Size, j.Sheet.Material, j.Sheet.Thickness, j.Jet.Kerf, j.Table.SlatPitch, j.Table.SlatsAlong}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Error(diff)
			}
			// What is there is not written over unasked.
			if status := run(t.Context(), []string{"job", "--ask", "--out", path}, strings.NewReader(""), &out, &told, wired()); status != statusFailure || !strings.Contains(told.String(), "--force replaces it") {
				t.Errorf("status %d: %s", status, told.String())
			}
		})
	}
}
