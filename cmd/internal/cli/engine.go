package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"

	"sluice/fix/diff"
	"sluice/lint"
	"sluice/lint/cache"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/report"
)

// engine is the work behind the commands, so that tests of the manners of the
// command line need no drawing. Every field is set.
type engine struct {
	// rules are the rules that exist, in the order in which they are listed.
	rules []report.Rule
	// check reads and judges a drawing; what cannot be read is in Result.Err.
	check  func(ctx context.Context, path string, r io.Reader, j *job.Job, o checkOptions) *lint.Result
	copies func(ctx context.Context, r *lint.Result, cores int) (*lint.Result, error)
	// fix repairs a drawing and returns it as the bytes of the corrected file.
	fix func(ctx context.Context, path string, r io.Reader, j *job.Job, o fixOptions) (*lint.Repaired, []byte, error)
	// mendOptions are the options of a repair at the desk.
	mendOptions func(o fixOptions) mend.Options
	// edits are the kinds of edit that fix can be told to make alone.
	edits []string
	// compare tells what differs between two judged drawings by more than a
	// tolerance, mm.
	compare func(before, after *lint.Result, tolerance float64) *diff.Diff
	// layOut repairs drawings and lays their parts out on sheets, best so far if ctx
	// ends; time, seed and stock are those of the first one's job.
	layOut func(ctx context.Context, in []mend.LayoutInput, o fixOptions, l mend.LayoutOptions) ([]mend.SheetOut, error)
	// paths returns the paths ready to run of a repaired drawing, in the form that
	// the name of the file asks for, and says what they hold.
	paths func(r *lint.Repaired, path string) (data []byte, told string, err error)

	// alone tells whether the program was started by its icon, without a terminal, and
	// browse opens a page.
	alone  func() bool
	browse func(address string) error

	// build tells this build of the program from others; "": what it finds is kept
	// only where --cache says so.
	build string
}

// checkOptions say how a drawing is judged.
type checkOptions struct {
	cores int  // 0: all
	plain bool // what choices bring is not shown
	drawn bool // only what is drawn is asked for, and nothing is looked for in it
}

// showsChoices reports whether what is written tells the choices of findings.
func (c *call) showsChoices() bool {
	return c.format == "json" || strings.EqualFold(filepath.Ext(c.report), ".json") || c.ask
}

func (c *call) checkOptions() checkOptions {
	return checkOptions{cores: c.cores, plain: !c.showsChoices(), drawn: c.drawn}
}

// fixOptions are what a repair is told besides the job.
type fixOptions struct {
	only  []string // kinds of edit to make; empty: all
	untab bool     // close the tabs the drawing has, make none

	spread, scale bool // move parts apart; scale the kit so that its slots fit
	cores         int  // 0: all
	plain         bool // what choices bring is not shown
}

// ruleIDs returns the ids of the rules, nil if there are none to know.
func (e *engine) ruleIDs() []string {
	var ids []string
	for i := range e.rules {
		ids = append(ids, e.rules[i].ID)
	}
	return ids
}

// judge opens and judges a drawing. Whatever goes wrong with it is in the
// result's Err, so that the other drawings go on.
func (c *call) judge(in input, j *job.Job) *lint.Result { return c.judgeThrough(in, j, nil) }

// judgeThrough judges a drawing, all of which is read through a filter, nil for
// none.
func (c *call) judgeThrough(in input, j *job.Job, filter func(io.Reader) io.Reader) (r *lint.Result) {
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
	if filter == nil {
		return c.engine.check(c.ctx, in.path, f, j, c.checkOptions())
	}
	from := filter(f)
	r = c.engine.check(c.ctx, in.path, from, j, c.checkOptions())
	_, _ = io.Copy(io.Discard, from) // the filter is to see the whole file; what it cannot, it misses
	return r
}

// judgeShort judges a drawing, or takes what was found in the same bytes under
// the same job before, and returns the result without the drawing.
func (c *call) judgeShort(in input, j *job.Job, kept *cache.Store) *lint.Result {
	if kept == nil || in.path == "-" || in.err != nil || j.Answers != nil {
		return lint.Shorten(c.judge(in, j))
	}
	return kept.Judged(in.path, j, func(filter func(io.Reader) io.Reader) *lint.Result {
		return lint.Shorten(c.judgeThrough(in, j, filter))
	})
}

// openCache returns the store that the flags ask for, nil for none. The folder
// of the user's own is made where it can be; one that is named must be there or
// be made.
func (c *call) openCache() (*cache.Store, error) {
	if c.noCache {
		if c.cache != "" {
			return nil, errors.New("--cache and --no-cache contradict each other; leave one out")
		}
		return nil, nil
	}
	dir := c.cache
	if dir == "" {
		base, err := os.UserCacheDir()
		if err != nil || c.engine.build == "" {
			return nil, nil
		}
		dir = filepath.Join(base, "sluice")
	}
	s, err := cache.Open(dir, append([]string{Version, c.engine.build, fmt.Sprint(c.showsChoices())}, c.engine.ruleIDs()...)...)
	if err != nil && c.cache != "" {
		return nil, fmt.Errorf("--cache %s: cannot be made: %w", dir, plainError(err))
	}
	return s, nil
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
	c.tellUnused(j, false)
	return r, nil
}

// judgeCounted judges the single drawing that an argument names, with each part as
// often as it is to be cut.
func (c *call) judgeCounted(arg string, s *jobs) (*lint.Result, error) {
	r, err := c.judgeOne(arg, s)
	if err != nil {
		return nil, err
	}
	return c.engine.copies(c.ctx, r, c.cores)
}

// workers is how many drawings are worked on at once, or how many cores work on
// one.
func (c *call) workers() int {
	if c.jobs > 0 {
		return c.jobs
	}
	return runtime.GOMAXPROCS(0)
}

// aheadOf is how many drawings a worker may be ahead of what is told: what is finished
// waits in memory.
const aheadOf = 8

// queue hands out work, of what may be begun the largest first, so that at the end no core
// waits for a large drawing that was begun last.
type queue struct {
	sync.Mutex
	moved *sync.Cond
	sizes []int64
	begun []bool
	told  int // so many are told, and so many more may be begun
	ahead int
	left  int
}

// take returns what is to be done next, once it may be begun; false when all is begun.
func (q *queue) take() (i int, ok bool) {
	q.Lock()
	defer q.Unlock()
	for q.left > 0 {
		i = -1
		for k := q.told; k < min(q.told+q.ahead, len(q.sizes)); k++ {
			if !q.begun[k] && (i < 0 || q.sizes[k] > q.sizes[i]) {
				i = k
			}
		}
		if i >= 0 {
			q.begun[i] = true
			q.left--
			return i, true
		}
		q.moved.Wait()
	}
	return 0, false
}

// tell notes that one more is told.
func (q *queue) tell() {
	q.Lock()
	q.told++
	q.Unlock()
	q.moved.Broadcast()
}

// inParallel runs work for each of some sizes, several at once and large ones first, and
// done in their order as soon as each is finished.
func (c *call) inParallel(sizes []int64, work func(i int), done func(i int)) {
	n, workers := len(sizes), c.workers()
	c.cores = max(1, workers/max(n, 1))
	finished := make([]chan struct{}, n)
	for i := range finished {
		finished[i] = make(chan struct{})
	}
	q := &queue{sizes: sizes, begun: make([]bool, n), ahead: aheadOf * workers, left: n}
	q.moved = sync.NewCond(q)
	var running sync.WaitGroup
	for range min(workers, n) {
		running.Go(func() {
			for i, ok := q.take(); ok; i, ok = q.take() {
				work(i)
				close(finished[i])
			}
		})
	}
	for i := range n {
		<-finished[i]
		done(i)
		q.tell()
	}
	running.Wait()
}
