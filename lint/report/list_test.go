package report

import (
	"bytes"
	"io"
	"regexp"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
)

func listOf(r *lint.Repaired, sheet string) *List { return &List{about(), figures.ListOf(r, sheet)} }

// clamped is the sample repair with a clamp, and paths.
func clamped() *lint.Repaired {
	r := craneFix()
	r.Paths = "crane-paths.dxf"
	j := *r.After.Job
	j.Clamp = []job.Clamp{{At: []float64{0, 0}, Size: []float64{15, 30}}}
	r.After.Job = &j
	return r
}

// The list stands alone without a script, says the order and the parts with a
// picture each, and nothing in a drawing's names breaks out of it.
func TestMachineList(t *testing.T) {
	page := func(l *List) []byte { return write(t, func(w io.Writer) error { return MachineList(w, l) }) }
	out := page(listOf(clamped(), "sheet 2 of 3"))
	golden(t, "list.html", out)
	if !bytes.Equal(out, page(listOf(clamped(), "sheet 2 of 3"))) {
		t.Error("two runs differ")
	}
	text := string(stripAssets(out))
	if strings.Contains(text, "<script") || strings.Contains(text, "script-src") {
		t.Error("there is a script on it")
	}
	for _, want := range []string{"crane.dxf, sheet 2 of 3", "crane-paths.dxf", "Slats along", "Before cutting", `class="ly clamp"`, `class="ly slat"`, `class="ly turn"`, "Done after"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing", want)
		}
	}
	if n := strings.Count(text, `<td class="small"><svg`); n != 3 {
		t.Errorf("%d pictures of parts, want 3", n)
	}
	// Every step has a box to tick and its number in the picture.
	l := figures.ListOf(clamped(), "")
	if n := strings.Count(text, `<td class="paper box">`); n != len(l.Steps)+len(l.Schedule.Rows) {
		t.Errorf("%d boxes for %d steps and %d parts", n, len(l.Steps), len(l.Schedule.Rows))
	}
	f := Format{Name: "html", Media: "text/html"}
	for _, r := range []*lint.Repaired{hostileFix(), hostileKit(t).repaired} {
		r.Paths = hostile
		inertIn[f.Media](t, f, page(&List{hostileAbout(), figures.ListOf(r, hostile)}))
	}
	if m := regexp.MustCompile(`\bNaN\b|[+-]?\bInf\b`).Find(stripAssets(page(listOf(brokenRepair(), "")))); m != nil {
		t.Errorf("%s stands in it", m)
	}
	if MachineList(&failing{10}, listOf(clamped(), "")) == nil {
		t.Error("a writer that fails is not told")
	}
	empty := craneEmpty()
	if text := string(page(listOf(&lint.Repaired{Before: empty, After: empty}, ""))); !strings.Contains(text, "Nothing on this sheet can be run") {
		t.Error("an empty sheet is not told")
	}
}

// The page of a repair with paths goes through them: an element for each run, each
// move and each piece that comes loose, and times for as many; without paths it has
// none of it. The same is bounded.
func TestWalkOnThePage(t *testing.T) {
	page := func(r *lint.Repaired) string { return string(stripAssets(in(t, "fix", "html", repaired(r)))) }
	text := page(clamped())
	golden(t, "walk.html", []byte(text[strings.Index(text, `<section class="walk"`):strings.Index(text, `<script type="application/json" class="markers">`)]))
	plan := figures.ListOf(clamped(), "").Plan
	group := func(class string) string {
		_, after, ok := strings.Cut(text, `<g class="`+class+`">`)
		if !ok {
			t.Fatalf("group %s is missing", class)
		}
		inner, _, _ := strings.Cut(after, "</g>")
		return inner
	}
	for class, want := range map[string]int{"w-runs": len(plan.Cuts), "w-ways": len(plan.Cuts), "w-loose": len(plan.Freed(clamped().After.Sheet))} {
		if n := strings.Count(group(class), "<path"); n != want || n == 0 {
			t.Errorf("%s: %d paths, want %d", class, n, want)
		}
	}
	if page := page(craneFix()); strings.Contains(page, `class="walk"`) {
		t.Error("a walk without paths")
	}
	f := Format{Name: "html", Media: "text/html"}
	for _, r := range []*lint.Repaired{hostileFix(), hostileKit(t).repaired} {
		r.Paths = hostile
		inertIn[f.Media](t, f, in(t, "fix", "html", &Repair{hostileAbout(), figures.RepairOf(r)}))
	}
	broken := brokenRepair()
	broken.Paths = "p.dxf"
	if m := regexp.MustCompile(`\bNaN\b|[+-]?\bInf\b`).FindString(page(broken)); m != "" {
		t.Errorf("%s stands in it", m)
	}
	many := newMaker()
	for i := range 6500 {
		many.closed(-1, geom.Path{geom.Circle(geom.Pt(float64(i%100)*30, float64(i/100)*30), 8)})
	}
	r := many.result("many.dxf")
	big := page(&lint.Repaired{Before: r, After: r, Paths: "p.dxf"})
	if !strings.Contains(big, "too many runs to go through") || strings.Contains(big, "w-runs") {
		t.Error("a plan of very many runs is put on the page")
	}
}

func TestStopwatch(t *testing.T) {
	for s, want := range map[float64]string{0: "0:00", 59.6: "1:00", 754: "12:34", 3599.4: "59:59", 3600: "1:00:00", 7384: "2:03:04", -1: "?"} {
		if got := stopwatch(s); got != want {
			t.Errorf("%g s is %q, want %q", s, got, want)
		}
	}
}
