package review

import (
	"context"
	"errors"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/report"
	"sluice/lint/rules"
	"sluice/lint/settle"
)

// choosing serves a page on which a drawing is chosen; what it opens is counted.
func choosing(t *testing.T, listen string, idle time.Duration) (v *served, opened *int) {
	t.Helper()
	v, opened = &served{t: t, done: make(chan error, 1)}, new(int)
	var err error
	v.s, err = Choose(&Choice{Version: "test", Open: func(h Handed) (*settle.Desk, *Options, error) {
		if *opened++; h.Path != "" {
			return nil, nil, errors.New("no such file")
		}
		desk := settle.Open(h.Data, nil, settle.Options{
			Path: h.Name, Answers: "kit.answers.toml", Job: job.Default(),
			Mend: mend.Options{Options: lint.Options{Rules: rules.All()}}, Save: func([]byte) error { return nil },
		})
		o := Options{Path: h.Name, Output: "out.dxf", Answers: "kit.answers.toml"}
		o.Talk.About = &report.About{Version: "test"}
		return desk, &o, nil
	}}, Options{Listen: listen, Idle: idle})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	v.stop, v.at = stop, v.s.Addresses()[0]
	go func() { v.done <- v.s.Serve(ctx) }()
	t.Cleanup(stop)
	return v, opened
}

var binary = map[string]string{"Content-Type": "application/octet-stream"}

// Nobody but the page itself can hand over a drawing or have one opened.
func TestChooseIsGuarded(t *testing.T) {
	v, opened := choosing(t, "", 0)
	other := strings.Replace(v.at, v.s.token, strings.Repeat("0", len(v.s.token)), 1)
	for _, tt := range []struct {
		url  string
		with map[string]string
	}{
		{v.at + "drawing?name=kit.dxf", map[string]string{"Content-Type": "text/plain"}},
		{v.at + "drawing?name=kit.dxf", map[string]string{"Content-Type": "application/json"}},
		{v.at + "open", binary},
		{other + "drawing?name=kit.dxf", binary},
		{v.at + "drawing?name=kit.dxf", map[string]string{"Content-Type": "application/octet-stream", "Origin": "http://elsewhere.example"}},
		{v.at + "drawing?name=kit.dxf", map[string]string{"Content-Type": "application/octet-stream", "Host": "elsewhere.example"}},
		{v.at + "drawing?name=kit.dxf", map[string]string{"Content-Type": "application/octet-stream", "Sec-Fetch-Site": "cross-site"}},
	} {
		if status, text := v.ask("POST", tt.url, `{"path":"x"}`, tt.with); status != http.StatusForbidden {
			t.Errorf("%s %v: %d %s", tt.url, tt.with, status, text)
		}
	}
	if *opened != 0 {
		t.Errorf("%d opened", *opened)
	}
	if status, _ := v.ask("POST", v.at+"open", `{"path":"`+strings.Repeat("x", mostBody)+`"}`, nil); status != http.StatusBadRequest {
		t.Errorf("a path without end: %d", status)
	}
}

// A file of this machine is opened by its path on this machine alone.
func TestChooseByPath(t *testing.T) {
	v, opened := choosing(t, "", 0)
	if status, text := v.ask("POST", v.at+"open", `{"path":"x"}`, nil); status != http.StatusUnprocessableEntity || text != "no such file\n" {
		t.Errorf("%d %q", status, text)
	}
	far, farOpened := choosing(t, "0.0.0.0", 0)
	if status, text := far.ask("POST", far.at+"open", `{"path":"x"}`, nil); status != http.StatusForbidden {
		t.Errorf("from elsewhere: %d %q", status, text)
	}
	if _, text := far.ask("GET", far.at, "", nil); strings.Contains(text, `id="path"`) {
		t.Error("the page offers it elsewhere")
	}
	if *opened != 1 || *farOpened != 0 {
		t.Errorf("%d and %d opened", *opened, *farOpened)
	}
}

// What cannot be read leaves the page as it is; a drawing takes its place, for all windows.
func TestChooseSeats(t *testing.T) {
	v, _ := choosing(t, "", 0)
	r, err := http.Get(v.at + "events")
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	if status, text := v.ask("POST", v.at+"drawing?name=bad.dxf", "bad", binary); status != http.StatusUnprocessableEntity || !strings.HasPrefix(text, "bad.dxf: ") {
		t.Errorf("%d %q", status, text)
	}
	if _, text := v.ask("GET", v.at, "", nil); !strings.Contains(text, "Drop the drawing here") {
		t.Error("the page is gone")
	}
	for range 2 { // the second one comes too late
		if status, text := v.ask("POST", v.at+"drawing?name=kit.dxf", string(crane(t)), binary); status != http.StatusNoContent && status != http.StatusNotFound {
			t.Fatalf("%d %q", status, text)
		}
	}
	if told, err := io.ReadAll(r.Body); err != nil || !strings.Contains(string(told), "event: over") {
		t.Errorf("another window is told %q, %v", told, err)
	}
	if s := v.state(); s["asked"].(float64) < 20 {
		t.Errorf("%v asked", s["asked"])
	}
}

// Without a page the program ends.
func TestChooseEnds(t *testing.T) {
	v, _ := choosing(t, "", 100*time.Millisecond)
	if err := <-v.done; err != nil {
		t.Error(err)
	}
}
