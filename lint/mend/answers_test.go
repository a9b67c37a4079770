package mend_test

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/fix"
	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// answersTo answers findings by rule, and those of other rules not at all.
func answersTo(t *testing.T, r *lint.Result, choice map[string]string) *job.Answers {
	t.Helper()
	var b strings.Builder
	for i := range r.Findings {
		f := &r.Findings[i]
		c := choice[f.Rule]
		if len(f.Choices) == 0 || c == "" {
			continue
		}
		if !slices.ContainsFunc(f.Choices, func(w lint.Way) bool { return w.Name == c }) {
			c = job.Leave
		}
		fmt.Fprintf(&b, "[[answer]]\nfinding = %q\nchoice = %q\n", f.ID, c)
	}
	a, err := job.ParseAnswers([]byte(b.String()), "kit.answers.toml")
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestAnswers settles the demo kit by answers alone: what is chosen is done, once,
// and nothing is left but what nobody was asked about.
func TestAnswers(t *testing.T) {
	source := filepath.Join(fixtures, "harbour-crane.dxf")
	data, j := readFile(t, source), loadJob(t, filepath.Join(fixtures, "crane.toml"))
	bare, _ := repair(t, source, data, j)
	first := check(t, source, j)
	all := map[string]string{
		"open-outline": "extend", "loose-mark": "etch", "narrow-slot": "widen", "unmatched-joint": "fill",
		"live-text": "drop", "dense-curve": "refit", "lettering": "etch", "slot-thickness": "refit",
	}
	for i := range first.Findings {
		if rule := first.Findings[i].Rule; all[rule] == "" {
			all[rule] = job.Leave
		}
	}
	all["small-hole"] = "drop"
	own := *j
	own.Answers = answersTo(t, first, all)
	rep, out := repair(t, source, data, &own)
	for i := range rep.Left {
		if f := &rep.Left[i]; f.Rule != "small-hole" && f.Rule != "fine-detail" && f.Rule != "close-parts" { // of what was widened and refitted
			t.Errorf("left: %s %s at %v", f.Rule, f.Message, f.At)
		}
	}
	if len(bare.Left) < 70 || len(rep.Left) > 12 {
		t.Errorf("%d left without answers, %d with", len(bare.Left), len(rep.Left))
	}
	count := map[string]int{}
	for i := range rep.Edits {
		if rep.Edits[i].Asked {
			count[rep.Edits[i].Kind]++
		}
	}
	for _, kind := range []string{"close-gap", "etch-mark", "widen-slot", "drop-outline", "drop-text", "refit-arc", "etch-lettering", "refit-slots"} {
		if count[kind] == 0 {
			t.Errorf("nothing was done of %s", kind)
		}
	}
	if stale := own.Answers.Stale(); len(stale) > 0 {
		t.Errorf("%d answers were not met, such as %+v", len(stale), stale[0])
	}
	own.Answers = answersTo(t, first, all)
	if _, again := repair(t, source, data, &own); !bytes.Equal(out, again) {
		t.Error("the same answers give other bytes")
	}
	own.Answers = answersTo(t, first, map[string]string{"none": "leave"})
	if _, none := repair(t, source, data, &own); !bytes.Equal(none, second(repair(t, source, data, j))) {
		t.Error("no answers change the drawing")
	}
}

func second[A, B any](_ A, b B) B { return b }

// TestChoiceAlone takes every choice of every finding of the demo by itself: the
// repair does it or tells why not, and nothing is refused.
func TestChoiceAlone(t *testing.T) {
	if testing.Short() {
		t.Skip("repairs the demo kit forty times")
	}
	source := filepath.Join(fixtures, "harbour-crane.dxf")
	data, j := readFile(t, source), loadJob(t, filepath.Join(fixtures, "crane.toml"))
	j.Labels.Parts, j.Tabs.Parts = "none", "none"
	first := check(t, source, j)
	tried := map[string]bool{}
	for i := range first.Findings {
		f := &first.Findings[i]
		for k := range f.Choices {
			w := &f.Choices[k]
			if key := f.Rule + " " + w.Name; !tried[key] {
				tried[key] = true
				own := *j
				a, err := job.ParseAnswers(fmt.Appendf(nil, "[[answer]]\nfinding = %q\nchoice = %q\n", f.ID, w.Name), "a")
				if err != nil {
					t.Fatal(err)
				}
				own.Answers = a
				rep, _, err := mend.Fix(t.Context(), source, bytes.NewReader(data), &own, mend.Options{Options: lint.Options{Rules: rules.All()}})
				if err != nil {
					t.Errorf("%s: %v", key, err)
					continue
				}
				if rep.Lesser {
					t.Errorf("%s: %s", key, rep.Held)
				}
				asked := slices.ContainsFunc(rep.Edits, func(e fix.Edit) bool { return e.Asked })
				told := slices.ContainsFunc(rep.Skipped, func(e fix.Edit) bool { return e.Asked })
				if does := w.Does(); does && !asked && !told {
					t.Errorf("%s: does something %v, done %v, told as skipped %v", key, does, asked, told)
				}
			}
		}
	}
	for _, r := range rules.All() {
		for key := range tried {
			if rule, name, _ := strings.Cut(key, " "); rule == r.ID && !slices.Contains(r.AllChoices(), name) && name != job.Leave && !strings.HasPrefix(name, "scale:") {
				t.Errorf("%s: explain does not list %s", rule, name)
			}
		}
	}
	if len(tried) < 25 {
		t.Errorf("only %d choices tried", len(tried))
	}
}

// TestUnknownChoice: what a finding does not offer is an error that names the nearest.
func TestUnknownChoice(t *testing.T) {
	source := filepath.Join(fixtures, "harbour-crane.dxf")
	j := loadJob(t, filepath.Join(fixtures, "crane.toml"))
	first := check(t, source, j)
	i := slices.IndexFunc(first.Findings, func(f lint.Finding) bool { return f.Rule == "loose-mark" })
	a, err := job.ParseAnswers(fmt.Appendf(nil, "[[answer]]\nfinding = %q\nchoice = \"ecth\"\n", first.Findings[i].ID), "a.toml")
	if err != nil {
		t.Fatal(err)
	}
	j.Answers = a
	r := lint.Check(t.Context(), source, bytes.NewReader(readFile(t, source)), j, lint.Options{Rules: rules.All()})
	if r.Err == nil || r.Err.Error() != `a.toml:1: "ecth" is no choice for loose-mark; did you mean "etch"? (etch, cut, note, drop, leave)` {
		t.Errorf("%v", r.Err)
	}
}

// TestIDsStay: findings have the same ids however the drawing is put down, moved or
// repaired meanwhile.
func TestIDsStay(t *testing.T) {
	path := slices.Concat(box(0, 0, 100, 60), box(40, 20, 60, 20.6), box(10, 10, 10.7, 30), box(200, 0, 260, 60),
		geom.Path{geom.Line(geom.Pt(210, 10), geom.Pt(240, 12)), geom.Line(geom.Pt(300, 0), geom.Pt(380, 0)), geom.Line(geom.Pt(380, 0), geom.Pt(380, 50)), geom.Line(geom.Pt(380, 50), geom.Pt(300, 50)), geom.Line(geom.Pt(300, 50), geom.Pt(300, 3))})
	ids := func(data []byte) map[string]string {
		m := map[string]string{}
		for _, f := range judged(t, data).Findings {
			if f.Repair != lint.Auto {
				m[f.ID] = f.Rule
			}
		}
		return m
	}
	want := ids(ways(path)["as drawn"])
	if len(want) < 5 {
		t.Fatalf("%d findings", len(want))
	}
	for name, data := range ways(path) {
		if strings.HasPrefix(name, "turned") || strings.HasPrefix(name, "mirrored") || strings.HasPrefix(name, "split") {
			continue // another place in the drawing; marks of two pieces have another middle
		}
		if diff := cmp.Diff(want, ids(data)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
	for _, by := range []geom.Point{geom.Pt(1000, -77.7), geom.Pt(-math.Pi, 1e5/3)} {
		if diff := cmp.Diff(want, ids(ways(path.Transform(geom.Shift(by)))["as drawn"])); diff != "" {
			t.Errorf("moved by %v (-want +got):\n%s", by, diff)
		}
	}
}
