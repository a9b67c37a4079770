package cli

import (
	"context"
	"fmt"
	"io"
	"runtime"
	"sync"

	"sluice/lint"
	"sluice/lint/job"
)

// engine is the work behind the commands, so that tests of the manners of the
// command line need no drawing. A field that is nil is not available.
type engine struct {
	// rules are the rules that exist, in the order in which they are listed.
	rules []ruleText
	// check reads and judges a drawing on so many cores, 0 for all; what cannot be
	// read is in Result.Err.
	check func(ctx context.Context, path string, r io.Reader, j *job.Job, cores int) *lint.Result
	// fix repairs a drawing and returns it as the bytes of the corrected file.
	fix func(ctx context.Context, path string, r io.Reader, j *job.Job, o fixOptions) (*lint.Repaired, []byte, error)
	// edits are the kinds of edit that fix can be told to make alone.
	edits []string
	// compare writes the difference of two judged drawings in a format.
	compare func(w io.Writer, format string, before, after *lint.Result) (same bool, err error)
	// estimate writes what a judged drawing takes to cut, in a format.
	estimate func(w io.Writer, format string, r *lint.Result) error
	// paths returns the drawing of the paths ready to run of a repaired drawing.
	paths func(r *lint.Repaired) ([]byte, error)

	lintForms  map[string]func(w io.Writer, c *call, results []*lint.Result) error
	fixForms   map[string]func(w io.Writer, c *call, r *lint.Repaired) error
	partsForms map[string]func(w io.Writer, c *call, r *lint.Result) error
}

// fixOptions are what a repair is told besides the job.
type fixOptions struct {
	only  []string // kinds of edit to make; empty: all
	cores int      // 0: all
}

// ruleText is a rule as explain tells it.
type ruleText struct {
	ID         string `json:"id"`
	Title      string `json:"title"`
	Severity   string `json:"severity"`
	Limit      string `json:"limit"`
	What       string `json:"what"`
	Why        string `json:"why"`
	Bad        string `json:"bad"`
	Good       string `json:"good"`
	Exceptions string `json:"exceptions"`
	Repair     string `json:"repair"`
	Fix        string `json:"fix"`
	Reason     string `json:"reason"`
	Since      string `json:"since"`
}

// ruleIDs returns the ids of the rules, nil if there are none to know.
func (e *engine) ruleIDs() []string {
	var ids []string
	for i := range e.rules {
		ids = append(ids, e.rules[i].ID)
	}
	return ids
}

// title returns a rule's title, "" for an unknown rule.
func (e *engine) title(id string) string {
	for i := range e.rules {
		if e.rules[i].ID == id {
			return e.rules[i].Title
		}
	}
	return ""
}

// judge opens and judges a drawing. Whatever goes wrong with it is in the
// result's Err, so that the other drawings go on.
func (c *call) judge(in input, j *job.Job) (r *lint.Result) {
	defer func() {
		if p := recover(); p != nil {
			r = &lint.Result{Path: in.path, Job: j, Err: fmt.Errorf("internal error: %v", p)}
		}
	}()
	f, err := c.open(in)
	if err != nil {
		return &lint.Result{Path: in.path, Job: j, Err: err}
	}
	defer f.Close()
	return c.engine.check(c.ctx, in.path, f, j, c.cores)
}

// judgeOne judges the single drawing that an argument names.
func (c *call) judgeOne(arg string, s *jobs) (*lint.Result, error) {
	in, err := c.one(arg)
	if err != nil {
		return nil, err
	}
	j, err := s.of(in)
	if err != nil {
		return nil, err
	}
	r := c.judge(in, j)
	if r.Err != nil {
		return nil, fileError(in.path, r.Err)
	}
	return r, nil
}

// workers is how many drawings are worked on at once, or how many cores work on
// one.
func (c *call) workers() int {
	if c.jobs > 0 {
		return c.jobs
	}
	return runtime.GOMAXPROCS(0)
}

// inParallel runs work for 0 to n-1, several at once, and done in that order as
// soon as each is finished.
func (c *call) inParallel(n int, work func(i int), done func(i int)) {
	workers := c.workers()
	c.cores = max(1, workers/max(n, 1))
	finished := make([]chan struct{}, n)
	for i := range finished {
		finished[i] = make(chan struct{})
	}
	next := make(chan int)
	var running sync.WaitGroup
	for range min(workers, n) {
		running.Go(func() {
			for i := range next {
				work(i)
				close(finished[i])
			}
		})
	}
	running.Go(func() {
		defer close(next)
		for i := range n {
			next <- i
		}
	})
	for i := range n {
		<-finished[i]
		done(i)
	}
	running.Wait()
}
