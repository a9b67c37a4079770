package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint"
)

var scriptDigest = regexp.MustCompile(`sha256-[A-Za-z0-9+/&#;]+=*`)

// hostile is what a drawing might use as a name to break out of any of the
// formats: tags, script ends, quotes, entities, terminal sequences, line ends,
// direction overrides, bytes that are not UTF-8.
const hostile = "</script><script>alert(1)</script><img src=x onerror=alert(2)>\"'`${7*7}{{.}}&lt;]]>\x1b[31m\r\n::error::x\u202e\u2028\xff\x00"

func hostileLint() *lint.Result {
	m := crane(false)
	m.draw.Layers[0].Name = hostile
	m.draw.Texts = append(m.draw.Texts, drawing.Text{At: geom.Pt(1, 2), Height: 3, Angle: 1, Value: hostile})
	m.draw.Unit.Name, m.draw.Unit.Basis = "mm", "guess"
	r := m.result("kits/" + hostile + ".dxf")
	r.Job.Sheet.Material, r.Job.Path = hostile, hostile
	r.Job.Layers.Etch = []string{hostile}
	for range r.Sheet.Parts {
		r.Names = append(r.Names, hostile)
	}
	r.Findings = []lint.Finding{
		{Rule: "live-text", Severity: lint.Note, Message: hostile, At: geom.Pt(1, 2), Layer: hostile, Entities: []string{hostile}, Part: hostile,
			Measure: &lint.Measure{Name: hostile, Value: 1, Limit: 2, Unit: hostile}, Repair: lint.None, ID: hostile},
	}
	return r
}

func hostileFix() *lint.Repaired {
	r := hostileLint()
	return &lint.Repaired{Input: hostile, Output: hostile, Before: r, After: hostileLint(), Left: r.Findings,
		Edits:  []fix.Edit{{Kind: hostile, Rule: hostile, Part: hostile, Entities: []string{hostile}, Note: hostile}},
		Tabs:   []lint.Tab{{Part: hostile}},
		Labels: []lint.Label{{Part: hostile, Text: hostile, Where: hostile}},
		Account: lint.Account{Read: 1, LeftOut: 1, ByType: []lint.TypeAccount{{Type: hostile, Read: 1, LeftOut: 1}},
			Left: []lint.LeftOutItem{{Type: hostile, Count: 1, Why: hostile}}}}
}

func hostileRules() []RuleDoc {
	return []RuleDoc{{ID: "live-text", Title: hostile, What: hostile, Why: hostile, Repair: hostile, Severity: lint.Note}}
}

func TestHostileNamesAreInertInHTML(t *testing.T) {
	pages := map[string]func(io.Writer) error{
		"lint": func(w io.Writer) error {
			return LintHTML(w, hostile, []*lint.Result{hostileLint(), hostileLint()}, hostileRules())
		},
		"fix":   func(w io.Writer) error { return FixHTML(w, hostile, hostileFix(), hostileRules()) },
		"parts": func(w io.Writer) error { return PartsHTML(w, hostile, hostileLint(), PartRows(hostileLint())) },
	}
	for name, f := range pages {
		page := string(stripAssets(write(t, f)))
		for _, bad := range []string{"alert(1)</script>", "<img", "onerror=alert(2)>", "\x1b", "\u202e", "\x00"} {
			if strings.Contains(page, bad) {
				t.Errorf("%s: %q stands in the page as it is", name, bad)
			}
		}
		// The only scripts are ours: one for each drawing's markers and one of code.
		want := 1 + strings.Count(page, `class="markers"`)
		if n := strings.Count(page, "<script"); n != want {
			t.Errorf("%s: %d script tags, want %d", name, n, want)
		}
		if n := strings.Count(page, "</script"); n != want {
			t.Errorf("%s: %d script ends, want %d", name, n, want)
		}
		if m := regexp.MustCompile(`(?i)(https?:)?//[a-z0-9]`).FindString(page); m != "" {
			t.Errorf("%s: the page names another place: %s", name, m)
		}
	}
}

func TestHostileNamesAreInertElsewhere(t *testing.T) {
	r, x := hostileLint(), hostileFix()
	one := []*lint.Result{r, {Path: hostile, Err: errors.New(hostile)}}
	text := map[string]func(io.Writer) error{
		"lint text":   func(w io.Writer) error { return LintText(w, one, TextOptions{}) },
		"fix text":    func(w io.Writer) error { return FixText(w, x) },
		"fix summary": func(w io.Writer) error { return FixSummary(w, x) },
		"parts text":  func(w io.Writer) error { return PartsText(w, PartRows(r)) },
		"github":      func(w io.Writer) error { return GitHub(w, one) },
	}
	for name, f := range text {
		for line := range strings.Lines(string(write(t, f))) {
			for _, bad := range []string{"\x1b", "\x00", "\r", "\u202e", "\u2028", "\xff"} {
				if strings.Contains(line, bad) {
					t.Errorf("%s: %q comes through: %q", name, bad, line)
				}
			}
			if strings.HasPrefix(line, "::") && name != "github" {
				t.Errorf("%s: a line reads as a command: %q", name, line)
			}
		}
	}
	if n := len(strings.Split(strings.TrimSpace(string(write(t, text["github"]))), "\n")); n != 2 {
		t.Errorf("github: %d lines for two entries", n)
	}
	var suites junitSuites
	if err := xml.Unmarshal(write(t, func(w io.Writer) error { return JUnit(w, hostile, one) }), &suites); err != nil {
		t.Errorf("junit: %v", err)
	}
	svg := write(t, func(w io.Writer) error { return SheetSVG(w, r.Sheet, SVGOptions{Title: hostile, Names: r.Names}) })
	if err := wellFormed(svg); err != nil {
		t.Errorf("svg: %v", err)
	}
	if bytes.Contains(svg, []byte("<script")) || bytes.Contains(svg, []byte("<img")) {
		t.Error("svg: a name became a tag")
	}
	for name, f := range map[string]func(io.Writer) error{
		"lint":  func(w io.Writer) error { return LintJSON(w, hostile, one) },
		"fix":   func(w io.Writer) error { return FixJSON(w, hostile, x) },
		"parts": func(w io.Writer) error { return PartsJSON(w, PartRows(r)) },
		"sarif": func(w io.Writer) error { return SARIF(w, hostile, one, hostileRules()) },
	} {
		if !json.Valid(write(t, f)) {
			t.Errorf("%s: not JSON", name)
		}
	}
}

func TestCSVKeepsSpreadsheetsFromCalculating(t *testing.T) {
	rows := []PartRow{{Number: "1", Count: 2, Layer: "=cmd()", Name: "+1"}, {Number: "@x", Name: "-2\n3"}, {Layer: "a,\"b\""}}
	b := write(t, func(w io.Writer) error { return PartsCSV(w, rows) })
	rec, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range [][3]string{{"1", "'=cmd()", "'+1"}, {"'@x", "", "'-2 3"}, {"", `a,"b"`, ""}} {
		if got := [3]string{rec[i+1][0], rec[i+1][8], rec[i+1][9]}; got != want {
			t.Errorf("row %d: %q, want %q", i, got, want)
		}
	}
}

func wellFormed(doc []byte) error {
	d := xml.NewDecoder(bytes.NewReader(doc))
	for {
		if _, err := d.Token(); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
	}
}

var nan, inf = math.NaN(), math.Inf(1)

// brokenNumbers is a result in which every number that could go wrong has.
func brokenNumbers() *lint.Result {
	m := crane(false)
	bad := geom.Path{geom.Line(geom.Pt(nan, 0), geom.Pt(inf, 1)), {A: geom.Pt(0, 0), B: geom.Pt(1, 1), C: geom.Pt(nan, nan), R: inf, Sweep: nan}}
	m.sheet.Outlines = append(m.sheet.Outlines, outline.Outline{Path: outline.Path{Pieces: bad}, Area: nan, Centroid: geom.Pt(nan, inf), Box: geom.NoBox(), Parent: -1})
	m.sheet.Parts = append(m.sheet.Parts, outline.Part{Outer: int32(len(m.sheet.Outlines) - 1), Area: inf, Centroid: geom.Pt(nan, nan), Box: geom.NoBox(), Number: 9})
	m.sheet.Gaps = append(m.sheet.Gaps, outline.Gap{At: geom.Pt(nan, 1), A: geom.Pt(inf, 1), B: geom.Pt(1, nan), Partner: true})
	m.sheet.Open = append(m.sheet.Open, outline.Open{Path: outline.Path{Pieces: bad}})
	m.draw.Texts = append(m.draw.Texts, drawing.Text{At: geom.Pt(nan, 0), Height: inf, Value: "x"}, drawing.Text{Height: 1, Angle: nan, Value: "y"})
	r := m.result("broken-numbers.dxf")
	r.Extents = geom.Box{Min: geom.Pt(nan, 0), Max: geom.Pt(inf, 1)}
	r.Job.Jet.Kerf, r.Job.Sheet.Size = nan, []float64{inf, nan}
	for _, p := range []geom.Point{{X: nan, Y: nan}, {X: inf, Y: -inf}, {X: 1e300, Y: -1e300}} {
		r.Findings = append(r.Findings, lint.Finding{Rule: "narrow-slot", Severity: lint.Error, Message: "m", At: p, Box: geom.BoxOf(p),
			Measure: &lint.Measure{Name: "width", Value: nan, Limit: inf, Unit: "mm"}})
	}
	return r
}

func brokenRepair() *lint.Repaired {
	at := geom.Pt(nan, -inf)
	return &lint.Repaired{Before: brokenNumbers(), After: brokenNumbers(), Left: brokenNumbers().Findings,
		Edits:  []fix.Edit{{Kind: "tab", At: at, Moved: nan}},
		Tabs:   []lint.Tab{{At: at, Width: nan, Gap: inf}},
		Labels: []lint.Label{{At: at, Height: nan, Angle: -inf, Where: "inside"}}}
}

func TestNoOutputHoldsNaN(t *testing.T) {
	r, x := brokenNumbers(), brokenRepair()
	one := []*lint.Result{r}
	for name, f := range map[string]func(io.Writer) error{
		"lint json":   func(w io.Writer) error { return LintJSON(w, "1", one) },
		"lint text":   func(w io.Writer) error { return LintText(w, one, TextOptions{}) },
		"lint html":   func(w io.Writer) error { return LintHTML(w, "1", one, nil) },
		"sarif":       func(w io.Writer) error { return SARIF(w, "1", one, nil) },
		"junit":       func(w io.Writer) error { return JUnit(w, "1", one) },
		"github":      func(w io.Writer) error { return GitHub(w, one) },
		"fix json":    func(w io.Writer) error { return FixJSON(w, "1", x) },
		"fix text":    func(w io.Writer) error { return FixText(w, x) },
		"fix summary": func(w io.Writer) error { return FixSummary(w, x) },
		"fix html":    func(w io.Writer) error { return FixHTML(w, "1", x, nil) },
		"parts text":  func(w io.Writer) error { return PartsText(w, PartRows(r)) },
		"parts csv":   func(w io.Writer) error { return PartsCSV(w, PartRows(r)) },
		"parts json":  func(w io.Writer) error { return PartsJSON(w, PartRows(r)) },
		"parts html":  func(w io.Writer) error { return PartsHTML(w, "1", r, PartRows(r)) },
		"svg":         func(w io.Writer) error { return SheetSVG(w, r.Sheet, SVGOptions{Findings: r.Findings}) },
	} {
		b := write(t, f)
		if strings.HasSuffix(name, "html") {
			b = stripAssets(b)
		}
		if m := regexp.MustCompile(`\bNaN\b|[+-]?\bInf\b`).Find(b); m != nil {
			t.Errorf("%s: %s in the output", name, m)
		}
	}
}
