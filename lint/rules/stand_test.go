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
	file := "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" + entities + "0\nENDSEC\n0\nEOF\n"
	res := lint.Check(t.Context(), "x", strings.NewReader(file), job.Default(), lint.Options{Rules: All()})
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
// far apart from its middle as its height leaves.
func TestStandsByAMargin(t *testing.T) {
	const hangs = "100.2 x 100.2 mm part stands by less than 1 mm at 3.6 % of slat positions, and has no tabs"
	for _, c := range []struct {
		name string
		side float64
		want []string
	}{
		{"tips", 90, []string{"90 x 90 mm part is not held at 20 % of slat positions, and has no tabs"}},
		{"on edge", 100.2, []string{hangs}},
		{"stands", 102.1, nil},
	} {
		if diff := cmp.Diff(c.want, toldOf(t, rectLines(7, 7, c.side, c.side, 0), "small-part")); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
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
