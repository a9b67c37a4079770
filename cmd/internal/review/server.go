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

// Server serves a desk.
type Server struct {
	o      Options
	desk   *settle.Desk
	talk   *talk.Talk
	token  string
	listen net.Listener
	page   []byte
	ctx    context.Context

	mu     sync.Mutex
	open   int // pages that listen
	closed time.Time
}

// New starts to listen for a desk; Serve must be called for anything to be answered.
func New(desk *settle.Desk, o Options) (*Server, error) {
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
	var page bytes.Buffer
	if err := report.ReviewPage(&page, o.Talk.About.Version, o.Path, o.Output, o.Answers); err != nil {
		l.Close()
		return nil, err
	}
	return &Server{o: o, desk: desk, talk: talk.With(desk, o.Talk), token: hex.EncodeToString(token[:]), listen: l, page: page.Bytes(), closed: time.Now()}, nil
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
		Handler: s.guarded(s.routes()), MaxHeaderBytes: mostHeader,
		ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 30 * time.Second, IdleTimeout: 2 * time.Minute,
	}
	var working sync.WaitGroup
	working.Go(func() { s.desk.Run(ctx) })
	working.Go(func() { s.watch(ctx, stop) })
	context.AfterFunc(ctx, func() {
		end, done := context.WithTimeout(context.Background(), time.Second)
		defer done()
		_ = web.Shutdown(end)
		_ = web.Close()
	})
	err := web.Serve(s.listen)
	stop()
	working.Wait()
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}

// watch ends the server once no page has been open for a while.
func (s *Server) watch(ctx context.Context, stop func()) {
	if s.o.Idle <= 0 {
		return
	}
	tick := time.NewTicker(max(s.o.Idle/20, 10*time.Millisecond))
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			s.mu.Lock()
			idle := s.open == 0 && time.Since(s.closed) > s.o.Idle
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
		r.Body = http.MaxBytesReader(w, r.Body, mostBody)
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
	if r.Method == http.MethodPost && !strings.HasPrefix(r.Header.Get("Content-Type"), "application/json") {
		return "", false
	}
	return "/" + rest, true
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

func (s *Server) routes() http.Handler {
	m := http.NewServeMux()
	m.HandleFunc("GET /{$}", s.serveFrame)
	m.HandleFunc("GET /events", s.serveEvents)
	for _, name := range talk.Questions() {
		m.HandleFunc("GET /"+name, func(w http.ResponseWriter, r *http.Request) { answer(w, s.talk.Ask(name, r.URL.Query())) })
	}
	for _, name := range talk.Orders() {
		m.HandleFunc("POST /"+name, func(w http.ResponseWriter, r *http.Request) { answer(w, s.talk.Order(name, r.Body)) })
	}
	return m
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

func (s *Server) serveFrame(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(s.page)
}

// serveEvents tells the page the number of the present state whenever it changes. That
// the page listens shows that it is open.
func (s *Server) serveEvents(w http.ResponseWriter, r *http.Request) {
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
		version, changed := s.desk.Changed()
		if _, err := fmt.Fprintf(w, "retry: 1000\ndata: %d\n\n", version); err != nil {
			return
		}
		flush.Flush()
		select {
		case <-changed:
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
