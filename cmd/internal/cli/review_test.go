package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"sluice/geom/geomtest"
)

// output is written by the command and read by the test.
type output struct {
	mu sync.Mutex
	b  strings.Builder
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.String()
}

// page serves a command and returns how to ask it.
func page(t *testing.T, args ...string) func(method, what, body string) (int, string) {
	t.Helper()
	return pageOf(t, wired(), args...)
}

// pageOf serves a command of an engine.
func pageOf(t *testing.T, e *engine, args ...string) func(method, what, body string) (int, string) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	var out, told output
	ended := make(chan int, 1)
	go func() { ended <- run(ctx, args, strings.NewReader(""), &out, &told, e) }()
	t.Cleanup(func() { stop(); <-ended })
	at := ""
	for end := time.Now().Add(time.Minute); at == ""; time.Sleep(10 * time.Millisecond) {
		if line, _, ok := strings.Cut(out.String(), "\n"); ok {
			at = line
		}
		select {
		case status := <-ended:
			t.Fatalf("ended with %d: %s", status, told.String())
		default:
		}
		if time.Now().After(end) {
			t.Fatalf("no address: %s", told.String())
		}
	}
	return func(method, what, body string) (int, string) {
		t.Helper()
		r, err := http.NewRequest(method, at+what, strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		if body != "" {
			r.Header.Set("Content-Type", "application/json")
		}
		if strings.HasPrefix(what, "drawing") {
			r.Header.Set("Content-Type", "application/octet-stream")
		}
		res, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer res.Body.Close()
		text, _ := io.ReadAll(res.Body)
		return res.StatusCode, string(text)
	}
}

// state is what a page is told, once the drawing is repaired.
func state(t *testing.T, ask func(method, what, body string) (int, string)) (s struct {
	Asked    int
	Busy     bool
	Round    int
	Error    string
	Picked   bool
	Answered []struct{ ID string }
	Groups   []struct{ Items []struct{ ID string } }
}) {
	t.Helper()
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		_, text := ask("GET", "state", "")
		if err := json.Unmarshal([]byte(text), &s); err != nil {
			t.Fatalf("%v: %s", err, text)
		}
		if !s.Busy && s.Round > 0 {
			return s
		}
	}
	t.Fatal("the drawing is not repaired")
	return s
}

// TestReviewDiff takes a repaired drawing piece by piece: with all its changes rejected
// it is what it was before.
func TestReviewDiff(t *testing.T) {
	dir := geomtest.Folder(t)
	at := func(name string) string { return filepath.Join(dir, name) }
	data, err := os.ReadFile("../../../fixtures/harbour-crane.dxf")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(at("old.dxf"), data, 0o644); err != nil {
		t.Fatal(err)
	}
	tool := func(args ...string) (int, string) {
		var out, told strings.Builder
		status := run(t.Context(), args, strings.NewReader(""), &out, &told, wired())
		return status, out.String() + told.String()
	}
	if status, told := tool("fix", at("old.dxf"), "-o", at("new.dxf"), "--units", "mm", "--quiet", "--fail-on", "never"); status != statusOK {
		t.Fatal(told)
	}
	ask := page(t, "review", "--diff", "--no-open", "--port", "0", "--units", "mm", "--quiet", at("old.dxf"), at("new.dxf"))
	s := state(t, ask)
	if s.Asked < 20 || !s.Picked {
		t.Fatalf("%d changes", s.Asked)
	}
	asked := s.Asked
	for n := 0; s.Asked > 0 && n < 40; n++ {
		if status, text := ask("POST", "take", `{"id":"`+s.Groups[0].Items[0].ID+`","alike":true,"choice":"reject"}`); status != http.StatusNoContent {
			t.Fatalf("%d %s", status, text)
		}
		s = state(t, ask)
	}
	if s.Asked != 0 || len(s.Answered) != asked {
		t.Errorf("%d left, %d decided of %d", s.Asked, len(s.Answered), asked)
	}
	kept, err := os.ReadFile(at("new.taken.toml"))
	if err != nil || bytes.Count(kept, []byte(`choice  = "reject"`)) != asked {
		t.Errorf("kept: %v, %d rejected", err, bytes.Count(kept, []byte("reject")))
	}
	if status, text := ask("POST", "write", `{"replace":false}`); status != http.StatusOK {
		t.Fatalf("%d %s", status, text)
	}
	if status, _ := ask("POST", "part", `{"part":"1","count":2}`); status != http.StatusUnprocessableEntity {
		t.Errorf("a part of a comparison is given a count: %d", status)
	}
	if status, told := tool("diff", at("old.dxf"), at("new-taken.dxf"), "--units", "mm", "--quiet"); status != statusOK {
		t.Errorf("with all rejected it differs: %s", told)
	}
	for _, tt := range []struct {
		args []string
		want string
	}{
		{[]string{"--diff", at("old.dxf")}, "takes two drawings"},
		{[]string{at("old.dxf"), at("new.dxf")}, "--diff compares two"},
		{[]string{"--diff", at("old.dxf"), dir}, "is a folder"},
		{[]string{"--diff", at("old.dxf"), at("none.dxf")}, "none.dxf"},
		{[]string{"--diff", "-", at("new.dxf")}, "name two files"},
		{[]string{"--diff", "--report", at("x.html"), at("old.dxf"), at("new.dxf")}, "leave --report"},
	} {
		if status, told := tool(append([]string{"review", "--no-open"}, tt.args...)...); status != statusFailure || !strings.Contains(told, tt.want) {
			t.Errorf("%v: %d %s", tt.args, status, told)
		}
	}
}
