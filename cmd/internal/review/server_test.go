package review

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sluice/cmd/internal/talk"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/report"
	"sluice/lint/rules"
	"sluice/lint/settle"
)

// served is a desk that is served in a test.
type served struct {
	t     *testing.T
	s     *Server
	at    string // of the page
	kept  []byte
	done  chan error
	stop  context.CancelFunc
	wrote int
}

func serve(t *testing.T, data []byte, idle time.Duration) *served {
	t.Helper()
	return serveWith(t, data, job.Default(), idle)
}

func serveWith(t *testing.T, data []byte, j *job.Job, idle time.Duration) *served {
	t.Helper()
	v := &served{t: t, done: make(chan error, 1)}
	desk := settle.Open(data, nil, settle.Options{
		Path: "kit.dxf", Answers: "kit.answers.toml", Job: j,
		Mend: mend.Options{Options: lint.Options{Rules: rules.All()}},
		Save: func(text []byte) error { v.kept = text; return nil },
	})
	var err error
	v.s, err = New(desk, Options{
		Path: "kit.dxf", Output: "kit-jet.dxf", Answers: "kit.answers.toml", Idle: idle,
		Talk: talk.Options{About: &report.About{Version: "test"}, Write: func(r *settle.Round, replace bool) (string, error) {
			if v.wrote++; v.wrote == 1 && !replace {
				return "", fmt.Errorf("kit-jet.dxf: %w", talk.ErrExists)
			}
			return fmt.Sprintf("%d bytes", len(r.Drawing)), nil
		}},
	})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	v.stop, v.at = stop, v.s.Addresses()[0]
	go func() { v.done <- v.s.Serve(ctx) }()
	t.Cleanup(stop)
	return v
}

// ask sends a request and returns the status and the body.
func (v *served) ask(method, url, body string, with map[string]string) (int, string) {
	v.t.Helper()
	r, err := http.NewRequest(method, url, strings.NewReader(body))
	if err != nil {
		v.t.Fatal(err)
	}
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	for k, h := range with {
		r.Header.Set(k, h)
		if k == "Host" {
			r.Host = h
		}
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		v.t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		v.t.Fatal(err)
	}
	for k := range answer.Header {
		if strings.HasPrefix(k, "Access-Control-") {
			v.t.Errorf("%s %s lets other pages in: %s", method, url, k)
		}
	}
	return answer.StatusCode, string(text)
}

// state waits until the drawing is repaired and returns what the page is told.
func (v *served) state() map[string]any {
	v.t.Helper()
	for range 600 {
		status, text := v.ask("GET", v.at+"state", "", nil)
		if status != http.StatusOK {
			v.t.Fatalf("state: %d %s", status, text)
		}
		var s map[string]any
		if err := json.Unmarshal([]byte(text), &s); err != nil {
			v.t.Fatal(err)
		}
		if s["busy"] == false && s["round"].(float64) > 0 {
			return s
		}
		time.Sleep(20 * time.Millisecond)
	}
	v.t.Fatal("the drawing is not repaired")
	return nil
}

func crane(t *testing.T) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "..", "fixtures", "harbour-crane.dxf"))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// item returns the first question of a group that has a choice.
func item(s map[string]any, choice string) (id string) {
	for _, g := range s["groups"].([]any) {
		it := g.(map[string]any)["items"].([]any)[0].(map[string]any)
		for _, c := range it["choices"].([]any) {
			if c.(map[string]any)["name"] == choice {
				return it["id"].(string)
			}
		}
	}
	return ""
}

// TestServed goes the whole way: the page, its state, picture and previews, an answer,
// back and forth, and writing.
func TestServed(t *testing.T) {
	v := serve(t, crane(t), 0)
	if status, page := v.ask("GET", v.at, "", nil); status != 200 || !strings.Contains(page, "kit.answers.toml") {
		t.Errorf("page: %d, %d bytes", status, len(page))
	}
	s := v.state()
	asked := s["asked"].(float64)
	id := item(s, "extend")
	if id == "" {
		t.Fatal("no gap is asked about")
	}
	if status, text := v.ask("GET", v.at+"preview?choice=extend&id="+id, "", nil); status != 200 || !strings.Contains(text, `"new":"M`) {
		t.Errorf("preview: %d %s", status, text)
	}
	if status, text := v.ask("GET", v.at+"picture", "", nil); status != 200 || !strings.Contains(text, "side after") {
		t.Errorf("picture: %d, %d bytes", status, len(text))
	}
	if status, text := v.ask("POST", v.at+"take", `{"id":"`+id+`","choice":"extend"}`, nil); status != 204 {
		t.Fatalf("take: %d %s", status, text)
	}
	if !bytes.Contains(v.kept, []byte(id)) {
		t.Error("the answer is not kept before it is acknowledged")
	}
	s = v.state()
	if s["asked"].(float64) >= asked || s["undo"] == "" || len(s["answered"].([]any)) != 1 {
		t.Errorf("after an answer: %v asked of %v, undo %v", s["asked"], asked, s["undo"])
	}
	for _, step := range []struct {
		do   string
		want int
	}{{"undo", 204}, {"undo", 422}, {"redo", 204}, {"redo", 422}} {
		if status, text := v.ask("POST", v.at+step.do, "{}", nil); status != step.want {
			t.Errorf("%s: %d %s, want %d", step.do, status, text, step.want)
		}
	}
	v.state()
	if status, text := v.ask("POST", v.at+"write", `{"replace":false}`, nil); status != http.StatusConflict || !strings.Contains(text, "kit-jet.dxf") {
		t.Errorf("writing over: %d %s", status, text)
	}
	if status, text := v.ask("POST", v.at+"write", `{"replace":true}`, nil); status != 200 || !strings.Contains(text, "bytes") {
		t.Errorf("write: %d %s", status, text)
	}
	if s = v.state(); s["written"] == "" {
		t.Error("what was written is not told")
	}
	if status, _ := v.ask("POST", v.at+"forget", `{"ids":["`+id+`"]}`, nil); status != 204 {
		t.Errorf("forget: %d", status)
	}
	v.stop()
	if err := <-v.done; err != nil {
		t.Error(err)
	}
}

// TestHostilePage plays a page of somebody else's, open in the same browser, and other
// programs of the machine.
func TestHostilePage(t *testing.T) {
	v := serve(t, crane(t), 0)
	id := item(v.state(), "leave")
	take := `{"id":"` + id + `","choice":"leave"}`
	_, port, _ := net.SplitHostPort(strings.Split(v.at, "/")[2])
	root := "http://127.0.0.1:" + port + "/"
	for _, tc := range []struct {
		name, method, url, body string
		with                    map[string]string
		want                    int
	}{
		{"no token", "GET", root, "", nil, 403},
		{"no token, state", "GET", root + "state", "", nil, 403},
		{"another token", "GET", root + strings.Repeat("0", 32) + "/state", "", nil, 403},
		{"half a token", "GET", strings.TrimSuffix(v.at, "/")[:len(v.at)-9] + "/state", "", nil, 403},
		{"a name that leads here", "GET", v.at + "state", "", map[string]string{"Host": "kits.example:" + port}, 403},
		{"another port", "GET", v.at + "state", "", map[string]string{"Host": "127.0.0.1:1"}, 403},
		{"another origin", "POST", v.at + "take", take, map[string]string{"Origin": "http://kits.example"}, 403},
		{"no origin to speak of", "POST", v.at + "take", take, map[string]string{"Origin": "null"}, 403},
		{"same machine, other port", "POST", v.at + "take", take, map[string]string{"Origin": "http://127.0.0.1:1"}, 403},
		{"an address told as secure", "POST", v.at + "take", take, map[string]string{"Origin": "https://127.0.0.1:" + port}, 403},
		{"from another site", "GET", v.at + "state", "", map[string]string{"Sec-Fetch-Site": "cross-site"}, 403},
		{"a form", "POST", v.at + "take", take, map[string]string{"Content-Type": "text/plain"}, 403},
		{"a form that says what it is", "POST", v.at + "take", take, map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, 403},
		{"by an image", "GET", v.at + "take", "", nil, 405},
		{"an endless body", "POST", v.at + "take", `{"id":"` + strings.Repeat("x", 2*mostBody) + `"}`, nil, 400},
		{"no JSON", "POST", v.at + "take", "id=1", nil, 400},
		{"a key too many", "POST", v.at + "take", `{"id":"x","choice":"leave","path":"/etc/passwd"}`, nil, 400},
		{"a question that is not asked", "POST", v.at + "take", `{"id":"x","choice":"leave"}`, nil, 422},
		{"a path out of it", "GET", v.at + "..%2f..%2fetc%2fpasswd", "", nil, 403},
		{"our own page", "POST", v.at + "take", take, map[string]string{"Origin": "http://127.0.0.1:" + port, "Sec-Fetch-Site": "same-origin"}, 204},
	} {
		if status, text := v.ask(tc.method, tc.url, tc.body, tc.with); status != tc.want {
			t.Errorf("%s: %d %s, want %d", tc.name, status, text, tc.want)
		}
	}
	if n := bytes.Count(v.kept, []byte("[[answer]]")); n != 1 {
		t.Errorf("%d answers kept, want that of our own page alone", n)
	}
}

// TestHostileDrawing shows a drawing whose names are markup: they stay text.
func TestHostileDrawing(t *testing.T) {
	const evil = `</script><script>alert(1)</script><img src=x onerror=alert(2)>`
	drawing := "0\nSECTION\n2\nENTITIES\n0\nLINE\n8\n" + evil + "\n10\n0\n20\n0\n11\n50\n21\n0\n0\nCIRCLE\n8\n" + evil +
		"\n10\n0\n20\n0\n40\n30\n0\nTEXT\n8\n" + evil + "\n10\n0\n20\n0\n40\n3\n1\n\"><svg onload=alert(3)>\n0\nENDSEC\n0\nEOF\n"
	v := serve(t, []byte(drawing), 0)
	v.state()
	for _, what := range []string{"", "state"} {
		if _, text := v.ask("GET", v.at+what, "", nil); strings.Contains(text, "<script>alert") || strings.Contains(text, "<img") {
			t.Errorf("%q breaks out", what)
		}
	}
	_, text := v.ask("GET", v.at+"picture", "", nil)
	var p struct{ Picture string }
	if err := json.Unmarshal([]byte(text), &p); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(p.Picture, "&gt;&lt;svg onload") || strings.Contains(p.Picture, "<svg") || strings.Contains(p.Picture, "<script") {
		t.Errorf("the picture breaks out: %.300s", p.Picture)
	}
}

// TestEvents hears of changes made in another window, and ends the server once nobody
// listens any more.
func TestEvents(t *testing.T) {
	v := serve(t, crane(t), 300*time.Millisecond)
	hear := func() *bufio.Scanner {
		r, err := http.Get(v.at + "events")
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { r.Body.Close() })
		return bufio.NewScanner(r.Body)
	}
	next := func(s *bufio.Scanner) string {
		for s.Scan() {
			if n, ok := strings.CutPrefix(s.Text(), "data: "); ok {
				return n
			}
		}
		return ""
	}
	r, err := http.Get(v.at + "events")
	if err != nil {
		t.Fatal(err)
	}
	one, other := bufio.NewScanner(r.Body), hear()
	next(one)
	next(other)
	s := v.state()
	time.Sleep(500 * time.Millisecond) // longer than an empty house lasts
	id := item(s, "leave")
	if status, text := v.ask("POST", v.at+"take", `{"id":"`+id+`","choice":"leave"}`, nil); status != 204 {
		t.Fatal(status, text)
	}
	want := fmt.Sprint(v.state()["version"].(float64))
	for got := ""; got != want; {
		if got = next(other); got == "" {
			t.Fatalf("the other window never hears of %s", want)
		}
	}
	r.Body.Close()
	http.DefaultClient.CloseIdleConnections()
	select {
	case err := <-v.done:
		t.Fatalf("ended while a page was open: %v", err)
	case <-time.After(400 * time.Millisecond):
	}
}

// TestIdle ends the server once its page is closed.
func TestIdle(t *testing.T) {
	v := serve(t, crane(t), 100*time.Millisecond)
	select {
	case err := <-v.done:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(20 * time.Second):
		t.Error("the server stays though no page is open")
	}
}

// TestListen serves other machines only where it is told to.
func TestListen(t *testing.T) {
	v := serve(t, crane(t), 0)
	if at := v.s.listen.Addr().(*net.TCPAddr); !at.IP.IsLoopback() {
		t.Errorf("listens on %v", at)
	}
	desk := settle.Open(nil, nil, settle.Options{Job: job.Default(), Save: func([]byte) error { return nil }})
	s, err := New(desk, Options{Talk: talk.Options{About: &report.About{}}, Listen: "0.0.0.0"})
	if err != nil {
		t.Fatal(err)
	}
	defer s.listen.Close()
	for _, a := range s.Addresses() {
		if !s.ours(strings.Split(a, "/")[2]) {
			t.Errorf("%s is not known as ours", a)
		}
	}
	if _, err := New(desk, Options{Talk: talk.Options{About: &report.About{}}, Port: s.listen.Addr().(*net.TCPAddr).Port}); err == nil {
		t.Error("a port that is taken is taken again")
	}
}
