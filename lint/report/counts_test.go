package report

import (
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/rules"
)

// demo judges the demo kit under its job file.
func demo(t *testing.T) *lint.Result {
	t.Helper()
	data, err := os.ReadFile("../../fixtures/crane.toml")
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Parse(data, "fixtures/crane.toml", nil)
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.Open("../../fixtures/harbour-crane.dxf")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := lint.Check(t.Context(), "harbour-crane.dxf", f, j, lint.Options{Rules: rules.All()})
	if r.Err != nil {
		t.Fatal(r.Err)
	}
	return r
}

// numbersIn returns the numbers of the first match of a pattern with groups.
func numbersIn(t *testing.T, where, text, pattern string) []float64 {
	t.Helper()
	m := regexp.MustCompile(pattern).FindStringSubmatch(text)
	if m == nil {
		t.Fatalf("%s: no %q", where, pattern)
	}
	var out []float64
	for _, s := range m[1:] {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// The terminal, the page and JSON tell as many findings of each severity of the
// demo, with every one told and named by its rule.
func TestCountsOfFindingsAgree(t *testing.T) {
	r := demo(t)
	c := checked(r)
	var j struct {
		Files []struct {
			Findings []struct{ Rule, Severity string }
		}
		Totals lint.Tally
	}
	if err := json.Unmarshal(in(t, "lint", "json", c), &j); err != nil {
		t.Fatal(err)
	}
	want := j.Totals
	counted := lint.Tally{}
	text, page := string(in(t, "lint", "text", c)), string(in(t, "lint", "html", c))
	for _, f := range j.Files[0].Findings {
		s, _ := lint.ParseSeverity(f.Severity)
		counted = counted.Plus(lint.TallyOf([]lint.Finding{{Severity: s}}))
		if !strings.Contains(text, "["+f.Rule+"]") && !strings.Contains(text, " "+f.Rule+" ") {
			t.Errorf("the text says nothing of %s", f.Rule)
		}
	}
	if counted != want || want.Error == 0 || want.Warning == 0 || want.Note == 0 {
		t.Errorf("JSON holds %+v and says %+v", counted, want)
	}
	said := TallyText(want)
	if n := strings.Count(text, said); n != 2 { // with the drawing, and at the end
		t.Errorf("the text says %q %d times:\n%s", said, n, text)
	}
	v := figures.CheckOf([]*lint.Result{r}).Files[0].Verdict()
	if got := figures.Tally(v.Asked).Plus(figures.Tally(v.Mended)); got != want {
		t.Errorf("facts tell %+v, want %+v", got, want)
	}
	if !strings.Contains(text, fmt.Sprintf("fix mends %d, %d are yours", figures.Count(v.Mended), figures.Count(v.Asked))) {
		t.Error("the text says otherwise whose they are")
	}
	if !strings.Contains(page, "<span>"+verdict(want, "")+"</span>") {
		t.Errorf("the page does not open with %q", verdict(want, ""))
	}
	for severity, n := range map[string]int{"error": want.Error, "warning": want.Warning, "note": want.Note} {
		if got := strings.Count(page, `<button type="button" class="go `+severity+`"`); got != n {
			t.Errorf("%d rows of severity %s on the page, want %d", got, severity, n)
		}
	}
	c.Text.All = true
	all := string(in(t, "lint", "text", c))
	if got := strings.Count(all, "\n    error ") + strings.Count(all, "\n    warning ") + strings.Count(all, "\n    note "); got != want.Sum() {
		t.Errorf("--all tells %d findings, want %d", got, want.Sum())
	}
	for line := range strings.Lines(text) {
		if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > columns {
			t.Errorf("%d columns: %s", n, line)
		}
	}
	if n := strings.Count(text, "\n"); n > 45 { // the demo shows every flaw there is
		t.Errorf("%d lines for one kit:\n%s", n, text)
	}
}

// All that tell a length of cut of the demo tell the same one, without leads or
// with them, and name it so; all tell the same pierces, and the same area.
func TestCutAndAreaAgree(t *testing.T) {
	r := demo(t)
	e, err := cutting.Of(r)
	if err != nil {
		t.Fatal(err)
	}
	parts := &Parts{about(), figures.PartsOf(r)}
	table, schedule := string(in(t, "parts", "text", parts)), string(in(t, "parts", "html", parts))
	estimate := string(in(t, "estimate", "text", &Estimate{about(), "x", "", e}))
	page := string(in(t, "lint", "html", checked(r)))

	got := numbersIn(t, "parts", table, `area ([0-9.]+) mm2, cut ([0-9.]+) m without tabs and leads, (\d+) pierces`)
	area, cut, pierces := got[0], got[1], got[2]
	near := func(where string, got, want, within float64) {
		if d := got - want; d > within || d < -within {
			t.Errorf("%s: %g, want %g", where, got, want)
		}
	}
	const centimetres = 0.00501 // lengths in metres with two decimals
	for where, text := range map[string]string{"schedule": schedule, "page": page} {
		m := numbersIn(t, where, text, `([0-9.]+) cm² of stock, ([0-9.]+) m of cut without tabs and leads, (\d+) pierces`)
		near(where+", area", m[0]*100, area, 5.1)
		near(where+", cut", m[1], cut, centimetres)
		near(where+", pierces", m[2], pierces, 0)
	}
	m := numbersIn(t, "estimate", estimate, `cutting +([0-9.]+) m with leads[^(]*\(([0-9.]+) m of outlines, without tabs and leads\)`)
	withLeads := m[0]
	near("estimate, cut", m[1], cut, centimetres)
	near("estimate, with leads", withLeads, e.Length.Cut()/1000, centimetres)
	near("estimate, pierces", numbersIn(t, "estimate", estimate, `piercing +(\d+) pierces`)[0], pierces, 0)
	m = numbersIn(t, "page", page, `([0-9.]+) m without tabs and leads, ([0-9.]+) m with leads, (\d+) pierces`)
	near("page, to cut", m[0], cut, centimetres)
	near("page, with leads", m[1], withLeads, 0)
	near("page, pierces to cut", m[2], pierces, 0)
	var sum, mass float64
	for i := range e.Rows {
		sum += e.Rows[i].Area * float64(e.Rows[i].Count)
		mass += e.Rows[i].Mass * float64(e.Rows[i].Count)
	}
	near("estimate, area", sum, area, 0.1)
	near("estimate, mass", e.PartsMass, mass, 1e-5)
}

// What the joints of the demo show stands in the JSON of a check and of a repair.
func TestKitInJSON(t *testing.T) {
	r := demo(t)
	done := &Repair{about(), figures.RepairOf(&lint.Repaired{Before: r, After: r, Left: r.Findings})}
	for command, content := range map[string]any{"lint": checked(r), "fix": done} {
		out := in(t, command, "json", content)
		f, _ := FormatOf(command, "json")
		if err := validate(t, schema(t, schemaOf(f)), out); err != nil {
			t.Errorf("%s: %v", command, err)
		}
		const want = `"kit": {"drawn_for":[3],"guessed":false,"sheet":4.76,"tight":50,"loose":0,"fingers":0,"tabs":48,"fit":0}`
		if !strings.Contains(string(out), want) {
			t.Errorf("%s: no %s", command, want)
		}
	}
}
