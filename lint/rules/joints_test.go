package rules

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"sluice/fix"
	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/kit"
	"sluice/lint/linttest"
)

var jointRules = []*lint.Rule{slotThickness, unmatchedJoint}

// The two rules about joints: their own drawings, and silence on those of all
// other rules.
func TestJointDrawings(t *testing.T) {
	dirs, err := filepath.Glob(filepath.Join("flaws", "*"))
	if err != nil || len(dirs) < 10 {
		t.Fatal("no drawings", err)
	}
	for _, dir := range dirs {
		e, err := linttest.ReadExpect(filepath.Join(dir, "expect.txt"))
		if err != nil {
			t.Fatal(err)
		}
		var want []linttest.Want
		for _, w := range e.Flaw {
			if w.Rule == slotThickness.ID || w.Rule == unmatchedJoint.ID {
				want = append(want, w)
			}
		}
		for name, w := range map[string][]linttest.Want{"flaw.dxf": want, "near.dxf": nil} {
			res := linttest.Check(t, filepath.Join(dir, name), All()) // job files may name other rules
			var own []lint.Finding
			for _, f := range res.Findings {
				if f.Rule == slotThickness.ID || f.Rule == unmatchedJoint.ID {
					own = append(own, f)
				}
			}
			linttest.Compare(t, own, w, nil)
		}
	}
}

// judged runs the rules about joints over the demo kit.
func judged(t *testing.T, name string, j *job.Job) *lint.Result {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "fixtures", name))
	if err != nil {
		t.Fatal(err)
	}
	res := lint.Check(context.Background(), name, bytes.NewReader(data), j, lint.Options{Rules: jointRules})
	if res.Err != nil {
		t.Fatal(res.Err)
	}
	return res
}

func craneJob(t *testing.T) *job.Job {
	t.Helper()
	path := filepath.Join("..", "..", "fixtures", "crane.toml")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Parse(data, path, linttest.IDs(All()))
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func TestDemoKitJoints(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "fixtures", "harbour-crane.flaws.json"))
	if err != nil {
		t.Fatal(err)
	}
	var flaws []struct {
		Rule    string
		At      [2]float64
		Radius  float64
		Measure float64
		Job     bool
	}
	if err := json.Unmarshal(data, &flaws); err != nil {
		t.Fatal(err)
	}
	for _, withJob := range []bool{false, true} {
		j := job.Default()
		if withJob {
			j = craneJob(t)
		}
		res := judged(t, "harbour-crane.dxf", j)
		used := make([]bool, len(res.Findings))
		for _, w := range flaws {
			if w.Rule != slotThickness.ID && w.Rule != unmatchedJoint.ID || w.Job && !withJob {
				continue
			}
			hit := false
			for i, f := range res.Findings {
				if f.Rule == w.Rule && f.At.Dist(geom.Pt(w.At[0], w.At[1])) <= w.Radius && math.Abs(f.Measure.Value-w.Measure) < 0.01 {
					hit, used[i] = true, true
				}
			}
			if !hit {
				t.Errorf("job %v: not found: %+v", withJob, w)
			}
		}
		slots := 0
		for i, f := range res.Findings {
			if f.Rule == slotThickness.ID && withJob {
				slots++ // every slot of the kit is 3 mm wide
			} else if !used[i] {
				t.Errorf("job %v: nobody planted %s at %v: %s", withJob, f.Rule, f.At, f.Message)
			}
			if testing.Verbose() && i < 4 {
				t.Logf("%s: %s", f.Rule, f.Message)
			}
		}
		if withJob && slots != 50 {
			t.Errorf("%d slots told, want all 50", slots)
		}
	}
	if n := len(judged(t, "harbour-crane-clean.dxf", job.Default()).Findings); n > 0 {
		t.Errorf("%d findings on the clean kit", n)
	}
}

// Asked for, the refit makes every slot of the demo kit suit the sheet, keeps
// all parts, and then rests.
func TestDemoKitRefit(t *testing.T) {
	j := craneJob(t)
	j.Fit.Refit = "slots"
	res := judged(t, "harbour-crane-clean.dxf", j)
	var fixes []fix.Fix
	for _, f := range res.Findings {
		fixes = append(fixes, f.Fixes...)
	}
	if len(fixes) != 1 {
		t.Fatalf("%d repairs, want one for the whole kit", len(fixes))
	}
	d, done, skipped := fix.Apply(res.Drawing, fixes)
	if len(skipped) > 0 {
		t.Fatal("the refit was skipped")
	}
	again, err := lint.Judge(context.Background(), "refitted", d, j, lint.Options{Rules: jointRules})
	if err != nil {
		t.Fatal(err)
	}
	if len(again.Sheet.Parts) != len(res.Sheet.Parts) || len(again.Sheet.Outlines) != len(res.Sheet.Outlines) {
		t.Errorf("%d parts of %d", len(again.Sheet.Parts), len(res.Sheet.Parts))
	}
	for _, f := range again.Findings {
		t.Errorf("still told: %s at %v: %s", f.Rule, f.At, f.Message)
	}
	target, source, _ := kit.TargetOf(j)
	k := kit.Find(again.Sheet, kit.DefaultOptions())
	for _, x := range k.Joints {
		if x.Kind == kit.Slot && math.Abs(x.Width-target.Width()) > 1e-6 {
			t.Errorf("slot %g wide, want %g", x.Width, target.Width())
		}
		if x.Kind == kit.Tab && math.Abs(x.Depth-target.Thickness) > 1e-6 {
			t.Errorf("tab %g deep, want %g", x.Depth, target.Thickness)
		}
	}
	t.Logf("%d parts refitted, slots %g mm wide (%s); first: %+v", len(done), target.Width(), source, done[0].Note)
}
