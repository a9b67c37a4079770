package report

import (
	"bytes"
	"flag"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/lint"
)

var update = flag.Bool("update", false, "write the golden files anew")

// outputs are all writers on the sample, by the name of their golden file.
func outputs() map[string]func(io.Writer) error {
	all := func() []*lint.Result { return []*lint.Result{craneLint(), craneBad(), craneEmpty()} }
	one := func() []*lint.Result { return []*lint.Result{craneLint()} }
	rows := func() []PartRow { return PartRows(craneLint()) }
	title := func(rule string) string {
		if d := ruleIndex(sampleRules)[rule]; d != nil {
			return d.Title
		}
		return ""
	}
	return map[string]func(io.Writer) error{
		"lint.json":       func(w io.Writer) error { return LintJSON(w, "1.0", all()) },
		"lint.txt":        func(w io.Writer) error { return LintText(w, all(), TextOptions{Explain: title}) },
		"lint-color.txt":  func(w io.Writer) error { return LintText(w, one(), TextOptions{Color: true}) },
		"lint-quiet.txt":  func(w io.Writer) error { return LintText(w, all(), TextOptions{Quiet: true}) },
		"lint.sarif":      func(w io.Writer) error { return SARIF(w, "1.0", all(), sampleRules) },
		"lint.junit.xml":  func(w io.Writer) error { return JUnit(w, "1.0", all()) },
		"lint.github.txt": func(w io.Writer) error { return GitHub(w, all()) },
		"lint.html":       func(w io.Writer) error { return LintHTML(w, "1.0", all(), sampleRules) },
		"fix.json":        func(w io.Writer) error { return FixJSON(w, "1.0", craneFix()) },
		"fix.txt":         func(w io.Writer) error { return FixText(w, craneFix()) },
		"fix-summary.txt": func(w io.Writer) error { return FixSummary(w, craneFix()) },
		"fix.html":        func(w io.Writer) error { return FixHTML(w, "1.0", craneFix(), sampleRules) },
		"parts.txt":       func(w io.Writer) error { return PartsText(w, rows()) },
		"parts.csv":       func(w io.Writer) error { return PartsCSV(w, rows()) },
		"parts.json":      func(w io.Writer) error { return PartsJSON(w, rows()) },
		"parts.html":      func(w io.Writer) error { return PartsHTML(w, "1.0", craneLint(), rows()) },
		"sheet.svg": func(w io.Writer) error {
			r := craneLint()
			return SheetSVG(w, r.Sheet, SVGOptions{Title: r.Path, Findings: r.Findings})
		},
	}
}

func write(t *testing.T, f func(io.Writer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := f(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// stripAssets leaves style and script out of a page: they are files of their
// own, and golden pages need not repeat them.
func stripAssets(page []byte) []byte {
	for _, tag := range []string{"style", "script"} {
		from := bytes.LastIndex(page, []byte("<"+tag+">"))
		if from < 0 {
			continue
		}
		from += len(tag) + 2
		to := from + bytes.Index(page[from:], []byte("</"+tag+">"))
		page = append(page[:from:from], page[to:]...)
	}
	return scriptDigest.ReplaceAll(page, []byte("sha256-…"))
}

func TestGolden(t *testing.T) {
	for name, f := range outputs() {
		t.Run(name, func(t *testing.T) {
			got := write(t, f)
			if filepath.Ext(name) == ".html" {
				got = stripAssets(got)
			}
			path := filepath.Join("testdata", name)
			if *update {
				if err := os.WriteFile(path, got, 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(string(want), string(got)); d != "" {
				t.Errorf("differs from %s (-want +got):\n%s", path, d)
			}
		})
	}
}

func TestSameBytesEveryTime(t *testing.T) {
	for name, f := range outputs() {
		first := write(t, f)
		for range 3 {
			if !bytes.Equal(first, write(t, f)) {
				t.Errorf("%s: two runs differ", name)
			}
		}
	}
}

// failing is a writer that takes n bytes and then fails, as a broken pipe does.
type failing struct{ n int }

func (f *failing) Write(p []byte) (int, error) {
	if len(p) > f.n {
		return f.n, io.ErrClosedPipe
	}
	f.n -= len(p)
	return len(p), nil
}

func TestWriteErrorsAreTold(t *testing.T) {
	for name, f := range outputs() {
		if err := f(&failing{10}); err == nil {
			t.Errorf("%s: no error from a writer that fails", name)
		}
	}
}
