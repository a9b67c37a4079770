package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"sluice/cmd/internal/review"
	"sluice/cmd/internal/talk"
	"sluice/lint/mend"
	"sluice/lint/settle"
)

// pageIdle is how long the program stays once its page has been closed.
const pageIdle = time.Minute

func reviewCommand() *command {
	return &command{
		name: "review", args: "FILE", needs: "one drawing, or two with --diff", least: 0, most: 2, files: true,
		title: "settle what fix leaves open, on a page in the browser",
		about: "Opens a drawing as a page in the browser: what must be decided, with a picture of every choice\n" +
			"before it is taken. Each answer is kept at once in the file of answers beside the drawing, and the\n" +
			"drawing is repaired anew. Write puts the corrected drawing and its report in place. The page is\n" +
			"served on this machine alone, to who has the address that is printed; nothing is fetched from\n" +
			"outside. It ends with ctrl-C, or a minute after its page was closed; no answer is lost.\n" +
			"With --diff OLD NEW each change between two drawings is accepted or rejected, and Write puts NEW\n" +
			"without the rejected ones in place, on the five layers of a corrected drawing; what is decided is\n" +
			"kept in NEW.taken.toml.\n" +
			"Status: 0 ended in order; 2 bad usage or an unreadable input.",
		judges: true, only: "html",
		flags: []*flagDef{
			{name: "out", short: "o", arg: "OUT", about: "where Write puts the corrected drawing (KIT-jet.dxf)",
				at: func(o *options) any { return &o.out }},
			{name: "report", arg: "FILE", about: "where Write puts the report (beside the drawing, .html)",
				at: func(o *options) any { return &o.report }},
			{name: "paths", arg: "FILE", about: "where Write puts the paths to run; else none are written",
				at: func(o *options) any { return &o.paths }},
			{name: "list", arg: "FILE", about: "where Write puts the page to hang at the machine; else none is written",
				at: func(o *options) any { return &o.list }},
			{name: "port", arg: "N", about: "port to serve the page on; 0, as without: a free one", most: 65535, zero: true,
				at: func(o *options) any { return &o.port }},
			{name: "listen", arg: "ADDRESS", about: "serve other machines of the network too, on ADDRESS; 0.0.0.0 is all of this one's",
				at: func(o *options) any { return &o.listen }},
			{name: "diff", about: "take the changes from one drawing to another one by one",
				at: func(o *options) any { return &o.diffs }},
			{name: "choose", about: "choose the drawing on the page: drop it there",
				at: func(o *options) any { return &o.choose }},
			{name: "no-open", about: "print the address and open no browser",
				at: func(o *options) any { return &o.noOpen }},
		},
		examples: []example{
			{"sluice review kit.dxf", "settle a kit, write kit-jet.dxf"},
			{"sluice review --choose", "drop the drawing on the page"},
			{"sluice review --job shop.toml -o jet/kit.dxf kit.dxf", "for this shop's jet and sheet"},
			{"sluice review --listen 0.0.0.0 kit.dxf", "on a phone in the shop too"},
			{"sluice review --diff kit.dxf repaired.dxf", "take a repaired drawing piece by piece"},
		},
		run: (*call).review,
	}
}

// review serves the desk of a drawing until it is no longer wanted.
func (c *call) review() int {
	switch {
	case c.choose && (c.diffs || len(c.args) > 0):
		return c.failf("--choose: the drawing is chosen on the page; name none, and leave --diff out")
	case c.choose:
		return c.chosen("", "")
	case len(c.args) == 0:
		return c.failf("review needs %s; write sluice %s, or --choose to choose it on the page", c.command.needs, c.command.usage())
	}
	made := c.desk
	if c.diffs {
		made = c.diffDesk
	}
	desk, o, err := made()
	if err != nil {
		return c.failf("%v", err)
	}
	s, err := review.New(desk, *o)
	if err != nil {
		return c.failf("%v", err)
	}
	return c.serve(s)
}

// serve serves a page until it is no longer wanted.
func (c *call) serve(s *review.Server) int {
	all := s.Addresses()
	for _, a := range all {
		fmt.Fprintln(c.stdout, a)
	}
	if !c.quiet {
		c.tellf("the page is at the address above; ctrl-C ends it, and no answer is lost")
	}
	if !c.noOpen {
		if err := c.engine.browse(all[0]); err != nil && !c.quiet {
			c.tellf("no browser could be opened; open the address yourself")
		}
	}
	if err := s.Serve(c.ctx); err != nil {
		return c.failf("%v", err)
	}
	if c.ctx.Err() != nil { // ctrl-C is how this command is ended
		c.ended = true
	}
	return statusOK
}

// desk reads a drawing and its answers and says how they are served.
func (c *call) desk() (*settle.Desk, *review.Options, error) {
	arg := c.args[0]
	switch {
	case len(c.args) > 1:
		return nil, nil, fmt.Errorf("review opens one drawing, not %d; --diff compares two", len(c.args))
	case arg == "-":
		return nil, nil, errors.New("review keeps answers beside the drawing; name a file, not -")
	case isFolder(arg):
		return nil, nil, fmt.Errorf("%s: is a folder; review opens one drawing", arg)
	case c.noAnswers:
		return nil, nil, errors.New("--no-answers and review contradict each other; leave the flag out")
	}
	in, err := c.one(arg)
	if err != nil {
		return nil, nil, err
	}
	plain := *c
	plain.noAnswers = true // the desk has them
	s, err := plain.newJobs()
	if err != nil {
		return nil, nil, err
	}
	j, err := s.of(in)
	if err != nil {
		return nil, nil, err
	}
	f, err := c.open(in)
	if err != nil {
		return nil, nil, fileError(in.path, err)
	}
	data, err := io.ReadAll(f)
	f.Close()
	if err != nil {
		return nil, nil, fileError(in.path, err)
	}
	text, err := readSettings(c.answersPath(in))
	if errors.Is(err, fs.ErrNotExist) {
		text, err = nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", c.answersPath(in), plainError(err))
	}
	p := c.reviewPlaces(in)
	mending := c.fixOptions()
	mending.plain = false // the page shows choices
	name := in.path
	if c.called != "" {
		name = c.called
	}
	desk := settle.Open(data, text, settle.Options{
		Path: name, Answers: c.answersPath(in), Job: j, Mend: c.engine.mendOptions(mending),
		Save:   func(text []byte) error { return c.keepAnswers(c.answersPath(in), text) },
		Laying: &settle.LayingOptions{Mend: c.engine.mendOptions(c.sheetOptions(p)), Open: stockIn(j)},
	})
	about := c.about(j)
	return desk, &review.Options{
		Path: name, Output: p.out, Answers: c.answersPath(in),
		Listen: c.listen, Port: c.port, Idle: pageIdle,
		Talk: talk.Options{About: &about, Write: func(r *settle.Round, replace bool) (string, error) { return c.writeRound(r, p, in, replace) },
			WriteLaid: func(v *settle.View, _ *settle.Layout, sheets []mend.SheetOut, replace bool) (string, error) {
				return c.writeLaid(v, sheets, target{in: in, job: j, places: p}, replace)
			}},
	}, nil
}

// sheetOptions are the options of a repair before parts are laid out: those of fix.
func (c *call) sheetOptions(p places) fixOptions {
	own := *c
	own.report = p.report
	return own.fixOptions()
}

// reviewPlaces says where Write puts things: beside the drawing unless flags say else.
func (c *call) reviewPlaces(in input) places {
	p := places{out: c.out, report: c.report, paths: c.paths, list: c.list}
	if p.out == "" || p.out == "-" {
		p.out = strings.TrimSuffix(in.path, filepath.Ext(in.path)) + "-jet.dxf"
	}
	if p.report == "" || p.report == "-" {
		p.report = strings.TrimSuffix(p.out, filepath.Ext(p.out)) + ".html"
	}
	return p
}

// keepAnswers writes the file of answers whole, or takes it away where there are none.
func (c *call) keepAnswers(path string, text []byte) error {
	if text != nil {
		return c.replace(file{path, text})
	}
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: %w", path, plainError(err))
	}
	return nil
}

// writeRound puts what a round came to in place: all of it, or nothing.
func (c *call) writeRound(round *settle.Round, p places, in input, replace bool) (string, error) {
	w := *c
	w.force = true
	if err := w.checkPlaces(&p, in.path, c.answersPath(in)); err != nil {
		return "", err
	}
	if !replace && !c.force {
		if err := there(p.named()); err != nil {
			return "", err
		}
	}
	var r repair
	done := *round.Done
	files, err := r.written(&w, &done, round.Drawing, &p, "")
	if err != nil {
		return "", err
	}
	if err := w.replace(files...); err != nil {
		return "", err
	}
	return written(files), nil
}

// there tells which of places are taken, nil for none.
func there(files []place) error {
	var names []string
	for _, f := range files {
		if _, err := os.Stat(f.path); err == nil && !slices.Contains(names, f.path) {
			names = append(names, f.path)
		}
	}
	if len(names) == 0 {
		return nil
	}
	return fmt.Errorf("%s: %w", strings.Join(names, ", "), talk.ErrExists)
}

// written says what was written.
func written(files []file) string {
	var names []string
	for _, f := range files {
		names = append(names, f.path)
	}
	return "Written: " + strings.Join(names, ", ")
}

// writeLaid puts the sheets of a layout in place, as fix --layout does: all of it, or
// nothing.
func (c *call) writeLaid(v *settle.View, sheets []mend.SheetOut, t target, replace bool) (string, error) {
	w, own := *c, *t.job
	w.force, own.Answers = true, v.Answers
	w.report, w.format = t.report, ""
	t.job = &own
	var places []place
	for i := range sheets {
		p := t.of(i, len(sheets))
		if err := w.checkPlaces(&p, t.in.path, c.answersPath(t.in)); err != nil {
			return "", err
		}
		places = append(places, p.named()...)
	}
	if !replace && !c.force {
		if err := there(places); err != nil {
			return "", err
		}
	}
	files, _, err := w.laidFiles(&t, sheets)
	if err != nil {
		return "", err
	}
	if err := w.replace(files...); err != nil {
		return "", err
	}
	var stale bytes.Buffer
	w.stderr = &stale
	w.clearStale(&t.places, len(sheets), sheetsOf(t.job), files)
	told := written(files)
	for line := range strings.Lines(stale.String()) {
		told += "; " + strings.TrimPrefix(strings.TrimSpace(line), "sluice: ")
	}
	return told, nil
}
