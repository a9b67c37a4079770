package report

import (
	"io"
	"math"
	"regexp"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/figures"
)

// Marks are told apart by shape, lie around their place, lead to their rows, get
// smaller where they are many, and are never dots.
func TestMarksAreOpen(t *testing.T) {
	at := geom.Pt(100, 50)
	one := []lint.Finding{{Severity: lint.Error, At: at}, {Severity: lint.Warning, At: at}, {Severity: lint.Note, At: at}}
	p := newPicture(geom.Box{Max: geom.Pt(200, 100)})
	p.marks(one, signs{9, 2, false}, func(i int) string { return "row-" + []string{"a", "b", `"c`}[i] })
	got := p.String()
	for _, want := range []string{
		`<g class="ly mark error" data-px="9" data-mm="2"><path data-for="row-a" d="M100 48l2 2 -2 2 -2 -2z"/>`,
		`<g class="ly mark warning" data-px="9" data-mm="2"><path data-for="row-b" d="M100 48l2 4 -4 0z"/>`,
		`<path data-for="row-&#34;c" d="M98.3 50a1.7 1.7 0 1 0 3.4 0a1.7 1.7 0 1 0 -3.4 0z"/>`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%s is missing in\n%s", want, got)
		}
	}
	if strings.Contains(got, "h0") {
		t.Error("a mark is a dot")
	}

	box := geom.Box{Max: geom.Pt(600, 400)}
	last := math.Inf(1)
	for _, n := range []int{0, 1, 14, 60, 400, 5000} {
		m := markOn(box, n)
		if m.Pixels > last || m.Pixels < smallestMark-.05 || m.Pixels > largestMark || m.Many != (n > marksAlone) {
			t.Errorf("%d marks: %+v", n, m)
		}
		last = m.Pixels
	}
	if markOn(box, 400).Pixels >= markOn(box, 14).Pixels {
		t.Error("many marks are as large as few")
	}

	many := make([]lint.Finding, marksAlone+1)
	for i := range many {
		many[i] = lint.Finding{Severity: lint.Note, At: geom.Pt(float64(i), 0)}
	}
	p = newPicture(box)
	p.marks(many, markOn(box, len(many)), func(int) string { return "row" })
	if n := strings.Count(p.String(), "<path"); n == 0 || n > len(many)/100 || !strings.Contains(p.String(), "mark note many") {
		t.Errorf("%d marks are %d elements", len(many), n)
	}
}

// A page opens on what is cut, knows the whole sheet too, and takes the shape of
// what it opens on.
func TestBoardOpensOnTheParts(t *testing.T) {
	m := newMaker()
	m.closed(-1, geom.Path{geom.Circle(geom.Pt(50, 50), 40)})
	m.closed(-1, geom.Path{geom.Circle(geom.Pt(350, 50), 40)})
	r := m.result("two.dxf")
	j := *r.Job
	j.Sheet.Size, j.Sheet.Origin = []float64{1000, 500}, "zero"
	r.Job = &j
	page := string(in(t, "lint", "html", checked(r)))
	for _, want := range []string{
		`style="--shape:`, `data-do="sheet">Sheet<`,
		`data-sheet="0 0 1060 560"`,       // the sheet and 30 mm around it
		`viewBox="28.6 428.6 402.8 102.8`, // 380 by 80 mm of parts and 11.4 mm around them
	} {
		if !strings.Contains(page, want) {
			t.Errorf("%s is missing in %s", want, regexp.MustCompile(`<div class="board[^>]*>\s*<svg[^>]*>`).FindString(page))
		}
	}
	j.Sheet.Size = nil
	if page := string(in(t, "lint", "html", checked(r))); strings.Contains(page, `data-do="sheet"`) {
		t.Error("a button for a sheet that is not there")
	}
}

// laidOut is the sample repair as the second of two sheets.
func laidOut() *lint.Repaired {
	r := craneFix()
	first := crane(true).result("first.dxf")
	st := lint.Stock{Width: 300, Height: 240, Margin: 10, Clamps: []geom.Box{{Max: geom.Pt(20, 30)}}}
	r.Layout = &lint.Layout{
		Gap: r.After.Job.MovedSpacing(),
		Sheets: []lint.LaidSheet{
			{File: "a-1.dxf", Parts: 3, Used: 200, Density: .5, Share: .4, Cutoff: geom.Box{Min: geom.Pt(203, 0), Max: geom.Pt(300, 240)}, Result: first, Stock: st},
			{File: "a-2.dxf", Parts: 3, Used: 290, Density: .3, Share: .3, Cutoff: geom.NoBox(), Result: r.After, Stock: st},
		},
		Left: []lint.LeftPart{{Part: "7", Count: 2, Why: "longer than the sheet"}},
	}
	return r
}

// The page of a sheet of a layout shows all sheets with their numbers, clamps and
// what goes back to the rack, and says why parts lie as far apart as they do.
func TestLayoutOnThePage(t *testing.T) {
	text := string(stripAssets(in(t, "fix", "html", repaired(laidOut()))))
	_, section, ok := strings.Cut(text, `<section class="layout"`)
	if !ok {
		t.Fatal("there is no layout on the page")
	}
	section, _, _ = strings.Cut(section, "</section>")
	for what, want := range map[string]int{
		"<svg ": 2, `class="ly rack"`: 1, `class="ly clamp"`: 2, `class="ly number"`: 2, `class="here"`: 1,
		"(97 mm) × ": 1, "nothing</dd>": 1, "40.0 %": 1, "Sheet 2 of 2</b>, this report: a-2.dxf": 1, "No place for 2 of part 7: longer than the sheet": 1,
		"Parts lie at least": 1, "lead-in of": 1,
	} {
		if n := strings.Count(section, what); n != want {
			t.Errorf("%q stands there %d times, want %d", what, n, want)
		}
	}
	if strings.Contains(string(in(t, "fix", "html", repaired(craneFix()))), `class="layout"`) {
		t.Error("a layout where none was asked for")
	}
	f := Format{Name: "html", Media: "text/html"}
	h := laidOut()
	h.Layout.Sheets[0].File, h.Layout.Left[0].Part, h.Layout.Left[0].Why = hostile, hostile, hostile
	inertIn[f.Media](t, f, in(t, "fix", "html", &Repair{hostileAbout(), figures.RepairOf(h)}))
	remnant := laidOut()
	remnant.Layout.Sheets[0].Stock.Outline = geom.Path{geom.Circle(geom.Pt(150, 120), 120)}
	if page := string(in(t, "fix", "html", repaired(remnant))); !strings.Contains(page, `<g class="ly stock"><path`) {
		t.Error("the remnant's outline is missing")
	}
	if write(t, func(w io.Writer) error { return LayoutSummary(w, "a.dxf", laidOut().Layout) }); t.Failed() {
		return
	}
	big := laidOut()
	s := &outline.Sheet{Outlines: make([]outline.Outline, 1)}
	s.Outlines[0].Pieces = make(geom.Path, 70000)
	big.Layout.Sheets[0].Result = &lint.Result{Sheet: s}
	if page := string(in(t, "fix", "html", repaired(big))); !strings.Contains(page, "too much on the sheets to draw") {
		t.Error("sheets of very many pieces are drawn")
	}
}

// What asks for the distance between parts is told as it is.
func TestGapText(t *testing.T) {
	for _, tt := range []struct {
		gap  figures.Gap
		want string
	}{
		{figures.Gap{Kept: 5.38, Strip: 3, Room: 5.38, Kerf: 1, Lead: 3.38, Margin: .5, Space: 1},
			"Parts lie at least 5.38 mm apart: room for a lead-in of 3.38 mm, with one and a half kerfs of 1 mm and a margin of 0.5 mm. What they need without leads, two kerfs of 1 mm and the spacing of 1 mm, would be 3 mm."},
		{figures.Gap{Kept: 8, Strip: 8, Room: 4, Kerf: 1, Lead: 2, Margin: .5, Space: 6},
			"Parts lie at least 8 mm apart: two kerfs of 1 mm and the spacing of 6 mm. A lead-in has room in that: it needs 4 mm."},
		{figures.Gap{}, ""},
	} {
		if got := gapText(&tt.gap, 0); got != tt.want {
			t.Errorf("%+v: %s", tt.gap, got)
		}
	}
}

// Rows of a list that say the same as the row before are marked, so that paper needs
// the words once, and what paper leaves out is told on it.
func TestPaperIsShort(t *testing.T) {
	r := craneLint()
	r.Findings = nil
	for i := range 3 {
		r.Findings = append(r.Findings, lint.Finding{Rule: "thin-web", Severity: lint.Warning, Message: []string{"same", "same", "other"}[i], At: geom.Pt(float64(i), 0), Layer: "L"})
	}
	page := string(stripAssets(in(t, "lint", "html", checked(r))))
	if n := strings.Count(page, `<li class="same">`); n != 1 {
		t.Errorf("%d rows say the same as the one before, want 1", n)
	}
	if !strings.Contains(page, `<span class="x"> · layer L`) || !strings.Contains(page, `class="paper left-out"`) {
		t.Error("what paper leaves out is not told apart")
	}
	if fix := string(stripAssets(in(t, "fix", "html", repaired(craneFix())))); !strings.Contains(fix, "each edit, where tabs and numbers are") {
		t.Error("the paper of a repair does not say what is left out")
	}
}
