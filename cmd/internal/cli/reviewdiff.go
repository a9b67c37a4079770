package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"sluice/cmd/internal/review"
	"sluice/cmd/internal/talk"
	"sluice/lint"
	"sluice/lint/pick"
	"sluice/lint/settle"
)

// diffDesk judges two drawings and says how the changes between them are served.
func (c *call) diffDesk() (*settle.Desk, *review.Options, error) {
	switch {
	case len(c.args) != 2:
		return nil, nil, errors.New("review --diff takes two drawings: the earlier one and the later one")
	case c.args[0] == "-" || c.args[1] == "-":
		return nil, nil, errors.New("review keeps what is decided beside the drawing; name two files, not -")
	case c.report != "" || c.paths != "" || c.list != "":
		return nil, nil, errors.New("review --diff writes a drawing alone; leave --report, --paths and --list out")
	}
	plain := *c
	plain.noAnswers = true // they are about other questions
	s, err := plain.newJobs()
	if err != nil {
		return nil, nil, err
	}
	var both [2]*lint.Result
	for i, arg := range c.args {
		if isFolder(arg) {
			return nil, nil, fmt.Errorf("%s: is a folder; review --diff takes two drawings", arg)
		}
		if both[i], err = plain.judgeOne(arg, s); err != nil {
			return nil, nil, err
		}
		if both[i].Drawing.Paths {
			return nil, nil, fmt.Errorf("%s: is a drawing of paths for the machine; name the corrected drawing", arg)
		}
	}
	now := both[1].Path
	stem := strings.TrimSuffix(now, filepath.Ext(now))
	kept := stem + ".taken.toml"
	if c.answers != "" {
		kept = c.answers
	}
	text, err := readSettings(kept)
	if errors.Is(err, fs.ErrNotExist) {
		text, err = nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", kept, plainError(err))
	}
	out := c.out
	if out == "" || out == "-" {
		out = stem + "-taken.dxf"
	}
	p := pick.New(both[0], both[1], c.engine.mendOptions(c.fixOptions()).Options)
	desk := settle.Open(nil, text, settle.Options{
		Path: now, Answers: kept, Job: both[1].Job, Work: p.Round,
		Save: func(text []byte) error { return c.keepAnswers(kept, text) },
	})
	about := c.about(both[1].Job)
	return desk, &review.Options{
		Path: both[0].Path + " to " + now, Output: out, Answers: kept,
		Listen: c.listen, Port: c.port, Idle: pageIdle,
		Talk: talk.Options{About: &about, Write: func(r *settle.Round, replace bool) (string, error) { return c.writePicked(r, out, replace) }},
	}, nil
}

// writePicked puts the later drawing without the rejected changes in place.
func (c *call) writePicked(r *settle.Round, out string, replace bool) (string, error) {
	w := *c
	w.force = true
	p := places{out: out}
	if err := w.checkPlaces(&p, c.args...); err != nil {
		return "", err
	}
	if _, err := os.Stat(out); err == nil && !replace && !c.force {
		return "", fmt.Errorf("%s: %w", out, talk.ErrExists)
	}
	if err := w.replace(file{out, r.Drawing}); err != nil {
		return "", err
	}
	return "Written: " + out, nil
}
