package pick

import (
	"context"
	"fmt"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/settle"
)

// Picker has the changes between two drawings taken one by one.
type Picker struct {
	old, now *lint.Result
	changes  []lint.Finding
	o        lint.Options
}

// New gets ready to take the changes between two judged drawings one by one.
func New(old, now *lint.Result, o lint.Options) *Picker {
	repair.Layer(now.Drawing, lint.LayerEtch)
	return &Picker{old: old, now: now, changes: Changes(old, now), o: o}
}

// Changes returns the changes.
func (p *Picker) Changes() []lint.Finding { return p.changes }

// Round draws the later drawing without the changes that are rejected; what is not
// decided is accepted, and asked about.
func (p *Picker) Round(ctx context.Context, a *job.Answers) *settle.Round {
	var fixes []fix.Fix
	var asked []settle.Question
	var left []lint.Finding
	for i := range p.changes {
		f := &p.changes[i]
		x := a.Of(f.ID)
		if x == nil {
			asked = append(asked, settle.Question{Finding: *f, On: p.now})
			left = append(left, *f)
			continue
		}
		switch x.Choice {
		case Accept:
		case Reject:
			fixes = append(fixes, f.Choices[1].Fixes...)
		default:
			return &settle.Round{Err: fmt.Errorf("%w", a.ChoiceError(x, f.Rule, []string{Accept, Reject}))}
		}
	}
	d, done, skipped := fix.Apply(p.now.Drawing, fixes)
	if len(skipped) > 0 {
		return &settle.Round{Err: fmt.Errorf("a change cannot be taken back: %s", skipped[0].Why)}
	}
	res, err := lint.Judge(ctx, p.now.Path, d, p.now.Job, p.o)
	if err != nil {
		return &settle.Round{Err: err}
	}
	data, after, err := mend.Written(ctx, res, p.o)
	if err != nil {
		return &settle.Round{Err: err}
	}
	return &settle.Round{
		Judged: p.now, Picked: true, Drawing: data, Asked: asked, Stale: a.Stale(),
		Done: &lint.Repaired{
			Input: p.old.Path, Before: p.old, After: after, Edits: done, Left: left, Account: after.Account,
		},
	}
}
