package mend_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"sluice/fix/fit"
	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/figures"
	"sluice/lint/job"
	"sluice/lint/kit"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

// boxed is a plate with slots for a second plate whose tabs are as long as given, one
// slot for each, and a window.
func boxed(slot float64, tabs ...float64) []byte {
	var d geomtest.Drafter
	rectangle(&d, 0, 0, 40+60*float64(len(tabs)), 80)
	rectangle(&d, 20, 50, 50, 65)
	at := []geom.Point{geom.Pt(0, 120)}
	for i, l := range tabs {
		x := 30 + 60*float64(i)
		rectangle(&d, x, 20, x+slot, 23)
		at = append(at, geom.Pt(x, 120), geom.Pt(x, 117), geom.Pt(x+l, 117), geom.Pt(x+l, 120))
	}
	end := 40 + 60*float64(len(tabs))
	at = append(at, geom.Pt(end, 120), geom.Pt(end, 160), geom.Pt(0, 160))
	for i := range at {
		d.Piece(geom.Line(at[i], at[(i+1)%len(at)]), 0)
	}
	return d.Bytes()
}

func refitted(t *testing.T, data []byte, corner string, scale bool) *lint.Repaired {
	t.Helper()
	j := job.Default()
	j.Sheet.Thickness, j.Jet.Kerf, j.Labels.Parts, j.Fit.Corner, j.Units = 4.76, 0.9, "none", corner, "mm"
	if !scale {
		j.Fit.Refit = "slots"
	}
	rep, _, err := mend.Fix(t.Context(), "kit", bytes.NewReader(data), j, mend.Options{Options: lint.Options{Rules: rules.All()}, Scale: scale})
	if err != nil {
		t.Fatal(err)
	}
	return rep
}

// A refit tells the play of every joint in both directions, and a slot that is much
// longer than its tab.
func TestRefitTellsPlay(t *testing.T) {
	for _, c := range []struct {
		name string
		data []byte
		low  float64
		high float64
		long int
	}{
		{"all as long", boxed(20.1, 20, 20, 20, 20), 0.1, 0.1, 0},
		{"all tabs short", boxed(20.1, 19.3, 19.3, 19.3, 19.31), 0.79, 0.8, 4},
	} {
		rep := refitted(t, c.data, "none", false)
		v := figures.RepairOf(rep).Verdict()
		if v.Play == nil || v.Play.Joints != 4 {
			t.Errorf("%s: play %+v", c.name, v.Play)
			continue
		}
		near := func(a, b float64) bool { return math.Abs(a-b) < 1e-6 }
		if p := v.Play; !near(p.Across[0], 0.15) || !near(p.Across[1], 0.15) || !near(p.Along[0], c.low) || !near(p.Along[1], c.high) {
			t.Errorf("%s: play %+v", c.name, p)
		}
		long := 0
		for _, f := range rep.Left {
			if f.Rule == "slot-thickness" && f.Measure.Name == "length" && f.Severity == lint.Warning {
				long++
			}
		}
		if long != c.long {
			t.Errorf("%s: %d slots told as too long, want %d", c.name, long, c.long)
		}
	}
}

// Corners are opened in the slots as refitted: they suit the sheet with their reliefs.
func TestRefitWithCorners(t *testing.T) {
	rep := refitted(t, boxed(20.1, 20, 20, 20, 20), "dogbone", false)
	relieved := 0
	for i := range rep.Edits {
		if rep.Edits[i].Kind == "relieve-corner" {
			relieved++
		}
	}
	k := rep.After.Kit()
	suit := k.SuitOf(kit.OneSheet(fit.Target{Thickness: 4.76, Clearance: 0.15}, ""), 0.9)
	if relieved == 0 || suit.Fit != 4 || len(suit.Tight)+len(suit.Loose) > 0 {
		t.Errorf("%d corners opened, %+v", relieved, suit)
	}
	for _, j := range k.Joints {
		if j.Kind == kit.Slot && math.Abs(j.Width-4.91) > 1e-6 {
			t.Errorf("a slot %g mm wide", j.Width)
		}
	}
}

// A kit that is scaled tells factor and size, and what grows that ought not to.
func TestScaleTellsCutouts(t *testing.T) {
	v := figures.RepairOf(refitted(t, boxed(20.1, 20, 20, 20, 20), "none", true)).Verdict()
	for _, want := range []string{"scaled by 1.6367", "280 x 160 mm becomes 458.27 x 261.87 mm", "1 cut-out that is neither", "from 30 x 15 mm to 49.1 x 24.55 mm"} {
		if !strings.Contains(v.Scaled, want) {
			t.Errorf("%q is not told: %s", want, v.Scaled)
		}
	}
}

// Numbers beside parts keep to the usable sheet and out of clamp zones.
func TestNumbersKeepToTheSheet(t *testing.T) {
	var d geomtest.Drafter
	rectangle(&d, 10, 10, 14, 60) // too thin for a number
	data := d.Bytes()
	for _, c := range []struct {
		name  string
		size  []float64
		clamp *job.Clamp
		want  bool
	}{
		{"room all around", nil, nil, true},
		{"no room on the sheet", []float64{24, 70}, nil, false},
		{"room on the right", []float64{60, 70}, nil, true},
		{"a clamp there", []float64{60, 70}, &job.Clamp{At: []float64{16, 0}, Size: []float64{44, 70}}, false},
	} {
		j := job.Default()
		j.Sheet.Size, j.Units, j.Tabs.Parts = c.size, "mm", "none"
		if c.clamp != nil {
			j.Clamp = []job.Clamp{*c.clamp}
		}
		rep, _, err := mend.Fix(t.Context(), "strip", bytes.NewReader(data), j, mend.Options{Options: lint.Options{Rules: rules.All()}})
		if err != nil {
			t.Fatal(err)
		}
		if got := len(rep.Labels) == 1; got != c.want {
			t.Errorf("%s: %d numbers", c.name, len(rep.Labels))
		}
		if left := count(rep.Left, "unnumbered-part") == 1; left == c.want {
			t.Errorf("%s: told as without a number: %v", c.name, left)
		}
	}
}
