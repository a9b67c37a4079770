package report

import (
	"bytes"
	"io"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/lint"
	"sluice/lint/job"
)

func TestPartsFollowTheirSchema(t *testing.T) {
	s := schema(t, schemas+"/parts.schema.json")
	good := write(t, outputs()["parts.json"])
	if err := validate(t, s, good); err != nil {
		t.Error(err)
	}
	if err := validate(t, s, write(t, func(w io.Writer) error { return PartsJSON(w, nil) })); err != nil {
		t.Errorf("no part: %v", err)
	}
	if bad := bytes.Replace(good, []byte(`"pierces":`), []byte(`"holes":`), 1); validate(t, s, bad) == nil {
		t.Error("a part without pierces passes")
	}
}

func TestEstimatesFollowTheirSchema(t *testing.T) {
	s := schema(t, schemas+"/estimate.schema.json")
	for name, set := range map[string]func(*job.Job){"all known": priced, "nothing set": func(*job.Job) {}} {
		good := write(t, func(w io.Writer) error { return EstimateJSON(w, "1", "plate.dxf", estimated(t, set)) })
		if err := validate(t, s, good); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if bad := bytes.Replace(good, []byte(`"tabs":`), []byte(`"ties":`), 1); validate(t, s, bad) == nil {
			t.Errorf("%s: an estimate without tabs passes", name)
		}
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
		s := Shorten(r)
		if s.Drawing != nil || s.Sheet != nil || Shorten(s) != s {
			t.Errorf("%s is not short", r.Path)
		}
		short = append(short, s)
	}
	for name, form := range map[string]func(io.Writer, []*lint.Result) error{
		"text":   func(w io.Writer, rs []*lint.Result) error { return LintText(w, rs, TextOptions{}) },
		"json":   func(w io.Writer, rs []*lint.Result) error { return LintJSON(w, "1", rs) },
		"sarif":  func(w io.Writer, rs []*lint.Result) error { return SARIF(w, "1", rs, sampleRules) },
		"junit":  func(w io.Writer, rs []*lint.Result) error { return JUnit(w, "1", rs) },
		"github": GitHub,
	} {
		want := write(t, func(w io.Writer) error { return form(w, results) })
		got := write(t, func(w io.Writer) error { return form(w, short) })
		if d := cmp.Diff(string(want), string(got)); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
}

func TestRulesPage(t *testing.T) {
	evil := `</dd><script>alert(1)</script>`
	page := string(write(t, func(w io.Writer) error {
		return RulesHTML(w, "1", []RulePage{
			{ID: "thin-web", Title: "Web", Severity: "warning", Says: []Saying{{"what", evil}}, Flaw: []byte("<svg>flaw</svg>"), Near: []byte("<svg>near</svg>")},
			{ID: "bare", Title: "Without a picture"},
		})
	}))
	for _, want := range []string{"<svg>flaw</svg>", "<svg>near</svg>", `<a href="#bare">`, `id="thin-web"`, "&lt;script&gt;"} {
		if !bytes.Contains([]byte(page), []byte(want)) {
			t.Errorf("%s is missing", want)
		}
	}
	if bytes.Contains([]byte(page), []byte("<script")) {
		t.Error("a script stands in the page")
	}
}
