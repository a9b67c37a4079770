// Package review serves the desk at which findings are settled as a page: on the
// loopback address, to who holds the token, and to nobody else.
package review

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/hex"
	"errors"
	"fmt"
	"net"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"sluice/cmd/internal/talk"
	"sluice/lint/report"
	"sluice/lint/settle"
)

// Options say how the desk is served.
type Options struct {
	Talk                  talk.Options
	Path, Output, Answers string // as the page names them
	Listen                string // address to listen on; "": loopback
	Port                  int    // 0: a free one
	// Idle is how long the server stays once no page is open any more.
	Idle time.Duration
}

// Limits on what a page may ask for.
const (
	mostBody   = 64 << 10 // bytes of a request
	mostHeader = 16 << 10
)

// Server serves a desk, or a page on which its drawing is chosen first.
type Server struct {
	idle    time.Duration
	token   string
	listen  net.Listener
	ctx     context.Context
	working sync.WaitGroup
	place   atomic.Pointer[place] // nil until a drawing is chosen
	choice  *Choice               // how it is; nil: it is given

	mu     sync.Mutex
	open   int // pages that listen
	closed time.Time
	ended  bool
}

// place is a desk and what is answered at it.
type place struct {
	desk   *settle.Desk
	routes http.Handler
}

// New starts to listen for a desk; Serve must be called for anything to be answered.
func New(desk *settle.Desk, o Options) (*Server, error) {
	s, err := listen(o)
	if err != nil {
		return nil, err
	}
	at, err := s.at(desk, &o)
	if err != nil {
		s.listen.Close()
		return nil, err
	}
	s.place.Store(at)
	return s, nil
}

// listen makes a server without a desk.
func listen(o Options) (*Server, error) {
	var token [16]byte
	if _, err := rand.Read(token[:]); err != nil {
		return nil, err
	}
	host := o.Listen
	if host == "" {
		host = "127.0.0.1"
	}
	l, err := net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(o.Port)))
	if err != nil {
		return nil, fmt.Errorf("cannot listen on %s: %w", net.JoinHostPort(host, strconv.Itoa(o.Port)), plain(err))
	}
	return &Server{idle: o.Idle, token: hex.EncodeToString(token[:]), listen: l, closed: time.Now()}, nil
}

// at sets out what is answered at a desk.
func (s *Server) at(desk *settle.Desk, o *Options) (*place, error) {
	var page bytes.Buffer
	if err := report.ReviewPage(&page, o.Talk.About.Version, o.Path, o.Output, o.Answers); err != nil {
		return nil, err
	}
	t := talk.With(desk, o.Talk)
	m := http.NewServeMux()
	m.HandleFunc("GET /{$}", func(w http.ResponseWriter, _ *http.Request) { servePage(w, page.Bytes()) })
	m.HandleFunc("GET /events", func(w http.ResponseWriter, r *http.Request) {
		s.serveEvents(w, r, desk.Changed, desk.LayoutChanged, nil)
	})
	for _, name := range talk.Questions() {
		m.HandleFunc("GET /"+name, func(w http.ResponseWriter, r *http.Request) { answer(w, t.Ask(name, r.URL.Query())) })
	}
	for _, name := range talk.Orders() {
		m.HandleFunc("POST /"+name, func(w http.ResponseWriter, r *http.Request) { answer(w, t.Order(name, r.Body)) })
	}
	return &place{desk: desk, routes: m}, nil
}

// plain takes the operation off a network error.
func plain(err error) error {
	var e *net.OpError
	if errors.As(err, &e) {
		return e.Err
	}
	return err
}

// Addresses returns where the page is found, one for each address that is listened on.
func (s *Server) Addresses() (all []string) {
	at := s.listen.Addr().(*net.TCPAddr)
	for _, ip := range reached(at.IP) {
		all = append(all, "http://"+net.JoinHostPort(ip.String(), strconv.Itoa(at.Port))+"/"+s.token+"/")
	}
	return all
}

// reached returns the addresses at which a listener is reached.
func reached(ip net.IP) []net.IP {
	if !ip.IsUnspecified() {
		return []net.IP{ip}
	}
	out := []net.IP{net.IPv4(127, 0, 0, 1)}
	list, _ := net.InterfaceAddrs()
	for _, a := range list {
		if n, ok := a.(*net.IPNet); ok && n.IP.IsGlobalUnicast() && n.IP.To4() != nil {
			out = append(out, n.IP)
		}
	}
	return out
}

// Serve answers until ctx ends, or no page has been open for a while.
func (s *Server) Serve(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	s.ctx = ctx
	web := &http.Server{
		Handler: s.guarded(http.HandlerFunc(s.serve)), MaxHeaderBytes: mostHeader,
		ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 30 * time.Second, IdleTimeout: 2 * time.Minute,
	}
	if at := s.place.Load(); at != nil {
		s.working.Go(func() { at.desk.Run(ctx) })
	}
	s.working.Go(func() { s.watch(ctx, stop) })
	context.AfterFunc(ctx, func() {
		end, done := context.WithTimeout(context.Background(), time.Second)
		defer done()
		_ = web.Shutdown(end)
		_ = web.Close()
	})
	err := web.Serve(s.listen)
	stop()
	s.mu.Lock()
	s.ended = true
	s.mu.Unlock()
	s.working.Wait()
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}

// watch ends the server once no page has been open for a while.
func (s *Server) watch(ctx context.Context, stop func()) {
	if s.idle <= 0 {
		return
	}
	tick := time.NewTicker(max(s.idle/20, 10*time.Millisecond))
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			s.mu.Lock()
			idle := s.open == 0 && time.Since(s.closed) > s.idle
			s.mu.Unlock()
			if idle {
				stop()
				return
			}
		}
	}
}

// guarded lets nothing through but requests for our own addresses, from our own pages,
// by who holds the token.
func (s *Server) guarded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", report.ReviewCSP())
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		rest, ok := s.admitted(r)
		if !ok {
			http.Error(w, "not for you: open the address that sluice review prints", http.StatusForbidden)
			return
		}
		most := int64(mostBody)
		if rest == drawingPath {
			most = mostDrawing
		}
		r.Body = http.MaxBytesReader(w, r.Body, most)
		r2 := r.Clone(r.Context())
		r2.URL.Path, r2.URL.RawPath = rest, ""
		next.ServeHTTP(w, r2)
	})
}

// admitted reports whether a request may be answered, and the path behind the token.
func (s *Server) admitted(r *http.Request) (rest string, ok bool) {
	token, rest, found := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
	if !found || subtle.ConstantTimeCompare([]byte(token), []byte(s.token)) != 1 || !s.ours(r.Host) {
		return "", false
	}
	if o := r.Header.Get("Origin"); o != "" {
		host, plain := strings.CutPrefix(o, "http://")
		if !plain || host != r.Host {
			return "", false
		}
	}
	// What browsers say of where a request comes from: our page, or the address bar.
	switch site := r.Header.Get("Sec-Fetch-Site"); {
	case site == "" || site == "same-origin" || site == "none":
	default:
		return "", false
	}
	// No form of another page can send these types.
	rest = "/" + rest
	kind := "application/json"
	if rest == drawingPath {
		kind = "application/octet-stream"
	}
	if r.Method == http.MethodPost && !strings.HasPrefix(r.Header.Get("Content-Type"), kind) {
		return "", false
	}
	return rest, true
}

// ours reports whether a Host header names an address at which we are reached. A name
// is refused, but for localhost on loopback: whoever made it resolve to us is no page of ours.
func (s *Server) ours(host string) bool {
	name, port, err := net.SplitHostPort(host)
	at := s.listen.Addr().(*net.TCPAddr)
	if err != nil || port != strconv.Itoa(at.Port) {
		return false
	}
	all := reached(at.IP)
	if name == "localhost" {
		return all[0].IsLoopback()
	}
	ip := net.ParseIP(name)
	for _, a := range all {
		if ip != nil && a.Equal(ip) {
			return true
		}
	}
	return false
}

// serve answers at the desk, or where its drawing is chosen.
func (s *Server) serve(w http.ResponseWriter, r *http.Request) {
	if at := s.place.Load(); at != nil {
		at.routes.ServeHTTP(w, r)
		return
	}
	s.choice.routes.ServeHTTP(w, r)
}

// answer sends what a request came to.
func answer(w http.ResponseWriter, a talk.Answer) {
	if a.Type != "" {
		w.Header().Set("Content-Type", a.Type)
	}
	w.WriteHeader(a.Status)
	if a.Write != nil {
		_ = a.Write(w) // nobody is left to be told
	}
}

func servePage(w http.ResponseWriter, page []byte) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(page)
}

// serveEvents tells the page the numbers of the present state and of the layout whenever
// they change. That the page listens shows that it is open.
func (s *Server) serveEvents(w http.ResponseWriter, r *http.Request, state, laid func() (int, <-chan struct{}), over <-chan struct{}) {
	flush, ok := w.(http.Flusher)
	if !ok {
		http.Error(w, "events cannot be sent", http.StatusInternalServerError)
		return
	}
	_ = http.NewResponseController(w).SetReadDeadline(time.Time{})
	w.Header().Set("Content-Type", "text/event-stream")
	s.mu.Lock()
	s.open++
	s.mu.Unlock()
	defer func() {
		s.mu.Lock()
		s.open--
		s.closed = time.Now()
		s.mu.Unlock()
	}()
	alive := time.NewTicker(15 * time.Second)
	defer alive.Stop()
	for {
		version, changed := state()
		number, moved := laid()
		if _, err := fmt.Fprintf(w, "retry: 1000\ndata: %d\n\nevent: laid\ndata: %d\n\n", version, number); err != nil {
			return
		}
		flush.Flush()
		select {
		case <-changed:
		case <-moved:
		case <-over: // another page takes the place of this one
			_, _ = fmt.Fprint(w, "event: over\ndata: 0\n\n")
			flush.Flush()
			return
		case <-alive.C:
		case <-r.Context().Done():
			return
		case <-s.ctx.Done():
			_, _ = fmt.Fprint(w, "event: end\ndata: 0\n\n")
			flush.Flush()
			return
		}
	}
}
