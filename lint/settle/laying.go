package settle

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
)

// LayingOptions say how the parts of a desk's drawing are laid out.
type LayingOptions struct {
	Mend mend.Options                             // of the repair before
	Open func(name string) (io.ReadCloser, error) // drawings of stock, by the name in the job; nil: there are none
}

// LayWish is a layout that is asked for.
type LayWish struct {
	Seconds float64       // of search, turned into steps; 0: as the job says, with its deadline
	Until   time.Duration // of search by the clock at most; 0: without
	On      bool          // go on from the layout that is shown
}

// Layout is a layout of the desk's drawing, as it is shown.
type Layout struct {
	Number  int               // another for each that is shown
	Laid    *mend.Arrangement // nil: none yet
	Result  *lint.Result      // the repaired drawing by whose parts Laid counts
	Drawing int               // another for each repaired drawing
	Running bool              // it is being looked for
	Ready   bool              // the drawing is repaired for it; until then nothing is looked for
	Share   float64           // of the search that is done, 0 to 1; never less than before in one search
	Stale   bool              // it is of another drawing than that in force
	Exact   bool              // fix --layout comes to the same with the answers in force, and Seconds
	Seconds float64           // of search
	Err     error             // why there is none, or none that is newer

	ready *readyLayout // the drawing that it is of
}

// layer is what a desk knows of laying out. It is under the desk's lock.
type layer struct {
	shown   Layout
	wish    *layTask
	now     *layTask           // being worked on
	stop    context.CancelFunc // of that; nil: nothing is
	wake    chan struct{}
	version int
	changed chan struct{}
	kept    []keptLayout // what was shown under other answers, the newest last
	drawing int
	ready   *readyLayout
	runs    int // searches that went on from another
	lifted  *placeOf
}

// layTask is a layout that is to be found.
type layTask struct {
	LayWish
	seed  uint64
	begin *mend.Arrangement
	still bool
	exact bool
}

// readyLayout is a drawing that is repaired to be laid out.
type readyLayout struct {
	of, text []byte // its answers without pins, and all of them
	laying   *mend.Laying
	drawing  int
}

// keptLayout is what was shown under a text of answers.
type keptLayout struct {
	text []byte
	Layout
}

// mostKept is how many layouts are kept for steps back and forth.
const mostKept = 60

// errNoLaying is told where parts are not laid out.
var errNoLaying = errors.New("parts are not laid out here")

// errNoLayout is told where a layout is needed.
var errNoLayout = errors.New("there is no layout of this drawing yet; lay it out first")

// Lays reports whether parts can be laid out at the desk.
func (d *Desk) Lays() bool { return d.o.Laying != nil && d.o.Work == nil }

// Job returns the job of the desk, without answers.
func (d *Desk) Job() *job.Job { return d.o.Job }

// Layout returns the layout as it stands.
func (d *Desk) Layout() *Layout {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.layout()
}

func (d *Desk) layout() *Layout {
	l := d.lay.shown
	l.Running = d.lay.now != nil || d.lay.wish != nil
	l.Stale = l.Laid != nil && !bytes.Equal(l.ready.of, d.sans)
	return &l
}

// LayoutChanged returns the number of the layout as it stands and what is closed when it
// does no longer.
func (d *Desk) LayoutChanged() (version int, changed <-chan struct{}) {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.lay.version, d.lay.changed
}

// LayOut has the parts laid out anew, or the layout that is shown made better.
func (d *Desk) LayOut(w LayWish) error {
	if !d.Lays() {
		return errNoLaying
	}
	if !(w.Seconds >= 0 && w.Seconds <= 86400) || w.Until < 0 || w.Until > 24*time.Hour {
		return fmt.Errorf("%g seconds is no time for a search; a day at most", w.Seconds)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	t := &layTask{LayWish: w, seed: uint64(d.o.Job.Layout.Seed), exact: !w.On && w.Until == 0}
	if w.Seconds == 0 {
		t.Seconds, t.Until = d.o.Job.Layout.Seconds, time.Duration(d.o.Job.Layout.Deadline*float64(time.Second))
		t.exact = !w.On && t.Until == 0
	}
	if w.On {
		l := d.layout()
		if l.Laid == nil || l.Stale {
			return errNoLayout
		}
		d.lay.runs++
		t.begin, t.seed = l.Laid, t.seed+uint64(d.lay.runs)
	}
	d.wishLayout(t)
	return nil
}

// wishLayout has a layout looked for, and whatever is looked for now given up. The desk is
// locked.
func (d *Desk) wishLayout(t *layTask) {
	d.lay.wish = t
	if d.lay.stop != nil {
		d.lay.stop()
	}
	d.lay.shown.Err, d.lay.shown.Share = nil, 0
	d.tellLayout()
	select {
	case d.lay.wake <- struct{}{}:
	default:
	}
}

// StopLayout ends the search: what was found until now stands.
func (d *Desk) StopLayout() {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.lay.wish = nil
	if d.lay.stop != nil {
		d.lay.stop()
	}
	d.tellLayout()
}

// tellLayout lets those who wait for a change of the layout know of one. The desk is
// locked.
func (d *Desk) tellLayout() {
	d.lay.version++
	close(d.lay.changed)
	d.lay.changed = make(chan struct{})
}

// layouts looks for layouts as they are asked for, until ctx ends.
func (d *Desk) layouts(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-d.lay.wake:
		}
		d.mu.Lock()
		t, text := d.lay.wish, d.text
		d.lay.wish = nil
		one, cancel := context.WithCancel(ctx)
		if t != nil {
			d.lay.now, d.lay.stop = t, cancel
		}
		d.mu.Unlock()
		if t != nil {
			d.findLayout(one, t, text)
		}
		cancel()
	}
}

// findLayout looks for a layout. A panic is told as an error, as of a repair.
func (d *Desk) findLayout(ctx context.Context, t *layTask, text []byte) {
	var err error
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("internal error: %v", p)
		}
		d.mu.Lock()
		defer d.mu.Unlock()
		d.lay.now, d.lay.stop = nil, nil
		if err != nil && d.lay.wish == nil && ctx.Err() == nil {
			d.lay.shown.Err = plainLayout(err)
		}
		d.tellLayout()
	}()
	working := ctx
	if d.o.Under != nil {
		working = d.o.Under(ctx)
	}
	var ready *readyLayout
	if ready, err = d.readied(working, text); err != nil {
		return
	}
	var a *job.Answers
	if a, err = d.parsed(text); err != nil {
		return
	}
	began, shown := time.Now(), time.Time{}
	share := 0.0
	o := mend.LayoutOptions{
		Seconds: t.Seconds, Seed: t.seed, Deadline: t.Until, Open: d.o.Laying.Open, Begin: t.begin, Still: t.still,
		Picture: func(s float64, now func() *mend.Arrangement) {
			if t.Until > 0 {
				s = max(s, min(1, time.Since(began).Seconds()/t.Until.Seconds()))
			}
			share = max(share, s)
			if time.Since(shown) < pictureEvery {
				return
			}
			shown = time.Now()
			if ctx.Err() == nil {
				d.picture(t, ready, share, now())
			}
		},
	}
	var laid *mend.Arrangement
	if laid, err = ready.laying.Plan(working, a, o); err == nil {
		d.found(t, ready, laid, text)
	}
}

// pictureEvery is how often a layout that is being looked for is shown anew at most.
const pictureEvery = 120 * time.Millisecond

// readied returns the drawing repaired under answers, ready to be laid out.
func (d *Desk) readied(ctx context.Context, text []byte) (*readyLayout, error) {
	of := d.withoutPins(text)
	d.mu.Lock()
	had := d.lay.ready
	d.lay.shown.Ready = had != nil && bytes.Equal(had.of, of)
	d.mu.Unlock()
	if had != nil && bytes.Equal(had.of, of) {
		return had, nil
	}
	laying, err := d.newLaying(ctx, text)
	if err != nil {
		return nil, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.lay.drawing++
	d.lay.ready = &readyLayout{of, text, laying, d.lay.drawing}
	d.lay.shown.Ready = true
	d.lay.kept = nil // they are of another drawing
	return d.lay.ready, nil
}

func (d *Desk) newLaying(ctx context.Context, text []byte) (*mend.Laying, error) {
	j := *d.o.Job
	if text != nil {
		a, err := d.parsed(text)
		if err != nil {
			return nil, err
		}
		j.Answers = a
	}
	return mend.NewLaying(ctx, d.o.Path, bytes.NewReader(d.data), &j, d.o.Laying.Mend, d.o.Laying.Open)
}

func (d *Desk) parsed(text []byte) (*job.Answers, error) {
	if text == nil {
		return job.NewAnswers(d.o.Answers), nil
	}
	return job.ParseAnswers(text, d.o.Answers)
}

// withoutPins returns the text of answers without where parts lie in a layout.
func (d *Desk) withoutPins(text []byte) []byte {
	a, err := d.parsed(text)
	if err != nil {
		return text
	}
	return a.WithoutPins()
}

// picture shows a layout that is being looked for.
func (d *Desk) picture(t *layTask, r *readyLayout, share float64, laid *mend.Arrangement) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.lay.now != t || d.lay.wish != nil {
		return
	}
	d.showLayout(t, r, laid)
	d.lay.shown.Share, d.lay.shown.Exact = share, false
	d.tellLayout()
}

// found shows a layout that was found.
func (d *Desk) found(t *layTask, r *readyLayout, laid *mend.Arrangement, text []byte) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.lay.wish != nil || !bytes.Equal(d.text, text) {
		return // something else is wanted by now
	}
	d.showLayout(t, r, laid)
	d.lay.shown.Share = 1
	d.lay.shown.Exact = t.exact && !laid.Cut || laid.Fixed()
	d.keepLayout()
}

// showLayout makes a layout the one that is shown. The desk is locked.
func (d *Desk) showLayout(t *layTask, r *readyLayout, laid *mend.Arrangement) {
	l := &d.lay.shown
	l.Number++
	l.Laid, l.Result, l.Drawing, l.Seconds, l.Err = laid, r.laying.Result(), r.drawing, t.Seconds, nil
	l.ready = r
}

// keepLayout keeps what is shown for when the answers are those in force again. The desk
// is locked.
func (d *Desk) keepLayout() {
	d.lay.kept = slices.DeleteFunc(d.lay.kept, func(k keptLayout) bool { return bytes.Equal(k.text, d.text) })
	d.lay.kept = append(d.lay.kept, keptLayout{d.text, d.lay.shown})
	if n := len(d.lay.kept) - mostKept; n > 0 {
		d.lay.kept = slices.Delete(d.lay.kept, 0, n)
	}
}

// relay has the layout follow answers that have changed: what was shown under them before
// is shown again; where parts were pinned or let go, the others are laid around them; a
// layout of another drawing is not looked for any more. The desk is locked.
func (d *Desk) relay() {
	lifted := d.lay.lifted
	d.lay.lifted = nil
	if !d.Lays() {
		return
	}
	going := d.lay.now
	if d.lay.wish != nil {
		going = d.lay.wish
	}
	l := d.layout()
	if i := slices.IndexFunc(d.lay.kept, func(k keptLayout) bool { return bytes.Equal(k.text, d.text) }); i >= 0 {
		d.lay.wish = nil
		if d.lay.stop != nil {
			d.lay.stop()
		}
		n := d.lay.shown.Number
		d.lay.shown = d.lay.kept[i].Layout
		d.lay.shown.Number = n + 1
		d.tellLayout()
		return
	}
	if l.Laid == nil || l.Stale {
		if going != nil { // for what is no longer wanted
			d.lay.wish = nil
			if d.lay.stop != nil {
				d.lay.stop()
			}
		}
		d.tellLayout()
		return
	}
	t := &layTask{LayWish: LayWish{Seconds: quickly}, seed: uint64(d.o.Job.Layout.Seed), begin: l.Laid, still: true}
	if lifted != nil {
		t.begin = l.Laid.Without(lifted.sheet, lifted.part)
	}
	if going != nil && !going.still {
		t.LayWish, t.still, t.seed = going.LayWish, false, going.seed
	}
	d.wishLayout(t)
}

// quickly is the time, s, in which others are laid around a part that was put by hand.
const quickly = 1

// plainLayout tells an error of a layout to who has no flags.
func plainLayout(err error) error {
	s := strings.TrimPrefix(err.Error(), "--layout: ")
	return errors.New(strings.Replace(s, "--layout needs", "a layout needs", 1))
}

// Sheets draws the sheets of the layout that is shown, as fix --layout writes them.
func (d *Desk) Sheets(ctx context.Context) (*Layout, []mend.SheetOut, error) {
	d.mu.Lock()
	l, text := d.layout(), d.text
	d.mu.Unlock()
	switch {
	case l.Laid == nil || l.Stale:
		return nil, nil, errNoLayout
	case l.Running:
		return nil, nil, errors.New("the layout is still being looked for; stop that, or wait for its end")
	}
	a, err := d.parsed(text)
	if err != nil {
		return nil, nil, err
	}
	if d.o.Under != nil {
		ctx = d.o.Under(ctx)
	}
	laying := l.ready.laying
	if !bytes.Equal(l.ready.text, text) { // the reports tell all answers
		if laying, err = d.newLaying(ctx, text); err != nil {
			return nil, nil, err
		}
	}
	o := mend.LayoutOptions{Seconds: l.Seconds, Seed: uint64(d.o.Job.Layout.Seed), Open: d.o.Laying.Open}
	sheets, err := laying.Draw(ctx, a, l.Laid, o)
	if err != nil {
		return nil, nil, plainLayout(err)
	}
	return l, sheets, nil
}
