package report

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sluice/fix"
	"sluice/geom"
	"sluice/lint"
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

func TestFindingsAreSorted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 30).Draw(t, "n")
		fs := make([]lint.Finding, n)
		for i := range fs {
			// Places that differ by less than is written must not disturb the order.
			at := geom.Pt(float64(rapid.IntRange(0, 3).Draw(t, "x")), float64(rapid.IntRange(0, 3).Draw(t, "y"))+rapid.SampledFrom([]float64{0, 1e-9, -1e-9}).Draw(t, "jitter"))
			fs[i] = lint.Finding{Rule: rapid.SampledFrom([]string{"a", "b"}).Draw(t, "rule"), At: at}
		}
		got := sorted(fs)
		if !slices.IsSortedFunc(got, func(a, b lint.Finding) int {
			switch {
			case a.Rule != b.Rule:
				return strings.Compare(a.Rule, b.Rule)
			case round6(a.At.Y) != round6(b.At.Y):
				return int(math.Copysign(1, round6(b.At.Y)-round6(a.At.Y)))
			}
			return int(round6(a.At.X) - round6(b.At.X))
		}) {
			t.Fatalf("not sorted: %+v", got)
		}
	})
}

func TestNaturalOrder(t *testing.T) {
	got := []string{"10", "2", "A10", "1", "A2", "01", "B", "", "2b", "99999999999999999999999", "3"}
	slices.SortStableFunc(got, compareNatural)
	want := []string{"", "1", "01", "2", "2b", "3", "10", "99999999999999999999999", "A2", "A10", "B"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

func TestTextShowsTwentyOfARule(t *testing.T) {
	r := craneLint()
	r.Findings = nil
	for i := range 23 {
		r.Findings = append(r.Findings, lint.Finding{Rule: "stray-piece", Severity: lint.Warning, Message: "m", At: geom.Pt(float64(i), 0)})
	}
	few := string(write(t, func(w io.Writer) error { return LintText(w, []*lint.Result{r}, TextOptions{}) }))
	if n := strings.Count(few, "\n    warning"); n != 20 || !strings.Contains(few, "and 3 more (--all shows them)") {
		t.Errorf("%d findings shown:\n%s", n, few)
	}
	all := string(write(t, func(w io.Writer) error { return LintText(w, []*lint.Result{r}, TextOptions{All: true}) }))
	if n := strings.Count(all, "\n    warning"); n != 23 || strings.Contains(all, "more") {
		t.Errorf("%d findings shown:\n%s", n, all)
	}
}

func TestSummaryFitsAScreen(t *testing.T) {
	r := craneFix()
	r.Edits = nil
	for i := range 400 {
		r.Edits = append(r.Edits, fix.Edit{Kind: fmt.Sprintf("kind-%d", i%40)})
		r.Left = append(r.Left, lint.Finding{Rule: "thin-web", Severity: lint.Note, Message: "m"})
	}
	r.Left = append(r.Left, lint.Finding{Rule: "open-outline", Severity: lint.Error, Message: "the gravest"})
	got := string(write(t, func(w io.Writer) error { return FixSummary(w, r) }))
	if n := strings.Count(got, "\n"); n > 24 {
		t.Errorf("%d lines", n)
	}
	for line := range strings.Lines(got) {
		if len(line) > 101 {
			t.Errorf("%d columns: %s", len(line), line)
		}
	}
	if !strings.Contains(got, "the gravest") {
		t.Errorf("the error is not among those shown:\n%s", got)
	}
}

func TestPartRows(t *testing.T) {
	rows := PartRows(craneFix().After)
	if len(rows) != 3 {
		t.Fatalf("%d rows, want 3", len(rows))
	}
	jib := rows[0]
	// One tab divides one outline; four holes are one pierce each.
	if jib.Pierces != 5 || jib.Tabs != 1 {
		t.Errorf("jib: %d pierces, %d tabs, want 5 and 1", jib.Pierces, jib.Tabs)
	}
	before := PartRows(craneLint())[0]
	// The tab is 0.012 of the straight lower edge of 156 mm; the bridge of 0.3
	// mm in the drawing as it came is no cut either.
	if d := before.CutLength + .3 - jib.CutLength - .012*156; math.Abs(d) > 1e-9 {
		t.Errorf("cut length with tab is off by %g", d)
	}
	if feet := rows[2]; feet.Count != 3 || len(feet.At) != 3 || feet.Width != 36 {
		t.Errorf("feet: %+v", feet)
	}
	if rows := PartRows(nil); rows != nil {
		t.Errorf("no result gives rows: %v", rows)
	}
}

func TestCutRuns(t *testing.T) {
	// Two tabs on one side of a square divide it into two runs, as do two tabs
	// that meet the corner; a wholly uncut outline has none.
	m := crane(true)
	jib := &m.sheet.Outlines[0].Path
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
	page := write(t, func(w io.Writer) error { return LintHTML(w, "1", []*lint.Result{r}, nil) })
	for i := range 2000 {
		if !bytes.Contains(page, fmt.Appendf(nil, "Finding %d.", i)) {
			t.Fatalf("finding %d is missing", i)
		}
	}
	ids := regexp.MustCompile(` id="([^"]*)"`).FindAllSubmatch(page, -1)
	seen := map[string]bool{}
	for _, id := range ids {
		if seen[string(id[1])] {
			t.Errorf("id %s stands twice", id[1])
		}
		seen[string(id[1])] = true
	}
}

func TestGauges(t *testing.T) {
	r := craneLint()
	g := newGauges(r.Sheet)
	fs := craneFindings()
	gap := g.of(&fs[0])
	if gap == nil || gap.Disc || gap.A != geom.Pt(200, 145) || math.Abs(gap.A.Dist(gap.B)-.3) > 1e-9 {
		t.Errorf("gap: %+v", gap)
	}
	// The slot lies along x, so the span across it must lie along y.
	slot := g.of(&fs[1])
	if slot == nil || !slot.Disc || math.Abs(slot.A.X-slot.B.X) > 1e-9 || math.Abs(slot.A.Dist(slot.B)-.8) > 1e-9 || slot.Limit != 1 {
		t.Errorf("slot: %+v", slot)
	}
	for _, i := range []int{4, 5} { // no measure; a share
		if x := g.of(&fs[i]); x != nil {
			t.Errorf("%s has a gauge: %+v", fs[i].Rule, x)
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
	suite := junitSuiteOf(0, "1", craneLint(), lint.Error)
	if suite.Tests != 8 || suite.Failures != 3 || suite.Errors != 0 {
		t.Errorf("errors fail: %d tests, %d failures, %d errors", suite.Tests, suite.Failures, suite.Errors)
	}
	if suite := junitSuiteOf(0, "1", craneLint(), lint.Note); suite.Failures != 7 {
		t.Errorf("notes fail: %d failures", suite.Failures)
	}
	if suite := junitSuiteOf(0, "1", craneLint(), lint.Off); suite.Failures != 0 {
		t.Errorf("nothing fails: %d failures", suite.Failures)
	}
	if suite := junitSuiteOf(0, "1", craneBad(), lint.Error); suite.Errors != 1 {
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
