package cli

import (
	"testing"

	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/report"
)

// A rule ran unless the job or, where it says nothing, the rule itself switches
// it off; one that is not known will never find anything.
func TestRan(t *testing.T) {
	e := &engine{rules: []report.Rule{{ID: "thin-web", Severity: "warning"}, {ID: "resting", Severity: "off"}}}
	for _, tt := range []struct {
		rule, set string
		want      bool
	}{
		{"thin-web", "", true}, {"thin-web", "off", false}, {"thin-web", "note", true},
		{"resting", "", false}, {"resting", "error", true}, {"unknown", "", true},
	} {
		j := job.Default()
		if tt.set != "" {
			j.Rules[tt.rule] = tt.set
		}
		if got := e.ran(&lint.Result{Job: j}, tt.rule); got != tt.want {
			t.Errorf("%s set to %q: ran %v", tt.rule, tt.set, got)
		}
	}
}
