package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"sluice/lint/job"
)

// answersOf returns the answers to a drawing: those of --answers, else of the file
// beside it, nil if there are none.
func (c *call) answersOf(in input) (*job.Answers, error) {
	path := c.answers
	if c.noAnswers || path == "" && in.path == "-" {
		return nil, nil
	}
	if path == "" {
		path = strings.TrimSuffix(in.path, filepath.Ext(in.path)) + ".answers.toml"
	}
	f, err := os.Open(path)
	if c.answers == "" && errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, plainError(err))
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, largestJob))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, plainError(err))
	}
	a, err := job.ParseAnswers(data, path)
	if err != nil {
		return nil, err
	}
	if !c.quiet {
		c.tellf("%s: answers in force: %d", path, len(a.List))
	}
	return a, nil
}

// tellUnused tells of answers that fit no finding of a drawing any more.
func (c *call) tellUnused(j *job.Job) {
	if j == nil {
		return
	}
	for _, x := range j.Answers.Stale() {
		about := ""
		if x.About != "" {
			about = " (" + x.About + ")"
		}
		c.tellf("%s:%d: the answer to %s%s fits nothing any more; take it out", j.Answers.Path, x.Line, x.Finding, about)
	}
}
