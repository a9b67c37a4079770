package pick_test

import (
	"bytes"
	"cmp"
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/pick"
	"sluice/lint/rules"
)

var options = lint.Options{Rules: rules.All()}

// both returns the demo kit as drawn and as corrected, judged.
func both(t *testing.T, change func(*job.Job)) (old, now *lint.Result) {
	t.Helper()
	dir := filepath.Join("..", "..", "fixtures")
	data, err := os.ReadFile(filepath.Join(dir, "harbour-crane.dxf"))
	if err != nil {
		t.Fatal(err)
	}
	j := job.Default()
	j.Units = "mm"
	change(j)
	_, fixed, err := mend.Fix(t.Context(), "kit.dxf", bytes.NewReader(data), j, mend.Options{Options: options})
	if err != nil {
		t.Fatal(err)
	}
	return lint.Check(t.Context(), "kit.dxf", bytes.NewReader(data), j, options), lint.Check(t.Context(), "kit-jet.dxf", bytes.NewReader(fixed), j, options)
}

// ink is what is drawn in a role: places along it, so that how it is split does not show.
func ink(r *lint.Result, want ...outline.Role) (length float64, at []geom.Point) {
	role, _ := lint.Roles(r.Drawing, r.Job)
	for i := range r.Drawing.Strokes {
		s := &r.Drawing.Strokes[i]
		if slices.Contains(want, role(s)) {
			length += s.Length()
			if s.IsCircle() {
				at = append(at, s.C)
				continue
			}
			at = append(at, s.Mid())
		}
	}
	slices.SortFunc(at, func(a, b geom.Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	return length, at
}

// sameInk compares what two drawings cut, hold by tabs, etch and note.
func sameInk(t *testing.T, name string, a, b *lint.Result) {
	t.Helper()
	// What nobody has decided on is drawn like a cut in one, and is a note in the other.
	for _, r := range [][]outline.Role{{outline.Cut, outline.Noted}, {outline.Tab}, {outline.Etch}} {
		la, pa := ink(a, r...)
		lb, pb := ink(b, r...)
		if math.Abs(la-lb) > 1e-3 || len(pa) != len(pb) {
			t.Errorf("%s: role %v: %.4f mm in %d strokes, want %.4f in %d", name, r, lb, len(pb), la, len(pa))
			continue
		}
		far := 0.0
		for i := range pa {
			best := math.Inf(1)
			for k := max(0, i-40); k < min(len(pb), i+40); k++ {
				best = min(best, pa[i].Dist(pb[k]))
			}
			far = max(far, best)
		}
		if far > 1e-6 {
			t.Errorf("%s: role %v: a stroke is %g mm off", name, r, far)
		}
	}
}

func answers(t *testing.T, all []lint.Finding, choice func(i int) string) *job.Answers {
	t.Helper()
	a := job.NewAnswers("kit.taken.toml")
	for i := range all {
		a.Add(job.Answer{Finding: all[i].ID, Choice: choice(i)})
	}
	return a
}

// TestPick accepts all changes of a repair, none, and every second one.
func TestPick(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*job.Job)
	}{
		{"plain", func(j *job.Job) { j.Labels.Parts, j.Tabs.Parts = "none", "none" }},
		{"tabs and numbers", func(*job.Job) {}},
	} {
		old, now := both(t, tt.change)
		p := pick.New(old, now, options)
		all := p.Changes()
		if len(all) < 8 {
			t.Errorf("%s: %d changes", tt.name, len(all))
		}
		ids := map[string]bool{}
		for i := range all {
			if ids[all[i].ID] || len(all[i].Choices) != 2 || all[i].Message == "" {
				t.Errorf("%s: %+v", tt.name, all[i])
			}
			ids[all[i].ID] = true
		}
		yes := p.Round(t.Context(), answers(t, all, func(int) string { return pick.Accept }))
		none := p.Round(t.Context(), job.NewAnswers("none"))
		no := p.Round(t.Context(), answers(t, all, func(int) string { return pick.Reject }))
		for _, r := range []error{yes.Err, none.Err, no.Err} {
			if r != nil {
				t.Fatal(r)
			}
		}
		sameInk(t, tt.name+", all accepted", now, yes.Done.After)
		sameInk(t, tt.name+", all rejected", old, no.Done.After)
		if len(yes.Asked) != 0 || len(none.Asked) != len(all) || !bytes.Equal(none.Drawing, yes.Drawing) {
			t.Errorf("%s: %d asked, %d once all is decided", tt.name, len(none.Asked), len(yes.Asked))
		}
		// Every second one: what both halves take together is all that differs.
		half := p.Round(t.Context(), answers(t, all, func(i int) string { return []string{pick.Accept, pick.Reject}[i%2] }))
		if half.Err != nil {
			t.Fatal(half.Err)
		}
		rest := pick.Changes(half.Done.After, now)
		if n := len(rest); n < len(all)/4 || n > len(all)*3/4 {
			t.Errorf("%s: %d of %d changes are left after half were taken", tt.name, n, len(all))
		}
	}
}

// TestPickMoved tells a part that moved as one change, and nothing of two drawings that
// are the same.
func TestPickMoved(t *testing.T) {
	old, now := both(t, func(j *job.Job) { j.Labels.Parts, j.Tabs.Parts = "none", "none" })
	if all := pick.Changes(now, now); len(all) != 0 {
		t.Errorf("%d changes of a drawing against itself, such as %s", len(all), all[0].Message)
	}
	if all := pick.Changes(old, old); len(all) != 0 {
		t.Errorf("%d changes of a drawing against itself, such as %s", len(all), all[0].Message)
	}
	d := *now.Drawing
	d.Strokes = slices.Clone(d.Strokes)
	part := &now.Sheet.Parts[3]
	for _, o := range append([]int32{part.Outer}, part.Holes...) {
		for _, s := range now.Sheet.Outlines[o].Src {
			d.Strokes[s].Piece = now.Drawing.Strokes[s].Transform(geom.Shift(geom.Pt(900, 0)))
		}
	}
	moved, err := lint.Judge(context.Background(), "moved", &d, now.Job, options)
	if err != nil {
		t.Fatal(err)
	}
	all := pick.Changes(now, moved)
	if len(all) != 1 {
		for i := range all {
			t.Errorf("%s: %s at %v", all[i].Rule, all[i].Message, all[i].At)
		}
	}
}
