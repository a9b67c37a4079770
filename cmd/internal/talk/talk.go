// Package talk answers what a page asks of the desk at which findings are settled,
// whichever way it asks: the server of a page and the page that holds the program both
// go through here.
package talk

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/url"
	"sync"

	"sluice/lint/report"
	"sluice/lint/settle"
)

// What became of a request, in the numbers that HTTP has for it.
const (
	Done     = 200 // with an answer
	DoneBare = 204 // with nothing to tell
	Unread   = 400 // the request cannot be read
	Unknown  = 404 // there is no such request
	There    = 409 // something would be replaced
	Refused  = 422 // why is told
)

// JSON is the media type of answers; refusals are plain text.
const JSON = "application/json"

// ErrExists is returned by Options.Write where something would be replaced.
var ErrExists = errors.New("exists already")

// Options say what a page is told besides what the desk knows.
type Options struct {
	About *report.About
	// Write puts the corrected drawing and its report in place and says what it wrote.
	// It returns ErrExists, wrapped in what is there, where something would be replaced.
	Write func(r *settle.Round, replace bool) (told string, err error)
	// WriteLaid does the same with the sheets of a layout; nil: none are written.
	WriteLaid LaidWriter
}

// Talk is the conversation of pages with a desk. Its methods may be called from
// several goroutines.
type Talk struct {
	o    Options
	desk *settle.Desk

	mu      sync.Mutex
	shown   *report.ReviewRound
	written *settle.Round // that was written last
	told    string

	laidWritten int // number of the layout that was written last, 0: none
	laidTold    string
}

// With starts a conversation with a desk.
func With(desk *settle.Desk, o Options) *Talk { return &Talk{o: o, desk: desk} }

// Answer is what a request came to.
type Answer struct {
	Status int
	Type   string                  // media type of what is written; "" for nothing
	Write  func(w io.Writer) error // nil: nothing
}

// question is a request that changes nothing, and order one that may.
type (
	question func(*Talk, url.Values) Answer
	order    func(*Talk, *json.Decoder) Answer
)

var questions = map[string]question{
	"state":   (*Talk).state,
	"picture": (*Talk).picture,
	"preview": (*Talk).preview,
	"laid":    (*Talk).laid,
	"forms":   (*Talk).forms,
}

var orders = map[string]order{
	"take":     (*Talk).take,
	"forget":   (*Talk).forget,
	"part":     (*Talk).part,
	"spot":     (*Talk).spot,
	"put":      (*Talk).put,
	"undo":     func(t *Talk, _ *json.Decoder) Answer { return done(t.desk.Undo()) },
	"redo":     func(t *Talk, _ *json.Decoder) Answer { return done(t.desk.Redo()) },
	"write":    (*Talk).write,
	"lay":      (*Talk).lay,
	"halt":     func(t *Talk, _ *json.Decoder) Answer { t.desk.StopLayout(); return done(nil) },
	"place":    (*Talk).place,
	"pin":      (*Talk).pin,
	"unpin":    (*Talk).unpin,
	"pinall":   func(t *Talk, _ *json.Decoder) Answer { return done(t.desk.PinAll()) },
	"unpinall": func(t *Talk, _ *json.Decoder) Answer { return done(t.desk.UnpinAll()) },
}

// Questions returns the names of the requests that change nothing.
func Questions() []string { return names(questions) }

// Orders returns the names of those that may change something.
func Orders() []string { return names(orders) }

func names[V any](of map[string]V) (all []string) {
	for name := range of {
		all = append(all, name)
	}
	return all
}

// Ask answers a request that changes nothing.
func (t *Talk) Ask(name string, q url.Values) Answer {
	if a := questions[name]; a != nil {
		return a(t, q)
	}
	return plain(Unknown, "there is no "+name+" to ask for")
}

// Order carries out a request; body is JSON.
func (t *Talk) Order(name string, body io.Reader) Answer {
	a := orders[name]
	if a == nil {
		return plain(Unknown, name+" cannot be done")
	}
	d := json.NewDecoder(body)
	d.DisallowUnknownFields()
	return a(t, d)
}

// round returns the round as the page shows it; making it may take as long as a
// picture of the drawing.
func (t *Talk) round(v *settle.View) *report.ReviewRound {
	t.mu.Lock()
	defer t.mu.Unlock()
	if v.Round == nil {
		return report.NoRound()
	}
	if t.shown == nil || t.shown.Number != v.Round.Number {
		t.shown = report.NewReviewRound(t.o.About, v.Round.Number, v.Round)
	}
	return t.shown
}

func (t *Talk) state(url.Values) Answer {
	v, err := t.desk.View()
	if err != nil {
		return refuse(err)
	}
	state := report.NewReviewState(v, t.round(v))
	state.Lays = t.desk.Lays()
	t.mu.Lock()
	if t.written != nil && v.Round != nil && t.written.Number == v.Round.Number && !v.Busy {
		state.Written = t.told
	}
	t.mu.Unlock()
	return tell(state)
}

func (t *Talk) picture(url.Values) Answer {
	v, err := t.desk.View()
	if err != nil {
		return refuse(err)
	}
	return Answer{Done, JSON, t.round(v).Board}
}

func (t *Talk) preview(q url.Values) Answer {
	v, err := t.desk.View()
	if err != nil {
		return refuse(err)
	}
	p, err := t.desk.Preview(q.Get("id"), q.Get("choice"))
	if err != nil {
		return refuse(err)
	}
	return Answer{Done, JSON, func(w io.Writer) error { return t.round(v).ReviewPreview(w, p) }}
}

func (t *Talk) take(d *json.Decoder) Answer {
	var in struct {
		ID     string `json:"id"`
		Alike  bool   `json:"alike"`
		Choice string `json:"choice"`
		Note   string `json:"note"`
	}
	if d.Decode(&in) != nil {
		return unread
	}
	return done(t.desk.Take(in.ID, in.Alike, in.Choice, in.Note))
}

func (t *Talk) forget(d *json.Decoder) Answer {
	var in struct {
		IDs []string `json:"ids"`
	}
	if d.Decode(&in) != nil {
		return unread
	}
	return done(t.desk.Forget(in.IDs))
}

func (t *Talk) write(d *json.Decoder) Answer {
	var in struct {
		Replace bool `json:"replace"`
		Sheets  bool `json:"sheets"` // those of the layout
	}
	if d.Decode(&in) != nil {
		return unread
	}
	if in.Sheets {
		return t.writeLaid(in.Replace)
	}
	v, err := t.desk.View()
	switch {
	case err != nil:
		return refuse(err)
	case v.Round == nil || v.Busy || v.Round.Done == nil:
		return refuse(errors.New("the drawing is still being repaired; write it when that is done"))
	}
	t.mu.Lock()
	again := t.written != nil
	t.mu.Unlock()
	told, err := t.o.Write(v.Round, in.Replace || again)
	if errors.Is(err, ErrExists) {
		return plain(There, err.Error())
	}
	if err != nil {
		return refuse(err)
	}
	t.mu.Lock()
	t.written, t.told = v.Round, told
	t.mu.Unlock()
	return tell(map[string]string{"told": told})
}

// unread is the answer to a request that is not as it should be.
var unread = plain(Unread, "the request cannot be read")

func plain(status int, text string) Answer {
	return Answer{status, "text/plain; charset=utf-8", func(w io.Writer) error {
		_, err := fmt.Fprintln(w, text)
		return err
	}}
}

func tell(v any) Answer {
	return Answer{Done, JSON, func(w io.Writer) error { return json.NewEncoder(w).Encode(v) }}
}

func refuse(err error) Answer { return plain(Refused, err.Error()) }

func done(err error) Answer {
	if err != nil {
		return refuse(err)
	}
	return Answer{Status: DoneBare}
}
