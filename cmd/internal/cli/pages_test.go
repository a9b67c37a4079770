package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/baseline"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/report"
)

// The page of a folder, made a drawing at a time, is the page of all drawings at once:
// with one that cannot be read, and with a baseline, which is asked by each drawing.
func TestPageOfManyDrawings(t *testing.T) {
	dir := geomtest.Folder(t)
	for _, name := range []string{"narrow-slot", "open-outline", "thin-web"} {
		text, err := os.ReadFile("../../../lint/rules/flaws/" + name + "/flaw.dxf")
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name+".dxf"), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "junk.dxf"), []byte("no drawing"), 0o644); err != nil {
		t.Fatal(err)
	}
	known := filepath.Join(dir, "known.json")
	lines := func(args ...string) []string {
		var out, stderr strings.Builder
		run(t.Context(), append([]string{"lint", "--quiet", "--no-cache", "--jobs", "3", "--format", "html"}, append(args, dir)...), nil, &out, &stderr, wired())
		if !strings.Contains(stderr.String(), "junk.dxf") {
			t.Fatalf("%v: %s", args, stderr.String())
		}
		return strings.Split(out.String(), "\n")
	}
	if status := run(t.Context(), []string{"lint", "--quiet", "--no-cache", "--baseline", known, "--write-baseline", filepath.Join(dir, "thin-web.dxf")}, nil, &strings.Builder{}, &strings.Builder{}, wired()); status != 0 {
		t.Fatal(status)
	}
	whole := func(accept *baseline.Baseline) []string {
		e := wired()
		var results []*lint.Result
		for _, in := range expand([]string{dir}, nil) {
			f, err := os.Open(in.path)
			if err != nil {
				t.Fatal(err)
			}
			results = append(results, e.check(t.Context(), in.path, f, job.Default(), checkOptions{plain: true}))
			f.Close()
		}
		if accept != nil {
			if n, _ := accept.Apply(results, e.ran, true); n == 0 {
				t.Fatal("nothing is accepted")
			}
		}
		form, _ := report.FormatOf("lint", "html")
		var b bytes.Buffer
		c := &report.Check{About: report.AboutOf(Version, e.rules, job.Default()), Check: figures.CheckOf(results)}
		if err := form.Write(&b, c); err != nil {
			t.Fatal(err)
		}
		return strings.Split(b.String(), "\n")
	}
	if d := cmp.Diff(whole(nil), lines()); d != "" {
		t.Error(d)
	}
	accept, err := baseline.Read(known, false)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(whole(accept), lines("--baseline", known)); d != "" {
		t.Error(d)
	}
}
