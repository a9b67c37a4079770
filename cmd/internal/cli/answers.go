package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"

	"sluice/lint/job"
)

// answersOf returns the answers to a drawing: those of --answers, else of the file
// beside it, nil if there are none.
func (c *call) answersOf(in input) (*job.Answers, error) {
	if c.noAnswers || c.answers == "" && in.path == "-" {
		return nil, nil
	}
	path := c.answersPath(in)
	data, err := readSettings(path)
	if (c.answers == "" || c.ask) && errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, plainError(err))
	}
	a, err := job.ParseAnswers(data, path)
	if err != nil {
		return nil, err
	}
	if !c.quiet {
		c.tellf("%s: answers in force: %d", path, len(a.List)+len(a.Parts))
	}
	return a, nil
}

// answersPath returns where the answers to a drawing lie.
func (c *call) answersPath(in input) string {
	if c.answers != "" {
		return c.answers
	}
	return strings.TrimSuffix(in.path, filepath.Ext(in.path)) + ".answers.toml"
}

// tellUnused tells of answers that fit no finding of a drawing any more.
// repaired says that it was repaired too: else what shows only then is not missed.
func (c *call) tellUnused(j *job.Job, repaired bool) {
	if j == nil {
		return
	}
	for _, x := range j.Answers.Stale() {
		if x.Shows == job.Repaired && !repaired {
			continue
		}
		about := ""
		if x.About != "" {
			about = " (" + x.About + ")"
		}
		c.tellf("%s:%d: the answer to %s%s fits nothing any more; take it out", j.Answers.Path, x.Line, x.Finding, about)
	}
	for _, x := range j.Answers.Refused() {
		path := j.Answers.Path
		if x.OfJob {
			path = j.Path
		}
		c.tellf("%s:%d: part %s: %s", path, x.Line, oneLine(x.Part), x.Why)
	}
}
