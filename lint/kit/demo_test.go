package kit_test

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/assembly"
	"sluice/lint/job"
	"sluice/lint/kit"
)

// load judges a drawing without rules and returns its sheet.
func load(t *testing.T, path string) *outline.Sheet {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	res := lint.Check(context.Background(), path, f, job.Default(), lint.Options{})
	if res.Err != nil {
		t.Fatalf("%s: %v", path, res.Err)
	}
	return res.Sheet
}

var fixtures = filepath.Join("..", "..", "fixtures")

// On the demo kit the planted joints without mates come out, and nothing else.
func TestDemoKit(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(fixtures, "harbour-crane.flaws.json"))
	if err != nil {
		t.Fatal(err)
	}
	var flaws []struct {
		Rule    string
		At      [2]float64
		Radius  float64
		Measure float64
	}
	if err := json.Unmarshal(data, &flaws); err != nil {
		t.Fatal(err)
	}
	k := kit.Find(load(t, filepath.Join(fixtures, "harbour-crane.dxf")), kit.DefaultOptions())
	assembly.Match(k) // a notch is told where its part stands
	used := make([]bool, len(k.Unmatched))
	for _, f := range flaws {
		if f.Rule != "unmatched-joint" {
			continue
		}
		found := false
		for i, u := range k.Unmatched {
			if u.At.Dist(geom.Pt(f.At[0], f.At[1])) <= f.Radius && math.Abs(u.Length-f.Measure) < 0.01 {
				used[i], found = true, true
			}
		}
		if !found {
			t.Errorf("not found: %v", f)
		}
	}
	for i, u := range k.Unmatched {
		if !used[i] {
			t.Errorf("nobody planted %+v", u)
		}
	}
	if math.Abs(k.Design()-3) > 1e-6 || len(k.Thicknesses) != 1 || len(k.Odd) > 0 {
		t.Errorf("thicknesses %v, odd %v; want 3 alone", k.Thicknesses, k.Odd)
	}
	t.Logf("%d joints, %d pairs, thickness %v", len(k.Joints), len(k.Pairs), k.Thicknesses)
}

func TestDemoKitClean(t *testing.T) {
	k := kit.Find(load(t, filepath.Join(fixtures, "harbour-crane-clean.dxf")), kit.DefaultOptions())
	if len(k.Unmatched) > 0 || len(k.Odd) > 0 || len(k.Missing) > 0 {
		t.Errorf("unmatched %+v, odd %v, missing %+v", k.Unmatched, k.Odd, k.Missing)
	}
	slots := 0
	for _, j := range k.Joints {
		if j.Kind == kit.Slot {
			slots++
		}
	}
	t.Logf("%d slots, %d joints, %d pairs, thickness %v", slots, len(k.Joints), len(k.Pairs), k.Thicknesses)
	for _, j := range k.Joints {
		if testing.Verbose() && j.Kind != kit.Slot && j.Kind != kit.Tab {
			t.Logf("%+v", j)
		}
	}
}
