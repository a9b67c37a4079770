package mend_test

import (
	"path/filepath"
	"testing"

	"sluice/lint"
	"sluice/lint/assembly"
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
	// Made for a thicker sheet it stands as it did. Edges without joints are as they were
	// drawn: where those end on a part that is thicker now they are in it by half of that.
	k := assembly.Of(rep.After.Kit())
	if len(k.Groups) != 4 {
		t.Errorf("%d groups, want 4", len(k.Groups))
	}
	for i := range k.Groups {
		if g := &k.Groups[i]; g.Share < 1 || len(g.Trapped) > 0 {
			t.Errorf("group %d: %.2f of the joints of %d parts close, %d loops", i+1, g.Share, len(g.Parts), len(g.Trapped))
		}
	}
}
