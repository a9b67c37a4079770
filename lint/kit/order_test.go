package kit_test

import (
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sluice/lint/kit"
)

// Every part with a mate comes once; every part but the first of its group meets
// what stands; no captive comes after both of its holders unless that is told.
func TestOrder(t *testing.T) {
	captives, forced := 0, 0
	for seed := range kits {
		k := random(seed)
		f := kit.Find(sheetOf(t, k, rand.New(rand.NewPCG(uint64(seed), 4))), kit.DefaultOptions())
		steps := f.Order(nil)
		if len(steps) != len(k.Parts) {
			t.Errorf("kit %d (%s): %d steps for %d parts", seed, k.Name, len(steps), len(k.Parts))
		}
		at := map[int32]int{}
		force := false
		for i, s := range steps {
			if _, twice := at[s.Part]; twice {
				t.Errorf("kit %d: part %d twice", seed, s.Part)
			}
			at[s.Part] = i
			if !s.Start && len(s.Meets) == 0 || s.Why == "" {
				t.Errorf("kit %d: step %+v", seed, s)
			}
			force = force || s.Force
		}
		if force {
			forced++
		}
		for _, c := range f.Captives() {
			captives++
			if at[c.Part] > at[c.A] && at[c.Part] > at[c.B] && !force {
				t.Errorf("kit %d (%s): captive %+v comes last", seed, k.Name, c)
			}
		}
		if len(f.Captives()) == 0 && (k.Name == "ladder" || k.Name == "carcass") {
			t.Errorf("kit %d (%s): nothing held captive", seed, k.Name)
		}
	}
	t.Logf("%d captives, %d kits of %d with a part to be sprung in", captives, forced, kits)
}

// In the demo kit a house end is held between the house sides, and a boom tie
// between the boom sides: each stands before the second of them.
func TestDemoOrder(t *testing.T) {
	f := kit.Find(load(t, filepath.Join(fixtures, "harbour-crane-clean.dxf")), kit.DefaultOptions())
	steps := f.Order(nil)
	where := func(p int32) int { return slices.IndexFunc(steps, func(s kit.Stage) bool { return s.Part == p }) }
	if n := len(f.Captives()); n < 2+4+2 {
		t.Errorf("%d captives, want at least two cross beams, four ties and two house ends", n)
	}
	told := 0
	for _, c := range f.Captives() {
		if where(c.Part) > max(where(c.A), where(c.B)) {
			t.Errorf("captive %+v comes after its holders", c)
		}
	}
	for _, s := range steps {
		if strings.Contains(s.Why, "captive") || strings.Contains(s.Why, "closes in") {
			told++
		}
	}
	if told == 0 {
		t.Error("no reason names a captive")
	}
}

// The schedule of the demo kit: who goes into whom.
func TestDemoSchedule(t *testing.T) {
	s := load(t, filepath.Join(fixtures, "harbour-crane-clean.dxf"))
	f := kit.Find(s, kit.DefaultOptions())
	lines := f.Schedule()
	for i, l := range lines {
		if l.Number != i+1 || l.Count == 0 || l.Free > 0 {
			t.Errorf("line %+v", l)
		}
		for _, n := range l.GoesInto {
			if !slices.Contains(lines[n-1].Takes, l.Number) {
				t.Errorf("part %d goes into %d, which does not take it", l.Number, n)
			}
		}
		if (l.Tabs > 0) != (len(l.GoesInto) > 0) || (l.Slots > 0) != (len(l.Takes) > 0) {
			t.Errorf("joints and mates disagree: %+v", l)
		}
	}
}
