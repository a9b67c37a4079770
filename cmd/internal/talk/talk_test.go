package talk_test

import (
	"context"
	"fmt"
	"net/url"
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

// square is a drawing of one part.
const square = "0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n30\n0\nENDSEC\n0\nEOF\n"

// TestTalk asks what there is and what there is not, and writes.
func TestTalk(t *testing.T) {
	desk := settle.Open([]byte(square), nil, settle.Options{
		Path: "kit.dxf", Answers: "kit.answers.toml", Job: job.Default(),
		Mend: mend.Options{Options: lint.Options{Rules: rules.All()}}, Save: func([]byte) error { return nil },
	})
	wrote := 0
	k := talk.With(desk, talk.Options{About: &report.About{Version: "test"}, Write: func(r *settle.Round, replace bool) (string, error) {
		if wrote++; !replace {
			return "", fmt.Errorf("kit-jet.dxf: %w", talk.ErrExists)
		}
		return fmt.Sprintf("round %d", r.Number), nil
	}})
	ask := func(a talk.Answer) string {
		var b strings.Builder
		if a.Write != nil {
			if err := a.Write(&b); err != nil {
				t.Fatal(err)
			}
		}
		return fmt.Sprint(a.Status, " ", strings.TrimSpace(b.String()))
	}
	order := func(name, body string) string { return ask(k.Order(name, strings.NewReader(body))) }
	if got := order("write", `{}`); got != "422 the drawing is still being repaired; write it when that is done" {
		t.Errorf("before the repair: %s", got)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() { defer close(ended); desk.Run(ctx) }()
	t.Cleanup(func() { stop(); <-ended })
	for end := time.After(time.Minute); ; {
		_, changed := desk.Changed()
		if v, err := desk.View(); err == nil && !v.Busy {
			break
		}
		select {
		case <-changed:
		case <-end:
			t.Fatal("the drawing is not repaired")
		}
	}
	for _, tt := range []struct{ got, want string }{
		{ask(k.Ask("nothing", nil)), "404 there is no nothing to ask for"},
		{ask(k.Ask("take", nil)), "404 there is no take to ask for"},
		{order("state", `{}`), "404 state cannot be done"},
		{order("take", `{`), "400 the request cannot be read"},
		{order("take", `{"weight":1}`), "400 the request cannot be read"},
		{order("undo", ``), "422 there is nothing to take back"},
		{order("write", `{"replace":false}`), "409 kit-jet.dxf: exists already"},
		{order("write", `{"replace":true}`), `200 {"told":"round 1"}`},
		{order("write", `{"replace":false}`), `200 {"told":"round 1"}`}, // it is ours by now
		{ask(k.Ask("preview", url.Values{"id": {"none"}})), "422 this is not asked any more; the drawing has changed since"},
	} {
		if tt.got != tt.want {
			t.Errorf("got %s\nwant %s", tt.got, tt.want)
		}
	}
	if s := ask(k.Ask("state", nil)); !strings.HasPrefix(s, "200 {") || !strings.Contains(s, `"written":"round 1"`) {
		t.Errorf("state: %s", s)
	}
	if s := ask(k.Ask("picture", nil)); !strings.HasPrefix(s, `200 {"round":1,`) {
		t.Errorf("picture: %.80s", s)
	}
	if wrote != 3 {
		t.Errorf("written %d times", wrote)
	}
}
