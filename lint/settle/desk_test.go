package settle_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
	"sluice/lint/settle"
)

// desk is a desk in a test, with the file that its answers are kept in.
type desk struct {
	*settle.Desk
	t    *testing.T
	kept []byte
}

// open sets out a drawing that waits for its answers.
func open(t *testing.T, data, text []byte, j *job.Job) *desk {
	t.Helper()
	d := &desk{t: t, kept: text}
	d.Desk = settle.Open(data, text, settle.Options{
		Path: "kit.dxf", Answers: "kit.answers.toml", Job: j,
		Mend: mend.Options{Options: lint.Options{Rules: rules.All()}},
		Save: func(text []byte) error { d.kept = text; return nil },
	})
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { defer close(ended); d.Run(ctx) }()
	t.Cleanup(func() { stop(); <-ended })
	return d
}

// settled waits until the drawing is repaired under the answers in force.
func (d *desk) settled() *settle.View {
	d.t.Helper()
	end := time.After(2 * time.Minute)
	for {
		_, changed := d.Changed()
		v, err := d.View()
		if err != nil {
			d.t.Fatal(err)
		}
		if !v.Busy && v.Round != nil {
			if v.Round.Err != nil {
				d.t.Fatal(v.Round.Err)
			}
			return v
		}
		select {
		case <-changed:
		case <-end:
			d.t.Fatal("the drawing is not repaired")
		}
	}
}

func crane(t *testing.T) ([]byte, *job.Job) {
	t.Helper()
	dir := filepath.Join("..", "..", "fixtures")
	data, err := os.ReadFile(filepath.Join(dir, "harbour-crane.dxf"))
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(dir, "crane.toml"))
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Parse(text, "crane.toml", nil)
	if err != nil {
		t.Fatal(err)
	}
	return data, j
}

// TestSettle settles the demo kit one question after the other until nothing is asked,
// then takes every step back: the drawing is that without answers, byte for byte, and
// the file of answers is gone. Going forth again comes to the same drawing.
func TestSettle(t *testing.T) {
	data, j := crane(t)
	d := open(t, data, nil, j)
	first := d.settled().Round
	if len(first.Asked) < 20 {
		t.Fatalf("%d questions", len(first.Asked))
	}
	steps := 0
	var last *settle.Round
	for last = first; len(last.Asked) > 0; last = d.settled().Round {
		if steps++; steps > 100 {
			t.Fatalf("%d questions left after 100 answers", len(last.Asked))
		}
		q := &last.Asked[0]
		if err := d.Take(q.ID, true, q.Choices[0].Name, ""); err != nil {
			t.Fatal(err)
		}
	}
	a, err := job.ParseAnswers(d.kept, "a")
	if err != nil {
		t.Fatal(err)
	}
	if len(a.List) < steps {
		t.Errorf("%d answers kept of %d steps", len(a.List), steps)
	}
	if bytes.Equal(first.Drawing, last.Drawing) {
		t.Error("the answers change nothing")
	}
	for range steps {
		if err := d.Undo(); err != nil {
			t.Fatal(err)
		}
	}
	if v := d.settled(); !bytes.Equal(v.Round.Drawing, first.Drawing) || d.kept != nil || v.Undo != "" {
		t.Errorf("taking all back does not lead back: same bytes %v, kept %q", bytes.Equal(v.Round.Drawing, first.Drawing), d.kept)
	}
	if err := d.Undo(); err == nil {
		t.Error("a step before the first is taken back")
	}
	for range steps {
		if err := d.Redo(); err != nil {
			t.Fatal(err)
		}
	}
	if v := d.settled(); !bytes.Equal(v.Round.Drawing, last.Drawing) {
		t.Error("going forth again comes to another drawing")
	}
}

// TestTake tells what cannot be taken, and answers what is alike in one go.
func TestTake(t *testing.T) {
	data, j := crane(t)
	d := open(t, data, nil, j)
	v := d.settled()
	if err := d.Take("nothing", false, "leave", ""); err == nil {
		t.Error("a question that nobody asked is answered")
	}
	q := v.Round.Asked[0]
	if err := d.Take(q.ID, false, "leeve", ""); err == nil {
		t.Error("a choice that there is not is taken")
	}
	var many settle.Question
	alike := 0
	for i := range v.Round.Asked {
		n := 0
		for k := range v.Round.Asked {
			if lint.AlikeKey(&v.Round.Asked[i].Finding) == lint.AlikeKey(&v.Round.Asked[k].Finding) {
				n++
			}
		}
		if n > alike {
			alike, many = n, v.Round.Asked[i]
		}
	}
	if err := d.Take(many.ID, true, "leave", "as drawn"); err != nil {
		t.Fatal(err)
	}
	v = d.settled()
	if len(v.Answers.List) != alike || v.Undo == "" {
		t.Errorf("%d answered of %d alike, undo %q", len(v.Answers.List), alike, v.Undo)
	}
	if err := d.Forget([]string{many.ID}); err != nil {
		t.Fatal(err)
	}
	if v = d.settled(); len(v.Answers.List) != alike-1 {
		t.Errorf("%d answers after one was taken back", len(v.Answers.List))
	}
}

// TestPreview shows what choices would do before they are taken.
func TestPreview(t *testing.T) {
	data, j := crane(t)
	d := open(t, data, nil, j)
	shown := 0
	asked := d.settled().Round.Asked
	for i := range asked {
		for k := range asked[i].Choices {
			w := &asked[i].Choices[k]
			p, err := d.Preview(asked[i].ID, w.Name)
			if err != nil {
				t.Fatal(err)
			}
			if n := len(p.Gone) + len(p.New); n > 0 {
				shown++
				if !w.Does() || !p.Box.Finite() {
					t.Errorf("%s %s: %d pieces shown in %v", asked[i].Rule, w.Name, n, p.Box)
				}
			}
		}
	}
	if shown < 20 {
		t.Errorf("%d choices are shown", shown)
	}
}

// TestAnswerWhileBusy gives answers while the drawing is being repaired: none is lost,
// and the last word counts.
func TestAnswerWhileBusy(t *testing.T) {
	data, j := crane(t)
	d := open(t, data, nil, j)
	asked := d.settled().Round.Asked
	for i := range asked {
		if err := d.Take(asked[i].ID, false, "leave", fmt.Sprint(i)); err != nil {
			t.Fatal(err)
		}
	}
	if v := d.settled(); len(v.Answers.List) != len(asked) || len(v.Round.Asked) > 0 {
		t.Errorf("%d answers to %d questions, %d left", len(v.Answers.List), len(asked), len(v.Round.Asked))
	}
}

// TestSaveFails tells that an answer could not be kept, and does not take it.
func TestSaveFails(t *testing.T) {
	data, j := crane(t)
	d := settle.Open(data, nil, settle.Options{
		Path: "kit.dxf", Answers: "kit.answers.toml", Job: j, Mend: mend.Options{Options: lint.Options{Rules: rules.All()}},
		Save: func([]byte) error { return os.ErrPermission },
	})
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	go d.Run(ctx)
	w := &desk{Desk: d, t: t}
	q := w.settled().Round.Asked[0]
	if err := d.Take(q.ID, false, "leave", ""); err == nil {
		t.Error("an answer that is not kept counts")
	}
	if v := w.settled(); len(v.Answers.List) != 0 || v.Undo != "" {
		t.Errorf("%d answers in force", len(v.Answers.List))
	}
}

// TestUnreadable tells why there is no drawing, and goes on.
func TestUnreadable(t *testing.T) {
	_, j := crane(t)
	d := settle.Open([]byte("no drawing"), nil, settle.Options{Path: "kit.dxf", Job: j, Save: func([]byte) error { return nil }})
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	go d.Run(ctx)
	for {
		_, changed := d.Changed()
		v, err := d.View()
		if err != nil {
			t.Fatal(err)
		}
		if v.Round != nil {
			if v.Round.Err == nil {
				t.Error("no drawing is read")
			}
			return
		}
		<-changed
	}
}
