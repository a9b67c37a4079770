package cli

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"sluice/fix"
	"sluice/fix/diff"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/report"
)

// trialEngine stands in for the engine where only the manners of the command
// line are on trial. Its drawings are lines of words: "error", "warning" and
// "note" are findings, "slow" takes a while, "panic" fails badly; the first line
// must be "drawing".
func trialEngine() *engine {
	e := wired()
	e.rules = []report.Rule{
		{ID: "error", Title: "Trial of errors", Severity: "error", What: "The word error.", Why: strings.Repeat("It is long. ", 20)},
		{ID: "warning", Title: "Trial of warnings", Severity: "warning", What: "The word warning."},
		{ID: "note", Title: "Trial of notes", Severity: "note"},
	}
	e.edits = []string{"close-gap", "tab", "label"}
	e.check = func(_ context.Context, path string, r io.Reader, j *job.Job, _ checkOptions) *lint.Result {
		res := &lint.Result{Path: path, Job: j}
		words, err := trialWords(r)
		if err != nil {
			res.Err = err
			return res
		}
		for i, w := range words {
			if s, ok := lint.ParseSeverity(w); ok {
				res.Findings = append(res.Findings, lint.Finding{
					Rule: w, Severity: s, At: geom.Pt(float64(i), 0), Repair: lint.None,
					Message: fmt.Sprintf("kerf %v, thickness %v, units %s by %q", j.Jet.Kerf, j.Sheet.Thickness, j.Units, j.UnitsBasis),
				})
			}
		}
		return res
	}
	e.fix = func(ctx context.Context, path string, r io.Reader, j *job.Job, o fixOptions) (*lint.Repaired, []byte, error) {
		before := e.check(ctx, path, r, j, checkOptions{cores: o.cores})
		if before.Err != nil {
			return nil, nil, before.Err
		}
		after := *before
		after.Findings = nil
		done := &lint.Repaired{Input: path, Before: before, After: &after}
		for _, f := range before.Findings {
			if f.Severity < lint.Error {
				done.Edits = append(done.Edits, fix.Edit{Kind: "close-gap", Rule: f.Rule, At: f.At})
				continue
			}
			after.Findings = append(after.Findings, f)
			done.Left = append(done.Left, f)
		}
		drawing := "drawing\n" + strings.Repeat("error\n", len(after.Findings))
		return done, []byte(drawing), ctx.Err()
	}
	e.build = "" // the scripts name the folder of a cache
	e.compare = func(before, after *lint.Result, tolerance float64) *diff.Diff {
		sheet := &outline.Sheet{}
		a, b := &diff.Side{Name: before.Path, Sheet: sheet}, &diff.Side{Name: after.Path, Sheet: sheet}
		return &diff.Diff{Before: a, After: b, Laid: a, Tolerance: tolerance, Same: len(before.Findings) == len(after.Findings)}
	}
	return e
}

func trialWords(r io.Reader) ([]string, error) {
	s := bufio.NewScanner(r)
	var words []string
	for s.Scan() {
		switch w := s.Text(); {
		case words == nil && w != "drawing":
			return nil, errors.New("line 1: not a drawing; export it as DXF")
		case w == "panic":
			panic("on trial")
		case w == "slow":
			time.Sleep(20 * time.Millisecond)
		default:
			words = append(words, w)
		}
	}
	if words == nil {
		return nil, errors.New("is empty")
	}
	return words, nil
}

// trial runs a command line over the trial engine.
func trial(ctx context.Context, stdin string, args ...string) (status int, stdout, stderr string) {
	var out, errs bytes.Buffer
	status = run(ctx, args, strings.NewReader(stdin), &out, &errs, trialEngine())
	return status, out.String(), errs.String()
}

// Every kind of edit has words for people.
func TestEditsHaveWords(t *testing.T) {
	for _, kind := range wired().edits {
		if one, many, ok := report.EditWords(kind); !ok || one == "" || many == "" {
			t.Errorf("%s: %q, %q", kind, one, many)
		}
	}
}
