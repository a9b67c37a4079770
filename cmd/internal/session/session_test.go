package session_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sluice/cmd/internal/session"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

func fixture(t *testing.T, name string) session.File {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "..", "fixtures", name))
	if err != nil {
		t.Fatal(err)
	}
	return session.File{Name: name, Data: data}
}

// settled runs a session and waits until its drawing is repaired.
func settled(t *testing.T, s *session.Session) {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { defer close(ended); s.Desk.Run(ctx) }()
	t.Cleanup(func() { stop(); <-ended })
	wait(t, s)
}

func wait(t *testing.T, s *session.Session) {
	t.Helper()
	for end := time.After(2 * time.Minute); ; {
		_, changed := s.Desk.Changed()
		v, err := s.Desk.View()
		if err != nil {
			t.Fatal(err)
		}
		if !v.Busy && v.Round != nil {
			if v.Round.Err != nil {
				t.Fatal(v.Round.Err)
			}
			return
		}
		select {
		case <-changed:
		case <-end:
			t.Fatal("the drawing is not repaired")
		}
	}
}

func write(t *testing.T, s *session.Session) []session.File {
	t.Helper()
	if a := s.Order("write", strings.NewReader(`{"replace":false}`)); a.Status != 200 {
		t.Fatalf("write: %d", a.Status)
	}
	return s.Files()
}

// TestSession settles the demo from bytes and compares what is to be saved with what
// the repair of the same drawing under the same job and answers writes.
func TestSession(t *testing.T) {
	kit, crane := fixture(t, "harbour-crane.dxf"), fixture(t, "crane.toml")
	turns := 0
	s, err := session.Open(&session.Input{
		Drawing: session.File{Name: `C:\kits\crane.v2.dxf`, Data: kit.Data}, Job: &crane,
		Settings: []session.Setting{{Name: "jet.kerf", Value: "0.8mm"}},
		Under:    func(ctx context.Context) context.Context { turns++; return ctx },
	})
	if err != nil {
		t.Fatal(err)
	}
	settled(t, s)
	first := write(t, s)
	if len(first) != 2 || first[0].Name != "crane.v2-jet.dxf" || first[1].Name != "crane.v2-jet.html" || s.Answers() != nil {
		t.Errorf("%d files without answers, %s", len(first), first[0].Name)
	}
	v, err := s.Desk.View()
	if err != nil {
		t.Fatal(err)
	}
	q := v.Round.Asked[0]
	if err := s.Desk.Take(q.ID, false, q.Choices[0].Name, ""); err != nil {
		t.Fatal(err)
	}
	wait(t, s)
	second := write(t, s)
	if len(second) != 3 || second[2].Name != "crane.v2.answers.toml" || !bytes.Equal(second[2].Data, s.Answers().Data) {
		t.Fatalf("%d files with answers", len(second))
	}
	if turns < 2 {
		t.Errorf("%d repairs under a context of the caller's", turns)
	}
	for _, tt := range []struct {
		files   []session.File
		answers []byte
	}{{first, nil}, {second, second[len(second)-1].Data}} {
		j, err := job.Parse(crane.Data, "crane.toml", nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := j.Set("jet.kerf", "0.8mm"); err != nil {
			t.Fatal(err)
		}
		if tt.answers != nil {
			if j.Answers, err = job.ParseAnswers(tt.answers, "a"); err != nil {
				t.Fatal(err)
			}
		}
		_, want, err := mend.Fix(t.Context(), "kit.dxf", bytes.NewReader(kit.Data), j, mend.Options{Options: lint.Options{Rules: rules.All()}})
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(tt.files[0].Data, want) {
			t.Error("the corrected drawing is not what the repair writes")
		}
	}
	if bytes.Equal(first[0].Data, second[0].Data) {
		t.Error("the answer changes nothing")
	}
	again, err := session.Open(&session.Input{Drawing: kit, Job: &crane, Answers: s.Answers(), Settings: []session.Setting{{Name: "jet.kerf", Value: "0.8mm"}}})
	if err != nil {
		t.Fatal(err)
	}
	settled(t, again)
	if got := write(t, again); !bytes.Equal(got[0].Data, second[0].Data) || got[2].Name != "crane.v2.answers.toml" {
		t.Error("with the answers handed over, the drawing is another")
	}
}

// TestOpenRefuses tells in a line what is wrong with what is handed over.
func TestOpenRefuses(t *testing.T) {
	text := func(name, s string) *session.File { return &session.File{Name: name, Data: []byte(s)} }
	long := strings.Repeat("#\n", 1<<20)
	for _, tt := range []struct {
		in   session.Input
		want string
	}{
		{session.Input{Job: text("shop.toml", "[jet]\nkerv = 1\n")}, `shop.toml:2: jet.kerv: unknown setting; did you mean "kerf"?`},
		{session.Input{Job: text("shop.toml", long)}, "shop.toml: is over 1024 kB"},
		{session.Input{Answers: text("a.toml", "[[answer]]\n")}, "a.toml:"},
		{session.Input{Answers: text("a.toml", long)}, "a.toml: is over 1024 kB"},
		{session.Input{Settings: []session.Setting{{Name: "jet.kerf", Value: "wide"}}}, `kerf: "wide" is no length`},
	} {
		tt.in.Drawing = session.File{Name: "kit.dxf"}
		_, err := session.Open(&tt.in)
		if err == nil || !strings.HasPrefix(err.Error(), tt.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%v, want %s", err, tt.want)
		}
	}
}
