package settle

import (
	"bytes"
	"context"
	"fmt"
	"runtime/debug"
	"time"

	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/job"
	"sluice/lint/mend"
)

// Round is the drawing repaired once under the answers that were given.
type Round struct {
	Number  int   // from 1 up, another for each round that is shown
	Err     error // why there is no drawing; what follows is empty then
	Judged  *lint.Result
	Done    *lint.Repaired // nil while only the input was judged
	Drawing []byte         // the corrected drawing
	Asked   []Question     // what waits for a person, worst first
	Stale   []job.Answer   // answers that fit nothing any more
	Picked  bool           // changes are taken one by one; parts are as they are
	Refused []job.Refusal  // what is not done of what was decided of parts
	Took    time.Duration
	Changes Changes           // against the round before
	Bill    *cutting.Estimate // nil: not known, or not yet

	places *mend.Placing // under the desk's lock
}

// Result returns the drawing as it is shown: as corrected, else as read.
func (r *Round) Result() *lint.Result {
	if r.Done != nil {
		return r.Done.After
	}
	return r.Judged
}

// slowInput is the size of a file, bytes, from which on it is shown as read while the
// first repair goes on.
const slowInput = 2 << 20

// repair repairs the drawing under the answers of a text. A panic is told as an
// error, so that the answers given so far can still be used.
func (d *Desk) repair(ctx context.Context, text []byte, first bool) (r *Round) {
	start := time.Now()
	defer func() {
		if p := recover(); p != nil {
			_ = debug.Stack()
			r = &Round{Err: fmt.Errorf("internal error: %v", p)}
		}
		r.Took = time.Since(start)
	}()
	if d.o.Under != nil {
		ctx = d.o.Under(ctx)
	}
	j := *d.o.Job
	if text != nil {
		a, err := job.ParseAnswers(text, d.o.Answers)
		if err != nil {
			return &Round{Err: err}
		}
		j.Answers = a
	}
	if d.o.Work != nil {
		if j.Answers == nil {
			j.Answers = job.NewAnswers(d.o.Answers)
		}
		return d.o.Work(ctx, j.Answers)
	}
	if first && len(d.data) > slowInput {
		seen := lint.Check(ctx, d.o.Path, bytes.NewReader(d.data), &j, d.o.Mend.Options)
		if seen.Err != nil {
			return &Round{Err: seen.Err}
		}
		d.preview(&Round{Judged: seen, Asked: asked(seen.Findings, seen, seen)})
	}
	done, out, err := mend.Fix(ctx, d.o.Path, bytes.NewReader(d.data), &j, d.o.Mend)
	if err != nil {
		return &Round{Err: err}
	}
	return &Round{
		Judged: done.Before, Done: done, Drawing: out, Asked: Asked(done),
		Stale: j.Answers.Stale(), Refused: j.Answers.Refused(),
	}
}

// Asked returns what a repair leaves for a person to decide, worst first.
func Asked(done *lint.Repaired) []Question { return asked(done.Left, done.After, done.Before) }

// asked returns the findings that wait for a person, worst first. Those that the
// corrected drawing does not show are about the drawing as read.
func asked(left []lint.Finding, after, before *lint.Result) []Question {
	first := map[string]bool{} // what the input shows, and whether its choices are taken there
	for i := range before.Findings {
		f := &before.Findings[i]
		first[f.ID] = len(f.Choices) > 0
	}
	var out []Question
	for _, f := range lint.ToAsk(left) {
		q := Question{*f, after, false}
		choices, shown := first[f.ID]
		if q.Late = !shown; choices {
			q.On = before
		}
		out = append(out, q)
	}
	return out
}
