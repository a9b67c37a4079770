package cli

import (
	"context"
	"io"
	"os"
	"path/filepath"

	"sluice/cmd/internal/system"
	"sluice/lint"
	"sluice/lint/cache"
	"sluice/lint/compare"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/report"
	"sluice/lint/rules"
)

// wired returns the engine behind the commands.
func wired() *engine {
	all := rules.All()
	return &engine{
		rules: report.RulesOf(all),
		check: func(ctx context.Context, path string, r io.Reader, j *job.Job, o checkOptions) *lint.Result {
			looks := all
			if o.drawn && j.Answers == nil { // answers are to findings
				looks = nil
			}
			return lint.Check(ctx, path, r, j, lint.Options{Rules: looks, Workers: o.cores, Plain: o.plain || o.drawn})
		},
		copies: func(ctx context.Context, r *lint.Result, cores int) (*lint.Result, error) {
			return lint.WithCopies(ctx, r, lint.Options{Rules: all, Workers: cores, Plain: true})
		},
		fix: func(ctx context.Context, path string, r io.Reader, j *job.Job, o fixOptions) (*lint.Repaired, []byte, error) {
			return mend.Fix(ctx, path, r, j, mendOptions(all, o))
		},
		layOut: func(ctx context.Context, in []mend.LayoutInput, o fixOptions, l mend.LayoutOptions) ([]mend.SheetOut, error) {
			j := in[0].Job
			l.Seconds, l.Seed, l.Open = j.Layout.Seconds, uint64(j.Layout.Seed), stockIn(j)
			return mend.LayOutAll(ctx, in, mendOptions(all, o), l)
		},
		mendOptions: func(o fixOptions) mend.Options { return mendOptions(all, o) },
		edits: []string{
			"close-gap", "drop-duplicate", "drop-stray", "drop-mark", "refit-arc", "refit-curve", "flatten",
			"widen-slot", "etch-slot", "relieve-corner", "etch-mark", "note-mark", "cut-mark", "etch-drill-mark", "etch-text", "tab", "untab", "label", "name", "refit-slots",
			"set-aside", "etch-lettering", "drop-outline", "drop-part", "drop-text", "unite-outlines", "subtract-outline", "keep-copy", "add-copy", "make-part", "fill-notch", "drop-slot", "widen-hole", "shrink-hole", "smooth-detail", "cut-text", "note-slats",
		},
		compare: compare.Drawings,
		paths:   drawPaths,
		alone:   system.AloneInConsole,
		browse:  system.Browse,
		build:   cache.BuildID(),
	}
}

// mendOptions are the options of a repair.
func mendOptions(all []*lint.Rule, o fixOptions) mend.Options {
	return mend.Options{
		Options: lint.Options{Rules: all, Workers: o.cores, Plain: o.plain},
		Only:    o.only, Untab: o.untab, Spread: o.spread, Scale: o.scale,
	}
}

// stockIn opens drawings of stock by the names in a job: beside the job file, unless
// they are whole paths.
func stockIn(j *job.Job) func(string) (io.ReadCloser, error) {
	return func(name string) (io.ReadCloser, error) {
		if !filepath.IsAbs(name) && j.Path != "" {
			name = filepath.Join(filepath.Dir(j.Path), name)
		}
		f, err := os.Open(name)
		if err != nil {
			return nil, plainError(err)
		}
		return f, nil
	}
}
