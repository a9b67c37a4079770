package report

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/figures"
)

func TestNumbers(t *testing.T) {
	tests := []struct {
		v    float64
		want string
	}{
		{0, "0"}, {math.Copysign(0, -1), "0"}, {-1e-9, "0"}, {1, "1"}, {0.1 + 0.2, "0.3"}, {1.0 / 3, "0.333333"},
		{-2.0000005, "-2.000001"}, {123456.7890125, "123456.789013"}, {1e12, "1000000000000"}, {1e300, "1e+300"},
		{nan, "null"}, {inf, "null"}, {-inf, "null"},
	}
	for _, tt := range tests {
		if got, _ := num(tt.v).MarshalJSON(); string(got) != tt.want {
			t.Errorf("%v: %s, want %s", tt.v, got, tt.want)
		}
	}
}

// Findings that say the same are told in one line with their number, and how many
// were not told one by one; --all tells each.
func TestTextTellsFacts(t *testing.T) {
	const found = 23
	r := craneLint()
	r.Findings = nil
	for i := range found {
		r.Findings = append(r.Findings, lint.Finding{Rule: "stray-piece", Severity: lint.Warning, Message: "m", At: geom.Pt(float64(i), 0), Part: "3",
			Fact: lint.Fact{One: "speck # long", Many: "specks # long"}, Measure: &lint.Measure{Value: 0.1 + float64(i)/10, Unit: "mm"}})
	}
	c := checked(r)
	few := string(in(t, "lint", "text", c))
	for _, want := range []string{"  warning  part 3 (x3): 23 specks 0.0039 to 0.091 in (0.1 to 2.3 mm) long\n           [stray-piece]\n", "and 22 more of these (--all shows them", "0 errors, 23 warnings, 0 notes"} {
		if !strings.Contains(few, want) {
			t.Errorf("%q is missing:\n%s", want, few)
		}
	}
	c.Text.All = true
	all := string(in(t, "lint", "text", c))
	if n := strings.Count(all, "\n    warning"); n != found || strings.Contains(all, "more") {
		t.Errorf("%d of %d findings shown with --all:\n%s", n, found, all)
	}
}

// A summary goes on a screen and leaves no rule out, whatever there is.
func TestSummaryFitsAScreen(t *testing.T) {
	r := craneFix()
	r.Edits = nil
	for i := range 400 {
		r.Edits = append(r.Edits, fix.Edit{Kind: []string{"tab", "label", "close-gap", "refit-curve", "drop-stray"}[i%5]})
		r.Left = append(r.Left, lint.Finding{Rule: fmt.Sprintf("rule-%d", i%24), Severity: lint.Note, Message: "m", Part: fmt.Sprint(i)})
	}
	r.Left = append(r.Left, lint.Finding{Rule: "open-outline", Severity: lint.Error, Message: "the gravest"})
	got := string(write(t, func(w io.Writer) error { return FixSummary(w, figures.RepairOf(r)) }))
	if n := strings.Count(got, "\n"); n > 30 {
		t.Errorf("%d lines", n)
	}
	for line := range strings.Lines(got) {
		if len(line) > columns+1 {
			t.Errorf("%d columns: %s", len(line), line)
		}
	}
	if !strings.Contains(got, "\n  error    the gravest [open-outline]\n") {
		t.Errorf("the error is not told:\n%s", got)
	}
	for i := range 24 {
		if !strings.Contains(got, fmt.Sprintf("rule-%d ", i)) && !strings.Contains(got, fmt.Sprintf("rule-%d]", i)) && !strings.Contains(got, fmt.Sprintf("rule-%d\n", i)) {
			t.Errorf("rule-%d is not told:\n%s", i, got)
		}
	}
}

func TestPartRows(t *testing.T) {
	rows := figures.ScheduleOf(craneFix().After).Rows
	if len(rows) != 3 {
		t.Fatalf("%d rows, want 3", len(rows))
	}
	jib := rows[0]
	// One tab divides one outline; four holes are one pierce each.
	if jib.Pierces != 5 || jib.Tabs != 1 {
		t.Errorf("jib: %d pierces, %d tabs, want 5 and 1", jib.Pierces, jib.Tabs)
	}
	before := figures.ScheduleOf(craneLint()).Rows[0]
	// The tab is 0.012 of the straight lower edge of 156 mm; the bridge of 0.3
	// mm in the drawing as it came is no cut either.
	if d := before.CutLength + .3 - jib.CutLength - .012*156; math.Abs(d) > 1e-9 {
		t.Errorf("cut length with tab is off by %g", d)
	}
	if feet := rows[2]; feet.Count != 3 || len(feet.At) != 3 || feet.Width != 36 {
		t.Errorf("feet: %+v", feet)
	}
	if rows := figures.ScheduleOf(nil).Rows; rows != nil {
		t.Errorf("no result gives rows: %v", rows)
	}
}

func TestCutRuns(t *testing.T) {
	// Two tabs on one side of a square divide it into two runs, as do two tabs
	// that meet the corner; a wholly uncut outline has none.
	m := crane(true)
	jib := &m.sheet.Outlines[0].Path
	cutRuns := func(p *outline.Path) (length float64, runs int) {
		m.sheet.Outlines[0].Path = *p
		m.sheet.Parts[0].Holes = nil
		row := figures.ScheduleOf(m.result("x")).Rows[0]
		return row.CutLength, row.Pierces
	}
	whole := *jib
	jib = &whole
	if l, n := cutRuns(jib); n != 1 || math.Abs(l-(jib.Pieces.Length()-.012*156)) > 1e-9 {
		t.Errorf("one tab: %d runs, %g mm", n, l)
	}
	two := *jib
	two.Flags = slices.Clone(jib.Flags)
	two.Flags[5] = jib.Flags[1]
	if _, n := cutRuns(&two); n != 2 {
		t.Errorf("two tabs: %d runs", n)
	}
	for i := range two.Flags {
		two.Flags[i] = jib.Flags[1]
	}
	if l, n := cutRuns(&two); n != 0 || l != 0 {
		t.Errorf("all tab: %d runs, %g mm", n, l)
	}
}

func TestEveryFindingStandsInThePage(t *testing.T) {
	r := craneLint()
	r.Findings = nil
	for i := range 2000 {
		r.Findings = append(r.Findings, lint.Finding{Rule: fmt.Sprintf("rule-%d", i%7), Severity: lint.Severity(1 + i%3), Message: fmt.Sprintf("finding %d.", i), At: geom.Pt(float64(i), 0)})
	}
	page := in(t, "lint", "html", checked(r))
	for i := range 2000 {
		if !bytes.Contains(page, fmt.Appendf(nil, "Finding %d.", i)) {
			t.Fatalf("finding %d is missing", i)
		}
	}
}

func TestSettings(t *testing.T) {
	j := craneLint().Job
	j.Rules["thin-web"] = "off"
	var got []string
	for _, table := range settingsOf(j) {
		for _, s := range table.Settings {
			got = append(got, table.Name+"."+s.Key+"="+s.Value)
		}
	}
	for _, want := range []string{"jet.kerf=1", "sheet.size=304.8, 203.2", "sheet.thickness=3.175", "table.slat_pitch=50", "tabs.slugs=no",
		"limits.web=1.5875, from kerf and thickness", "limits.hole=2, from kerf and thickness", "rules.thin-web=off", "labels.text={number}", "layers.ignore=plot:never, word:dim, word:dimension, word:reference, word:construction, word:hidden, word:center line"} {
		if !slices.Contains(got, want) {
			t.Errorf("%s is missing from %v", want, got)
		}
	}
}

func TestJUnitCounts(t *testing.T) {
	suiteOf := func(r *lint.Result, failOn lint.Severity) junitSuite {
		c := checked(r)
		c.FailOn = failOn
		return c.junitSuite(0)
	}
	suite := suiteOf(craneLint(), lint.Error)
	if suite.Tests != 8 || suite.Failures != 3 || suite.Errors != 0 {
		t.Errorf("errors fail: %d tests, %d failures, %d errors", suite.Tests, suite.Failures, suite.Errors)
	}
	if suite := suiteOf(craneLint(), lint.Note); suite.Failures != 7 {
		t.Errorf("notes fail: %d failures", suite.Failures)
	}
	if suite := suiteOf(craneLint(), lint.Off); suite.Failures != 0 {
		t.Errorf("nothing fails: %d failures", suite.Failures)
	}
	if suite := suiteOf(craneBad(), lint.Error); suite.Errors != 1 {
		t.Errorf("unreadable: %d errors", suite.Errors)
	}
}

func TestWorkflowEscapes(t *testing.T) {
	// The examples follow the host's published rule: % first, then line ends,
	// and in properties also the colon and the comma.
	if got := workflowMessage("100% a:b,c\r\nd"); got != "100%25 a:b,c%0D%0Ad" {
		t.Error(got)
	}
	if got := workflowProperty("100%: a,b\n"); got != "100%25%3A a%2Cb%0A" {
		t.Error(got)
	}
}

// A result without its drawing says the same in every form without a picture.
func TestShortenedResultsSayTheSame(t *testing.T) {
	results := []*lint.Result{craneLint(), craneBad(), craneEmpty()}
	for i := range results[0].Findings {
		results[0].Findings[i].ID = string(rune('a' + i))
	}
	var short []*lint.Result
	for _, r := range results {
		s := lint.Shorten(r)
		if s.Drawing != nil || s.Sheet != nil || lint.Shorten(s) != s {
			t.Errorf("%s is not short", r.Path)
		}
		short = append(short, s)
	}
	for _, f := range Formats {
		if f.Command != "lint" || f.Drawn {
			continue
		}
		want, got := in(t, "lint", f.Name, checked(results...)), in(t, "lint", f.Name, checked(short...))
		if d := cmp.Diff(string(want), string(got)); d != "" {
			t.Errorf("%s: %s", f.Name, d)
		}
	}
}
