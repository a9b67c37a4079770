package mend_test

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sluice/fixtures/gen/crane"
	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/linttest"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

const fixtures = "../../fixtures"

func readFile(t *testing.T, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func loadJob(t *testing.T, path string) *job.Job {
	t.Helper()
	if path == "" {
		return job.Default()
	}
	j, err := job.Parse(readFile(t, path), path, linttest.IDs(rules.All()))
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func check(t *testing.T, path string, j *job.Job) *lint.Result {
	t.Helper()
	r := lint.Check(context.Background(), path, bytes.NewReader(readFile(t, path)), j, lint.Options{Rules: rules.All()})
	if r.Err != nil {
		t.Fatal(r.Err)
	}
	return r
}

func repair(t *testing.T, path string, data []byte, j *job.Job) (*lint.Repaired, []byte) {
	t.Helper()
	rep, out, err := mend.Fix(context.Background(), path, bytes.NewReader(data), j, mend.Options{Options: lint.Options{Rules: rules.All()}})
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return rep, out
}

type planted struct {
	Rule    string     `json:"rule"`
	At      [2]float64 `json:"at"`
	Radius  float64    `json:"radius"`
	Measure *float64   `json:"measure"`
	Fix     string     `json:"fix"`
	Job     bool       `json:"job"`
	Natural bool       `json:"natural"`
	Note    string     `json:"note"`
}

// TestDemoFlaws checks that every planted flaw of the demo is found at its place
// and that nothing else of error severity is.
func TestDemoFlaws(t *testing.T) {
	var flaws []planted
	if err := json.Unmarshal(readFile(t, filepath.Join(fixtures, "harbour-crane.flaws.json")), &flaws); err != nil {
		t.Fatal(err)
	}
	kit := filepath.Join(fixtures, "harbour-crane.dxf")
	plain := check(t, kit, job.Default())
	withJob := check(t, kit, loadJob(t, filepath.Join(fixtures, "crane.toml")))
	used := make([]bool, len(plain.Findings))
	known := linttest.IDs(rules.All())
	for _, f := range flaws {
		if !slices.Contains(known, f.Rule) {
			continue
		}
		res := plain
		if f.Job {
			res = withJob
		}
		found := false
		for i, g := range res.Findings {
			if g.Rule != f.Rule || math.Hypot(g.At.X-f.At[0], g.At.Y-f.At[1]) > f.Radius {
				continue
			}
			found = true
			if !f.Job {
				used[i] = true
			}
			if f.Measure != nil && (g.Measure == nil || math.Abs(g.Measure.Value-*f.Measure) > 0.02*math.Max(1, *f.Measure)) {
				t.Errorf("%s at %v measures %+v, want %v (%s)", f.Rule, f.At, g.Measure, *f.Measure, f.Note)
			}
		}
		if !found {
			t.Errorf("not found: %s at %v (%s)", f.Rule, f.At, f.Note)
		}
	}
	for i, g := range plain.Findings {
		if g.Severity == lint.Error && !used[i] {
			t.Errorf("not planted: %s at %v: %s", g.Rule, g.At, g.Message)
		}
	}
}

// TestDemoClean checks that the clean variant of the demo shows no flaw but what
// every kit for another machine needs: tabs and numbers; and one part in a hole,
// whose slug would take it along.
func TestDemoClean(t *testing.T) {
	r := check(t, filepath.Join(fixtures, "harbour-crane-clean.dxf"), job.Default())
	for _, g := range r.Findings {
		if marks := g.Rule == "unread-entity" && g.Layer == crane.Engrave && g.Severity == lint.Note; marks {
			continue // its marks are told as such
		}
		if g.Rule != "small-part" && g.Rule != "unnumbered-part" && (g.Rule != "loose-slug" || g.At.Dist(geom.Pt(358, 340)) > 1) {
			t.Errorf("%s at %v: %s", g.Rule, g.At, g.Message)
		}
	}
}

// TestDemoFix checks that fix leaves only what a person must decide, that the
// corrected drawing stays as it is when repaired again, and that the counts of
// the report agree with the drawing.
func TestDemoFix(t *testing.T) {
	for _, name := range []string{"harbour-crane.dxf", "harbour-crane-clean.dxf"} {
		path := filepath.Join(fixtures, name)
		rep, out := repair(t, path, readFile(t, path), job.Default())
		for _, f := range rep.Left {
			if f.Repair == lint.Auto {
				t.Errorf("%s: left although fix can repair it: %s at %v: %s", name, f.Rule, f.At, f.Message)
			}
		}
		for _, e := range rep.Edits {
			if e.Moved > 0.5 {
				t.Errorf("%s: %s at %v moved %g mm", name, e.Kind, e.At, e.Moved)
			}
		}
		parts := len(rep.After.Sheet.Parts)
		if before := len(rep.Before.Sheet.Parts); before != parts {
			t.Errorf("%s: %d parts before, %d after", name, before, parts)
		}
		if len(rep.Labels) != parts {
			t.Errorf("%s: %d numbers for %d parts", name, len(rep.Labels), parts)
		}
		tabEdits, labelEdits := 0, 0
		for _, e := range rep.Edits {
			switch e.Kind {
			case "tab":
				tabEdits++
			case "label":
				labelEdits++
			}
		}
		if tabEdits != len(rep.Tabs) || labelEdits != len(rep.Labels) {
			t.Errorf("%s: %d tabs and %d numbers told, %d and %d drawn", name, tabEdits, labelEdits, len(rep.Tabs), len(rep.Labels))
		}
		again, out2 := repair(t, path, out, job.Default())
		if !bytes.Equal(out, out2) {
			t.Errorf("%s: repairing the corrected drawing changes it: %s", name, firstDifference(out, out2))
		}
		if len(again.Edits) != 0 {
			t.Errorf("%s: repairing the corrected drawing makes edits: %+v", name, again.Edits[0])
		}
	}
}

func firstDifference(a, b []byte) string {
	x, y := strings.Split(string(a), "\n"), strings.Split(string(b), "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return "line " + string(rune('0'+i%10)) + ": " + x[i] + " / " + y[i]
		}
	}
	return "one is longer"
}

// TestSamples repairs real drawings where they are at hand.
func TestSamples(t *testing.T) {
	dir := os.Getenv("SLUICE_SAMPLES")
	if dir == "" {
		dir = "../../../shared/samples"
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*.dxf"))
	if len(files) == 0 {
		t.Skip("no sample drawings here")
	}
	for _, path := range files {
		t.Run(filepath.Base(path), func(t *testing.T) {
			rep, out := repair(t, path, readFile(t, path), job.Default())
			a := rep.Account
			if a.Read != len(rep.Before.Drawing.Entities) || a.Read != a.Used+a.Carried+a.Replaced+a.LeftOut {
				t.Errorf("account does not add up: %+v", a)
			}
			for _, f := range rep.Left {
				if f.Repair == lint.Auto {
					t.Errorf("left although fix can repair it: %s at %v: %s", f.Rule, f.At, f.Message)
				}
			}
			_, out2 := repair(t, path, out, job.Default())
			if !bytes.Equal(out, out2) {
				t.Errorf("repairing the corrected drawing changes it: %s", firstDifference(out, out2))
			}
		})
	}
}
