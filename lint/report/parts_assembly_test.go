package report

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"strings"
	"testing"

	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
)

// judged reads and judges a drawing of the repository without any rule.
func judged(t *testing.T, path string) *lint.Result {
	t.Helper()
	return judgedAt(t, path, "../../"+path)
}

// judgedAt does so with a drawing anywhere, which is called name.
func judgedAt(t *testing.T, name, path string) *lint.Result {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := lint.Check(t.Context(), name, f, job.Default(), lint.Options{})
	if r.Err != nil {
		t.Fatal(r.Err)
	}
	return r
}

// jointed is a small kit with joints, one of which has no mate.
func jointed(t *testing.T) *lint.Result { return judged(t, "testdata/rules/unmatched-joint/flaw.dxf") }

// The page of the demo kit is well formed, draws every number of part and every
// stage, and tells what is captive, what goes where and what may be missing.
func TestAssemblyOfDemo(t *testing.T) {
	r := judged(t, "fixtures/harbour-crane.dxf")
	page := string(in(t, "parts", "assembly", parts(r)))
	a := figures.PartsOf(r).Assembly()
	if n, want := strings.Count(page, "<svg "), len(a.Parts)+len(a.Stages); n != want || n < 20 {
		t.Errorf("%d pictures, want %d", n, want)
	}
	d := xml.NewDecoder(strings.NewReader(page[strings.Index(page, "<main>"):strings.Index(page, "</body>")]))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{"Start here", "Held captive", "Goes into", "may be missing"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}
