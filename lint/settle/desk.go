// Package settle is the desk at which a person decides what a repair leaves open:
// it keeps a drawing and the answers given so far, takes answers and takes them back,
// repairs the drawing anew after each, and tells what that changed. It knows no
// network and no page.
package settle

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"

	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/mend"
)

// Options say what is settled, and how.
type Options struct {
	Path    string   // of the drawing; it only names it
	Answers string   // of the file of the answers; it only names it
	Job     *job.Job // without answers
	Mend    mend.Options
	// Save keeps the text of the answers, whole or not at all, before an answer
	// counts; nil text: there are none any more. It must not be nil.
	Save func(text []byte) error
	// Under returns the context that a repair works under; nil: as it is. What holds the
	// desk may let others have a turn whenever the repair looks whether it is wanted.
	Under func(context.Context) context.Context
	// Work makes a round of answers; nil: the drawing is repaired.
	Work func(ctx context.Context, a *job.Answers) *Round
	// Laying says how parts are laid out; nil: they are not.
	Laying *LayingOptions
}

// step is a state of the answers, and what was done to come to it.
type step struct {
	text []byte
	did  string
}

// Desk is a drawing on which a person decides. Its methods may be called from
// several goroutines.
type Desk struct {
	o    Options
	data []byte

	mu      sync.Mutex
	text    []byte              // the answers in force; nil: none
	sans    []byte              // those that tell of the drawing: without where parts lie in a layout
	past    []step              // what was in force before, and what was done then
	future  []step              // what was taken back, the next one last
	round   *Round              // the last one that is finished; nil before the first
	known   map[string]Question // what was asked when it was answered
	version int
	rounds  int           // shown so far
	changed chan struct{} // closed when version goes up
	wake    chan struct{}
	settled bool // round is of the answers in force
	lay     layer
}

// Open sets out the desk. data is the file of the drawing, text that of its answers,
// nil for none. Run must be called for anything to be worked out.
func Open(data, text []byte, o Options) *Desk {
	o.Mend.Seen = &lint.Foresight{}
	d := &Desk{
		o: o, data: data, text: text, known: map[string]Question{},
		changed: make(chan struct{}), wake: make(chan struct{}, 1),
		lay: layer{changed: make(chan struct{}), wake: make(chan struct{}, 1)},
	}
	d.sans = d.withoutPins(text)
	return d
}

// Run repairs the drawing, and again after each answer, until ctx ends. An answer
// given meanwhile ends the repair under way, since nobody waits for it any more.
func (d *Desk) Run(ctx context.Context) {
	var laying sync.WaitGroup
	defer laying.Wait()
	if d.Lays() {
		laying.Go(func() { d.layouts(ctx) })
	}
	for ctx.Err() == nil {
		d.mu.Lock()
		text, first := d.text, d.round == nil
		d.mu.Unlock()
		one, cancel := context.WithCancel(ctx)
		stop := make(chan struct{})
		stale := false
		var watch sync.WaitGroup
		watch.Go(func() {
			select {
			case <-d.wake:
				stale = true
				cancel()
			case <-stop:
			case <-ctx.Done():
			}
		})
		r := d.repair(one, text, first)
		close(stop)
		watch.Wait()
		cancel()
		if ctx.Err() != nil {
			return
		}
		if stale {
			continue
		}
		if d.finish(r, text); r.Done != nil {
			d.bill(r)
		}
		select {
		case <-d.wake:
		case <-ctx.Done():
		}
	}
}

// finish makes a round the one that is shown, unless an answer was given meanwhile.
func (d *Desk) finish(r *Round, text []byte) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if !bytes.Equal(d.withoutPins(text), d.sans) {
		d.rouse()
		return
	}
	r.Changes = changesOf(d.round, r)
	d.show(r)
	d.settled = true
	d.tell()
}

// bill works out what the drawing costs, once it is shown: that may take longer than
// the repair.
func (d *Desk) bill(r *Round) {
	b := figures.EstimateOf(r.Done.After)
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.round == r {
		with := *r
		with.Bill = b
		d.round = &with
		d.tell()
	}
}

// preview shows what was judged before the first repair is finished.
func (d *Desk) preview(r *Round) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.round == nil {
		d.show(r)
		d.tell()
	}
}

// show makes a round the one that is shown. The desk is locked.
func (d *Desk) show(r *Round) {
	d.rounds++
	r.Number = d.rounds
	d.round = r
}

// tell lets those who wait for a change know of one. The desk is locked.
func (d *Desk) tell() {
	d.version++
	close(d.changed)
	d.changed = make(chan struct{})
}

// rouse has the drawing repaired anew. The desk is locked, or need not be.
func (d *Desk) rouse() {
	select {
	case d.wake <- struct{}{}:
	default:
	}
}

// Changed returns the number of the present state and what is closed when it is
// no longer the present one.
func (d *Desk) Changed() (version int, changed <-chan struct{}) {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.version, d.changed
}

// answers reads the answers in force. The desk is locked.
func (d *Desk) answers() (*job.Answers, error) {
	if d.text == nil {
		return job.NewAnswers(d.o.Answers), nil
	}
	return job.ParseAnswers(d.text, d.o.Answers)
}

// change has the answers changed, keeps them, and has the drawing repaired anew.
// did says what is done, for the button that takes it back; how may say more in it.
func (d *Desk) change(did *string, how func(*job.Answers) error) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	defer func() { d.lay.lifted = nil }()
	a, err := d.answers()
	if err != nil {
		return err
	}
	if err := how(a); err != nil {
		return err
	}
	text := a.Text()
	if a.Empty() {
		text = nil
	}
	if bytes.Equal(text, d.text) {
		return nil
	}
	if err := d.put(text); err != nil {
		return err
	}
	d.past = append(d.past, step{d.previous(), *did})
	d.future = nil
	d.turn(text)
	return nil
}

// previous returns the answers in force, to be kept. The desk is locked.
func (d *Desk) previous() []byte { return slices.Clone(d.text) }

// put keeps the answers where they lie. The desk is locked.
func (d *Desk) put(text []byte) error {
	if err := d.o.Save(text); err != nil {
		return fmt.Errorf("the answer is not kept: %w", err)
	}
	return nil
}

// turn puts answers in force: the drawing is repaired with them, unless all that changes
// is where parts lie in a layout, and the layout follows. The desk is locked.
func (d *Desk) turn(text []byte) {
	sans := d.withoutPins(text)
	same := bytes.Equal(sans, d.sans)
	d.text, d.sans = text, sans
	d.relay()
	if same {
		d.tell()
		return
	}
	d.settled = false
	d.tell()
	d.rouse()
}

// errNothing is told where there is no step to take back or to make again.
var errNothing = errors.New("there is nothing to take back")

// Undo takes the last step back.
func (d *Desk) Undo() error { return d.walk(&d.past, &d.future) }

// Redo makes the step again that was taken back last.
func (d *Desk) Redo() error { return d.walk(&d.future, &d.past) }

// walk goes a step along one list, and keeps the way back in the other.
func (d *Desk) walk(from, to *[]step) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	n := len(*from)
	if n == 0 {
		return errNothing
	}
	s := (*from)[n-1]
	if err := d.put(s.text); err != nil {
		return err
	}
	*from = (*from)[:n-1]
	*to = append(*to, step{d.previous(), s.did})
	d.turn(s.text)
	return nil
}
