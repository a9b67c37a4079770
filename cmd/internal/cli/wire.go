package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"

	"sluice/fix/layout"
	"sluice/lint"
	"sluice/lint/cache"
	"sluice/lint/job"
	"sluice/lint/kit"
	"sluice/lint/kit/assembly"
	"sluice/lint/mend"
	"sluice/lint/report"
	"sluice/lint/rules"
)

// wired returns the engine behind the commands.
func wired() *engine {
	all := rules.All()
	return &engine{
		rules: ruleTexts(all),
		check: func(ctx context.Context, path string, r io.Reader, j *job.Job, cores int) *lint.Result {
			return lint.Check(ctx, path, r, j, lint.Options{Rules: all, Workers: cores})
		},
		fix: func(ctx context.Context, path string, r io.Reader, j *job.Job, o fixOptions) (*lint.Repaired, []byte, error) {
			return mend.Fix(ctx, path, r, j, mendOptions(all, o))
		},
		layOut: func(ctx context.Context, path string, r io.Reader, j *job.Job, o fixOptions, tell func(float64)) ([]mend.SheetOut, error) {
			l := mend.LayoutOptions{
				Seconds: j.Layout.Seconds, Seed: uint64(j.Layout.Seed),
				Progress: func(p layout.Progress) { tell(p.Share) },
			}
			if name := j.Layout.Remnant; name != "" {
				if !filepath.IsAbs(name) && j.Path != "" {
					name = filepath.Join(filepath.Dir(j.Path), name)
				}
				f, err := os.Open(name)
				if err != nil {
					return nil, fmt.Errorf("[layout] remnant: %w", err)
				}
				defer f.Close()
				l.Remnant = f
			}
			return mend.LayOut(ctx, path, r, j, mendOptions(all, o), l)
		},
		edits: []string{
			"close-gap", "drop-duplicate", "drop-stray", "drop-mark", "refit-arc", "refit-curve", "flatten",
			"widen-slot", "etch-slot", "relieve-corner", "etch-mark", "note-mark", "cut-mark", "etch-drill-mark", "etch-text", "tab", "untab", "label", "refit-slots",
			"set-aside", "etch-lettering",
		},
		compare:  compareDrawings,
		estimate: estimateDrawing,
		paths:    drawPaths,
		build:    cache.BuildID(),
		lintForms: map[string]*lintForm{
			"text": {write: func(w io.Writer, c *call, rs []*lint.Result) error {
				return report.LintText(w, rs, report.TextOptions{
					All: c.all, Quiet: c.quiet, Color: c.colored(), Explain: c.engine.title, After: c.acceptedText(),
				})
			}},
			"json": {write: func(w io.Writer, _ *call, rs []*lint.Result) error { return report.LintJSON(w, Version, rs) }},
			"sarif": {write: func(w io.Writer, c *call, rs []*lint.Result) error {
				return report.SARIF(w, Version, rs, c.engine.docs(commonJob(rs)))
			}},
			"junit": {write: func(w io.Writer, c *call, rs []*lint.Result) error {
				least, _ := lint.ParseSeverity(c.failOn) // never: off, which fails none
				return report.JUnitFrom(w, Version, rs, least)
			}},
			"github": {write: func(w io.Writer, _ *call, rs []*lint.Result) error { return report.GitHub(w, rs) }},
			"html": {drawn: true, write: func(w io.Writer, c *call, rs []*lint.Result) error {
				return report.LintHTML(w, Version, rs, c.engine.docs(commonJob(rs)))
			}},
			"svg": {drawn: true, write: picture},
		},
		fixForms: map[string]func(io.Writer, *call, *lint.Repaired) error{
			"text": func(w io.Writer, _ *call, r *lint.Repaired) error { return report.FixText(w, r) },
			"json": func(w io.Writer, _ *call, r *lint.Repaired) error { return report.FixJSON(w, Version, r) },
			"html": func(w io.Writer, c *call, r *lint.Repaired) error {
				return report.FixHTML(w, Version, r, c.engine.docs(r.Before.Job))
			},
		},
		partsForms: map[string]func(io.Writer, *call, *lint.Result) error{
			"text": func(w io.Writer, _ *call, r *lint.Result) error { return report.PartsText(w, partRows(r)) },
			"csv":  func(w io.Writer, _ *call, r *lint.Result) error { return report.PartsCSV(w, partRows(r)) },
			"json": func(w io.Writer, _ *call, r *lint.Result) error { return report.PartsJSON(w, partRows(r)) },
			"html": func(w io.Writer, _ *call, r *lint.Result) error {
				return report.PartsHTML(w, Version, r, partRows(r))
			},
			"assembly": func(w io.Writer, _ *call, r *lint.Result) error {
				return assembly.Write(w, r.Path, kit.Find(r.Sheet, lint.KitOptions(r.Job)), r.Names)
			},
		},
	}
}

// commonJob returns a job that sets the severities of all drawings, nil if their
// jobs differ in that; then the rules' own are the only ones true of all.
func commonJob(rs []*lint.Result) *job.Job {
	var common *job.Job
	for _, r := range rs {
		switch {
		case r.Job == nil || r.Job == common:
		case common == nil:
			common = r.Job
		case !maps.Equal(common.Rules, r.Job.Rules):
			return nil
		}
	}
	return common
}

// docs returns what reports say of the rules, with the severities that a job
// sets; without one (nil) with their own.
func (e *engine) docs(j *job.Job) []report.RuleDoc {
	var docs []report.RuleDoc
	for i := range e.rules {
		r := &e.rules[i]
		severity := r.Severity
		if j != nil && j.Rules[r.ID] != "" {
			severity = j.Rules[r.ID]
		}
		d := report.RuleDoc{ID: r.ID, Title: r.Title, What: r.What, Why: r.Why, Repair: r.Fix}
		d.Severity, _ = lint.ParseSeverity(severity)
		docs = append(docs, d)
	}
	return docs
}

// picture draws the one drawing that was judged, with a dot for each finding
// above a note.
func picture(w io.Writer, _ *call, rs []*lint.Result) error {
	if len(rs) != 1 || rs[0].Err != nil {
		return errors.New("--format svg draws one drawing that can be read")
	}
	var shown []lint.Finding
	for _, f := range rs[0].Findings {
		if f.Severity > lint.Note && f.Rule != "small-part" {
			shown = append(shown, f)
		}
	}
	return report.SheetSVG(w, rs[0].Sheet, report.SVGOptions{Title: rs[0].Path, Bare: true, Findings: shown})
}

// partRows returns the part schedule with its joints.
func partRows(r *lint.Result) []report.PartRow {
	rows := report.PartRows(r)
	report.AddJoints(rows, r)
	return rows
}

// mendOptions are the options of a repair.
func mendOptions(all []*lint.Rule, o fixOptions) mend.Options {
	return mend.Options{
		Options: lint.Options{Rules: all, Workers: o.cores},
		Only:    o.only, Untab: o.untab, Spread: o.spread, Scale: o.scale,
	}
}
