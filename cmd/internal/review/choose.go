package review

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"sync"
	"time"

	"sluice/lint/report"
	"sluice/lint/settle"
)

const (
	// drawingPath is where a page hands over a drawing.
	drawingPath = "/drawing"
	// mostDrawing is how much of one is taken, bytes.
	mostDrawing = 1 << 30
)

// Handed is a drawing that a page hands over: a file of this machine by its path, or one
// with its bytes.
type Handed struct {
	Path string
	Name string // of the file, without a folder; it comes from outside
	Data []byte
}

// Choice says how a drawing is chosen on a page.
type Choice struct {
	Version string
	First   string // path of the drawing that is opened at once; "": none
	Told    string // what keeps it from being opened; "": nothing
	// Open sets out the desk of a drawing. Its error is one line for the page.
	Open func(h Handed) (*settle.Desk, *Options, error)

	routes http.Handler
	over   chan struct{} // closed once a drawing is on the desk
	one    sync.Mutex    // held while a drawing is opened
}

// Choose starts to listen for a page on which a drawing is chosen; once one is, the page
// goes on at its desk. Of the options, address, port and idle time count.
func Choose(c *Choice, o Options) (*Server, error) {
	s, err := listen(o)
	if err != nil {
		return nil, err
	}
	c.over = make(chan struct{})
	m := http.NewServeMux()
	m.HandleFunc("GET /{$}", s.serveChoice)
	m.HandleFunc("GET /events", func(w http.ResponseWriter, r *http.Request) {
		none := func() (int, <-chan struct{}) { return 0, nil }
		s.serveEvents(w, r, none, none, c.over)
	})
	m.HandleFunc("POST /open", s.openPath)
	m.HandleFunc("POST "+drawingPath, s.openDrawing)
	c.routes, s.choice = m, c
	return s, nil
}

// here tells whether only this machine is listened to: others open no file of it by name.
func (s *Server) here() bool { return s.listen.Addr().(*net.TCPAddr).IP.IsLoopback() }

func (s *Server) serveChoice(w http.ResponseWriter, _ *http.Request) {
	var page bytes.Buffer
	c := s.choice
	if err := report.ChoosePage(&page, c.Version, &report.Choose{First: c.First, Told: c.Told, ByPath: s.here()}); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Security-Policy", report.ChooseCSP())
	servePage(w, page.Bytes())
}

func (s *Server) openPath(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Path string `json:"path"`
	}
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	switch err := d.Decode(&in); {
	case err != nil || in.Path == "":
		http.Error(w, "the request cannot be read", http.StatusBadRequest)
	case !s.here():
		http.Error(w, "files of this machine are opened by name on this machine alone; choose the file", http.StatusForbidden)
	default:
		s.opened(w, r, Handed{Path: in.Path})
	}
}

func (s *Server) openDrawing(w http.ResponseWriter, r *http.Request) {
	_ = http.NewResponseController(w).SetReadDeadline(time.Time{}) // a large one takes long from far away
	data, err := io.ReadAll(r.Body)
	var large *http.MaxBytesError
	switch name := r.URL.Query().Get("name"); {
	case errors.As(err, &large):
		http.Error(w, "the file is over 1 GiB; too large for a drawing", http.StatusRequestEntityTooLarge)
	case err != nil || name == "":
		http.Error(w, "the file cannot be read; choose it again", http.StatusBadRequest)
	default:
		s.opened(w, r, Handed{Name: name, Data: data})
	}
}

// opened puts a drawing on the desk, or tells why it cannot be.
func (s *Server) opened(w http.ResponseWriter, r *http.Request, h Handed) {
	c := s.choice
	if !c.one.TryLock() {
		http.Error(w, "another drawing is being read; wait for it", http.StatusConflict)
		return
	}
	defer c.one.Unlock()
	if s.place.Load() != nil {
		w.WriteHeader(http.StatusNoContent)
		return
	}
	desk, o, err := c.Open(h)
	if err == nil {
		err = s.seat(r.Context(), desk, o)
	}
	if err != nil {
		http.Error(w, err.Error(), http.StatusUnprocessableEntity)
		return
	}
	w.WriteHeader(http.StatusNoContent)
}

// seat has the page go on at a desk once its drawing could be read; asked ends when nobody
// waits for it any more.
func (s *Server) seat(asked context.Context, desk *settle.Desk, o *Options) error {
	at, err := s.at(desk, o)
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(s.ctx)
	s.mu.Lock()
	if s.ended {
		s.mu.Unlock()
		stop()
		return context.Canceled
	}
	s.working.Go(func() { desk.Run(ctx) })
	s.mu.Unlock()
	if err := firstRound(asked, ctx, desk); err != nil {
		stop()
		return fmt.Errorf("%s: %w", o.Path, err)
	}
	context.AfterFunc(s.ctx, stop)
	s.place.Store(at)
	close(s.choice.over)
	return nil
}

// firstRound waits until a desk shows its drawing, and returns what keeps it from that.
func firstRound(asked, ctx context.Context, desk *settle.Desk) error {
	for {
		_, changed := desk.Changed()
		v, err := desk.View()
		switch {
		case err != nil:
			return err
		case v.Round != nil:
			return v.Round.Err
		}
		select {
		case <-changed:
		case <-asked.Done():
			return asked.Err()
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}
