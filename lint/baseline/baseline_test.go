package baseline

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
)

func found(rule, part, message string, x float64) lint.Finding {
	return lint.Finding{Rule: rule, Part: part, Message: message, At: geom.Pt(x, 0), Severity: lint.Error}
}

func always(*lint.Result, string) bool { return true }

func TestBaselineMatches(t *testing.T) {
	known := []lint.Finding{
		found("thin-web", "1", "Web 1.2 mm thick", 5), found("thin-web", "1", "Web 1.3 mm thick", 9), found("small-hole", "2", "Hole 0.8 mm", 1),
	}
	tests := []struct {
		name  string
		now   []lint.Finding
		left  []string // part and message
		stale int
	}{
		{"the same", known, nil, 0},
		{"moved, with other figures", []lint.Finding{
			found("small-hole", "2", "Hole 0.9 mm", 77), found("thin-web", "1", "Web 12 mm thick", 70), found("thin-web", "1", "Web .5 mm thick", 79),
		}, []string{"1 Web .5 mm thick"}, 1}, // ".5" is not how figures are written
		{"one more of a kind", append([]lint.Finding{found("thin-web", "1", "Web 1.1 mm thick", 0)}, known...), []string{"1 Web 1.3 mm thick"}, 0},
		{"one in another part comes in addition", append([]lint.Finding{found("thin-web", "9", "Web 1.1 mm thick", 0)}, known...),
			[]string{"9 Web 1.1 mm thick"}, 0},
		{"parts numbered anew", []lint.Finding{
			found("thin-web", "2", "Web 1.2 mm thick", 5), found("thin-web", "2", "Web 1.3 mm thick", 9), found("small-hole", "3", "Hole 0.8 mm", 1),
		}, nil, 0},
		{"another rule", []lint.Finding{found("narrow-slot", "1", "Web 1.2 mm thick", 5)}, []string{"1 Web 1.2 mm thick"}, 2},
		{"nothing", nil, nil, 2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b := &Baseline{Path: "base.json", files: map[string][]accepted{"kits/a.dxf": kindsOf(known)}}
			r := &lint.Result{Path: "kits/a.dxf", Findings: tt.now}
			count, stale := b.Apply([]*lint.Result{r}, always, true)
			var left []string
			for _, f := range r.Findings {
				left = append(left, f.Part+" "+f.Message)
			}
			if d := cmp.Diff(tt.left, left); d != "" {
				t.Error(d)
			}
			if len(stale) != tt.stale || count != len(tt.now)-len(tt.left) {
				t.Errorf("%d accepted, stale %q, want %d", count, stale, tt.stale)
			}
		})
	}
}

// What was written accepts exactly what was found, in any order, and no more.
func TestBaselineAcceptsWhatWasFound(t *testing.T) {
	dir := t.TempDir()
	one := rapid.Custom(func(t *rapid.T) lint.Finding {
		return found(rapid.SampledFrom([]string{"a", "b"}).Draw(t, "rule"), rapid.SampledFrom([]string{"", "1", "2"}).Draw(t, "part"),
			rapid.SampledFrom([]string{"gap 1", "gap 2", "\"<wide>\"", "öffnung\n"}).Draw(t, "message"), float64(rapid.IntRange(0, 9).Draw(t, "x")))
	})
	rapid.Check(t, func(t *rapid.T) {
		fs := rapid.SliceOf(one).Draw(t, "found")
		path := filepath.Join(dir, "base.json")
		b := &Baseline{Path: path, files: map[string][]accepted{}}
		b.Accept([]*lint.Result{{Path: filepath.Join(dir, "k.dxf"), Findings: fs}}, always)
		data, err := b.Bytes()
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
		again, err := Read(path, false)
		if err != nil {
			t.Fatal(err)
		}
		now := rapid.Permutation(fs).Draw(t, "now")
		extra := one.Draw(t, "extra")
		r := &lint.Result{Path: filepath.Join(dir, "k.dxf"), Findings: append(now, extra)}
		if count, stale := again.Apply([]*lint.Result{r}, always, true); count != len(fs) || len(stale) != 0 || len(r.Findings) != 1 {
			t.Fatalf("%d of %d accepted, %d left, stale %q", count, len(fs), len(r.Findings), stale)
		}
		second, err := again.Bytes()
		if err != nil || string(second) != string(data) {
			t.Fatalf("read and written again it is %s, %v; was %s", second, err, data)
		}
	})
}

// Rules that did not run, and drawings that could not be read, are not stale.
func TestBaselineStaleOnlyWhereSure(t *testing.T) {
	dir := t.TempDir()
	b := &Baseline{Path: filepath.Join(dir, "base.json"), files: map[string][]accepted{
		"a.dxf": {{Rule: "thin-web", Message: "w", Count: 1}}, "bad.dxf": {{Rule: "thin-web", Message: "w", Count: 1}},
		"gone.dxf": {{Rule: "thin-web", Message: "w", Count: 1}}, "there.dxf": {{Rule: "thin-web", Message: "w", Count: 1}},
	}}
	if err := os.WriteFile(filepath.Join(dir, "there.dxf"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	ran := func(r *lint.Result, rule string) bool { return r.Job.Rules[rule] != "off" }
	off := job.Default()
	off.Rules["thin-web"] = "off"
	bad := &lint.Result{Path: filepath.Join(dir, "bad.dxf"), Err: os.ErrInvalid}
	a := &lint.Result{Path: filepath.Join(dir, "a.dxf"), Job: off}
	if _, stale := b.Apply([]*lint.Result{a, bad}, ran, false); len(stale) != 0 {
		t.Errorf("stale: %q", stale)
	}
	a.Job = job.Default()
	_, stale := b.Apply([]*lint.Result{a, bad}, ran, true)
	want := []string{"a.dxf: thin-web: 1 no longer found: w", "gone.dxf: there is no such drawing any more"}
	if d := cmp.Diff(want, stale); d != "" {
		t.Error(d)
	}
}

func TestBaselineFollowsItsSchema(t *testing.T) {
	compiler := jsonschema.NewCompiler()
	path, err := filepath.Abs("../../testdata/schema/baseline.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	schema, err := compiler.Compile(path)
	if err != nil {
		t.Fatal(err)
	}
	b := &Baseline{files: map[string][]accepted{
		"a.dxf": kindsOf([]lint.Finding{found("thin-web", "1", "Web <1.2> mm", 5), found("thin-web", "", "Web", 0)}), "none.dxf": nil,
	}}
	for _, b := range []*Baseline{b, {}} {
		data, err := b.Bytes()
		if err != nil {
			t.Fatal(err)
		}
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
		if err == nil {
			err = schema.Validate(v)
		}
		if err != nil {
			t.Errorf("%v in %s", err, data)
		}
	}
}
