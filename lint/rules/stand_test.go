package rules

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/lint"
	"sluice/lint/job"
)

// rectLines draws a rectangle as four lines; its last side ends short by gap mm.
func rectLines(x, y, w, h, gap float64) string {
	line := func(x1, y1, x2, y2 float64) string {
		return fmt.Sprintf("0\nLINE\n8\n0\n10\n%g\n20\n%g\n11\n%g\n21\n%g\n", x1, y1, x2, y2)
	}
	return line(x, y, x+w, y) + line(x+w, y, x+w, y+h) + line(x+w, y+h, x, y+h) + line(x, y+h, x, y+gap)
}

// toldOf lists the messages of some rules for a drawing in mm.
func toldOf(t *testing.T, entities string, rules ...string) []string {
	t.Helper()
	return toldUnder(t, job.Default(), entities, rules...)
}

// toldUnder does so under a job.
func toldUnder(t *testing.T, j *job.Job, entities string, rules ...string) []string {
	t.Helper()
	file := "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" + entities + "0\nENDSEC\n0\nEOF\n"
	res := lint.Check(t.Context(), "x", strings.NewReader(file), j, lint.Options{Rules: All()})
	if res.Err != nil {
		t.Fatal(res.Err)
	}
	var told []string
	for i := range res.Findings {
		for _, r := range rules {
			if f := &res.Findings[i]; f.Rule == r {
				told = append(told, f.Message)
			}
		}
	}
	return told
}

// A square on slats 50 mm apart rests on two or three of them: on two that lie as
// far apart from its middle as its height leaves. By how little it may stand, and
// that a thousandth of the positions counts as none, is told by what a square of
// side s does: it stands by less than m where a slat passes within 50 + m - s/2 of
// its middle, on either side, so in 2 (50 + m - s/2) / 50 of the positions.
func TestStandsByAMargin(t *testing.T) {
	for _, c := range []struct {
		name   string
		side   float64
		margin float64
		want   []string
	}{
		{"tips", 90, 2, []string{"90 x 90 mm part is not held at 20 % of slat positions, and has no tabs"}},
		{"on edge", 100.2, 2, []string{"100.2 x 100.2 mm part stands by less than 2 mm at 7.6 % of slat positions, and has no tabs"}},
		{"nearly", 103.9, 2, []string{"103.9 x 103.9 mm part stands by less than 2 mm at 0.2 % of slat positions, and has no tabs"}},
		{"a vanishing share", 103.96, 2, nil}, // 0.08 %
		{"a vanishing share that tips", 99.96, 0, nil},
		{"more than that", 99.9, 0, []string{"99.9 x 99.9 mm part is not held at 0.2 % of slat positions, and has no tabs"}},
		{"stands", 104.1, 2, nil},
		{"stands by a wider margin", 104.1, 5, []string{"104.1 x 104.1 mm part stands by less than 5 mm at 11.8 % of slat positions, and has no tabs"}},
		{"no margin", 100.2, 0, nil},
	} {
		j := job.Default()
		j.Table.StandMargin = c.margin
		if diff := cmp.Diff(c.want, toldUnder(t, j, rectLines(7, 7, c.side, c.side, 0), "small-part")); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}

// A strip of 300 by 60 stands across the slats alone.
func TestSlatsEitherWay(t *testing.T) {
	for along, n := range map[string]int{"x": 1, "y": 0, "both": 1} {
		j := job.Default()
		j.Table.SlatsAlong = along
		if got := toldUnder(t, j, rectLines(0, 0, 300, 60, 0), "small-part"); len(got) != n {
			t.Errorf("slats along %s: %q, want %d", along, got, n)
		}
	}
}

// The slug of a window is judged by the same sum as a part, below one pitch too.
func TestSlugsStandAsParts(t *testing.T) {
	for _, c := range []struct {
		side float64
		want []string
	}{
		{80, []string{"slug of 80 x 80 mm is not held at 40 % of slat positions and can stand up in the nozzle's way"}},
		{45, []string{"slug of 45 x 45 mm is not held at 100 % of slat positions and can stand up in the nozzle's way"}},
		{103, []string{"slug of 103 x 103 mm stands by less than 2 mm at 2 % of slat positions and can stand up in the nozzle's way"}},
		{110, nil},
	} {
		got := toldOf(t, rectLines(0, 0, 400, 400, 0)+rectLines(100, 100, c.side, c.side, 0), "loose-slug")
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%g mm (-want +got):\n%s", c.side, diff)
		}
	}
}

func TestEqualNeighboursAreTold(t *testing.T) {
	for _, c := range []struct {
		name   string
		second float64 // width of the second part, mm
		want   []string
	}{
		{"equal", 200, []string{"two of part 1 are 2 mm apart; the cuts and a strip of scrap need 3 mm"}},
		{"unlike", 180, []string{"parts 1 and 2 are 2 mm apart; the cuts and a strip of scrap need 3 mm"}},
	} {
		got := toldOf(t, rectLines(0, 0, 200, 150, 0)+rectLines(202, 0, c.second, 150, 0), "close-parts")
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}

// Ends that pass each other in a gap of a few micrometres leave no slot.
func TestGapIsNoSlot(t *testing.T) {
	arc := "0\nARC\n8\n0\n10\n10\n20\n10\n40\n10.0006\n50\n180\n51\n270\n"
	line := func(x1, y1, x2, y2 float64) string {
		return fmt.Sprintf("0\nLINE\n8\n0\n10\n%g\n20\n%g\n11\n%g\n21\n%g\n", x1, y1, x2, y2)
	}
	sound := arc + line(10, -0.0006, 200, -0.0006) + line(200, -0.0006, 200, 150) + line(200, 150, -0.0006, 150) + line(-0.0006, 150, -0.0006, 10)
	off := arc + line(9.9988, -0.0004, 200, -0.0004) + line(200, -0.0004, 200, 150) + line(200, 150, -0.0006, 150) + line(-0.0006, 150, -0.0006, 10)
	if diff := cmp.Diff([]string(nil), toldOf(t, sound, "narrow-slot", "open-outline")); diff != "" {
		t.Errorf("sound (-want +got):\n%s", diff)
	}
	if got := toldOf(t, off, "open-outline"); len(got) != 1 {
		t.Errorf("told of the gap: %q", got)
	}
	if got := toldOf(t, off, "narrow-slot"); len(got) > 0 {
		t.Errorf("told as a slot too: %q", got)
	}
	slot := rectLines(0, 0, 200, 150, 0) + rectLines(50, 50, 30, 0.4, 0)
	if got := toldOf(t, slot, "narrow-slot"); len(got) != 1 {
		t.Errorf("a slot: %q", got)
	}
}
