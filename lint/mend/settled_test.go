package mend_test

import (
	"path/filepath"
	"testing"

	"sluice/lint"
	"sluice/lint/job"
)

// TestSettled settles the demo by the answers that lie with it: nothing is left to
// decide, and none of them is in vain.
func TestSettled(t *testing.T) {
	source := filepath.Join(fixtures, "harbour-crane.dxf")
	j := loadJob(t, filepath.Join(fixtures, "crane.toml"))
	a, err := job.ParseAnswers(readFile(t, filepath.Join(fixtures, "crane.answers.toml")), "crane.answers.toml")
	if err != nil {
		t.Fatal(err)
	}
	j.Answers = a
	rep, _ := repair(t, source, readFile(t, source), j)
	if asked := lint.ToAsk(rep.Left); len(asked) > 0 {
		t.Errorf("%d left to decide, such as %s: %s", len(asked), asked[0].Rule, asked[0].Message)
	}
	if stale := a.Stale(); len(stale) > 0 {
		t.Errorf("%d answers are in vain, such as %+v", len(stale), stale[0])
	}
}
