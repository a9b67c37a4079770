package mend_test

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
)

// answered returns the default job with answers, on a sheet of 400 by 300 mm with slats.
func answered(t *testing.T, text string) *job.Job {
	t.Helper()
	j := job.Default()
	j.Sheet.Size, j.Sheet.Margin, j.Sheet.Thickness = []float64{400, 300}, 5, 3
	a, err := job.ParseAnswers([]byte(text), "k")
	if err != nil {
		t.Fatal(err)
	}
	j.Answers = a
	return j
}

// countsOf counts the parts of a drawing by what they are called.
func countsOf(r *lint.Result) map[string]int {
	n := map[string]int{}
	for _, name := range r.Names {
		n[name]++
	}
	return n
}

func refused(j *job.Job) (out []string) {
	for _, r := range j.Answers.Refused() {
		out = append(out, fmt.Sprintf("%d %s: %s", r.Line, r.Part, r.Why))
	}
	return out
}

// TestPartCounts cuts parts more or less often than they are drawn: two plates with a
// hole, which are alike, a strip, and a plate in the window of a frame.
func TestPartCounts(t *testing.T) {
	data := ways(slices.Concat(
		box(10, 10, 110, 70), box(50, 30, 70, 40), box(10, 90, 110, 150), box(50, 110, 70, 120),
		box(10, 200, 160, 220), box(200, 10, 300, 110), box(210, 20, 290, 100), box(230, 40, 260, 60),
	))["as drawn"]
	plain, drawn := repair(t, "plates", data, job.Default())
	names := plain.Before.Names
	if d := cmp.Diff(map[string]int{"1": 1, "2": 2, "3": 1, "4": 1}, countsOf(plain.Before)); d != "" {
		t.Fatalf("%v: %s", names, d)
	}
	for _, tt := range []struct {
		name, text string
		want       map[string]int
		refused    string
	}{
		{"as drawn", "[[part]]\npart = \"2\"\ncount = 2\n", map[string]int{"1": 1, "2": 2, "3": 1, "4": 1}, ""},
		{"one less", "[[part]]\npart = \"2\"\ncount = 1\n", map[string]int{"1": 1, "2": 1, "3": 1, "4": 1}, ""},
		{"left out", "[[part]]\npart = \"2\"\ncount = 0\n[[part]]\npart = \"4\"\ncount = 0\n", map[string]int{"1": 1, "3": 1}, ""},
		{"two more", "[[part]]\npart = \"2\"\ncount = 4\n", map[string]int{"1": 1, "2": 4, "3": 1, "4": 1}, ""},
		{"no room", "[[part]]\npart = \"1\"\ncount = 100\n", nil, "no free place on the sheet for"},
		{"unknown", "[[part]]\npart = \"9\"\ncount = 1\n", map[string]int{"1": 1, "2": 2, "3": 1, "4": 1}, "1 9: there is no such part"},
	} {
		j := answered(t, tt.text)
		rep, out := repair(t, "plates", data, j)
		if d := cmp.Diff(tt.want, countsOf(rep.After)); tt.want != nil && d != "" {
			t.Errorf("%s: %s", tt.name, d)
		}
		if got := strings.Join(refused(j), "\n"); !strings.Contains(got, tt.refused) || (got != "") != (tt.refused != "") {
			t.Errorf("%s: refused %q, want %q", tt.name, got, tt.refused)
		}
		if tt.name == "as drawn" && !bytes.Equal(out, second(repair(t, "plates", data, answered(t, "")))) {
			t.Errorf("%s: the answer changes the drawing", tt.name)
		}
		for i := range rep.Left {
			if f := &rep.Left[i]; f.Severity >= lint.Warning && f.Rule != "loose-slug" { // the window of the frame, once empty
				t.Errorf("%s: left %s %s", tt.name, f.Rule, f.Message)
			}
		}
		if !rep.Account.Balanced() {
			t.Errorf("%s: the account does not add up", tt.name)
		}
		if again, twice := repair(t, "plates", out, answered(t, tt.text)); !bytes.Equal(out, twice) && tt.refused == "" {
			t.Errorf("%s: a second repair makes %d edits", tt.name, len(again.Edits))
		}
	}
	if len(drawn) == 0 {
		t.Error("nothing is drawn")
	}
}

// TestPartCountsLaidOut lays out as many as are asked for.
func TestPartCountsLaidOut(t *testing.T) {
	data := ways(slices.Concat(box(0, 0, 100, 60), box(0, 80, 150, 100)))["as drawn"]
	j := answered(t, "[[part]]\npart = \"1\"\ncount = 5\n[[part]]\npart = \"2\"\ncount = 0\n")
	if names := judged(t, data).Names; !slices.Equal(names, []string{"1", "2"}) {
		t.Fatal(names)
	}
	sheets, err := layOut(t, data, j)
	if err != nil {
		t.Fatal(err)
	}
	n := map[string]int{}
	for i := range sheets {
		for name, k := range countsOf(sheets[i].Repaired.After) {
			n[name] += k
		}
	}
	if d := cmp.Diff(map[string]int{"1": 5}, n); d != "" {
		t.Error(d)
	}
}

// TestPartPlaces holds and numbers a plate as a person says.
func TestPartPlaces(t *testing.T) {
	data := ways(slices.Concat(box(10, 10, 110, 70), box(50, 30, 70, 40)))["as drawn"]
	tabsAt := func(text string) (at []geom.Point, rep *lint.Repaired, why []string) {
		j := answered(t, text)
		j.Tabs.Parts = "all"
		rep, out := repair(t, "plate", data, j)
		for _, x := range rep.Tabs {
			at = append(at, geom.Pt(math.Round(x.At.X*10)/10, math.Round(x.At.Y*10)/10))
		}
		slices.SortFunc(at, func(p, q geom.Point) int { return int(10 * (p.X - q.X + 1000*(p.Y-q.Y))) })
		if _, again := repair(t, "plate", out, j); !bytes.Equal(out, again) {
			t.Errorf("%s: a second repair changes the drawing", text)
		}
		return at, rep, refused(j)
	}
	const part = "[[part]]\npart = \"1\"\n"
	if at, _, _ := tabsAt(part + "tabs = \"none\"\n"); len(at) != 0 {
		t.Errorf("none: tabs at %v", at)
	}
	if at, _, _ := tabsAt(part + "tabs = 5\n"); len(at) != 5 {
		t.Errorf("5: tabs at %v", at)
	}
	at, _, why := tabsAt(part + "tabs = [\"40,12\", \"80mm,68mm\", \"10,10\", \"300,300\"]\n")
	if d := cmp.Diff([]geom.Point{geom.Pt(40, 10), geom.Pt(80, 70)}, at); d != "" {
		t.Errorf("places: %s", d)
	}
	if d := cmp.Diff([]string{
		"1 1: no tab at 300, 300: it is 298.3 mm from part 1",
		"1 1: no tab at 10, 10 on part 1: it is too near a corner",
	}, why); d != "" {
		t.Error(d)
	}
	// A drawing that has been moved since has its corner elsewhere.
	if at, _, _ = tabsAt(part + "corner = \"-90,10\"\ntabs = [\"-60,10\", \"-20,70\"]\n"); !slices.Equal(at, []geom.Point{geom.Pt(40, 10), geom.Pt(80, 70)}) {
		t.Errorf("moved: tabs at %v", at)
	}
	_, rep, why := tabsAt(part + "label = [\"30,30\"]\nface = \"back\"\n")
	if len(rep.Labels) != 1 || rep.Labels[0].At.Dist(geom.Pt(30, 30)) > 1e-6 || rep.Labels[0].Where != "inside" || len(why) > 0 {
		t.Errorf("label: %+v, %q", rep.Labels, why)
	}
	if _, rep, _ = tabsAt(part + "label = [\"60,85\"]\n"); len(rep.Labels) != 1 || rep.Labels[0].At.Dist(geom.Pt(60, 85)) > 1e-6 || rep.Labels[0].Where != "beside" {
		t.Errorf("label beside: %+v", rep.Labels)
	}
	if _, rep, why = tabsAt(part + "label = [\"60,35\"]\n"); len(rep.Labels) != 1 || rep.Labels[0].Where != "inside" || len(why) != 1 {
		t.Errorf("label in the hole: %+v, %q", rep.Labels, why)
	}
}

// TestSmallPartWithoutTabs settles a small part by having it cut without tabs.
func TestSmallPartWithoutTabs(t *testing.T) {
	data := ways(slices.Concat(box(10, 10, 30, 25), box(100, 10, 300, 200)))["as drawn"]
	left := func(text string) (n int) {
		rep, _ := repair(t, "plates", data, answered(t, text))
		for i := range rep.Left {
			if rep.Left[i].Rule == "small-part" {
				n++
			}
		}
		return n
	}
	small := ""
	for i, r := 0, judged(t, data); i < len(r.Names); i++ {
		if r.Sheet.Parts[i].Area < 1000 {
			small = r.Names[i]
		}
	}
	if n := left("[[part]]\npart = \"" + small + "\"\ntabs = \"none\"\n"); n != 0 {
		t.Errorf("%d small parts left to decide", n)
	}
	j := answered(t, "[[part]]\npart = \""+small+"\"\ntabs = \"none\"\n")
	if rep, _ := repair(t, "plates", data, j); len(rep.Tabs) != 0 {
		t.Errorf("%d tabs", len(rep.Tabs))
	}
}
