package mend_test

import (
	"strings"
	"testing"

	"sluice/geom/geomtest"
	"sluice/lint/job"
)

// Whether a part is held hangs on the direction of the slats: the drawing says so,
// once, where it matters.
func TestSlatsAreNoted(t *testing.T) {
	const file = "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n10\n0\n20\n0\n10\n300\n20\n0\n10\n300\n20\n60\n10\n0\n20\n60\n0\nENDSEC\n0\nEOF\n"
	for _, c := range []struct {
		name, along, tabs string
		want              string
	}{
		{"along x", "x", "small", "tabs set for slats along x, 50 mm apart"},
		{"across", "y", "all", "tabs set for slats along y, 50 mm apart"},
		{"either way", "both", "small", "tabs set for slats that run either way, 50 mm apart"},
		{"no tabs", "y", "small", "parts stand on slats along y, 50 mm apart"},
		{"none wanted", "y", "none", ""},
	} {
		j := job.Default()
		j.Table.SlatsAlong, j.Tabs.Parts = c.along, c.tabs
		_, data := repair(t, "x", []byte(file), j)
		once := string(data)
		if n := strings.Count(once, "on slats along") + strings.Count(once, "for slats"); n != min(len(c.want), 1) || !strings.Contains(once, c.want) {
			t.Errorf("%s: %d notes, want %q", c.name, n, c.want)
		}
		// So they are where other texts stand already.
		text := strings.Replace(file, "0\nENDSEC", "0\nTEXT\n8\n0\n10\n10\n20\n200\n40\n5\n1\nplates for a crane\n0\nENDSEC", 1)
		if _, out := repair(t, "x", []byte(text), j); strings.Count(string(out), c.want) != 1 && c.want != "" {
			t.Errorf("%s, beside a text: %d notes", c.name, strings.Count(string(out), c.want))
		}
		if _, twice := repair(t, "x", data, j); string(twice) != once {
			t.Errorf("%s: a second repair changes the drawing", c.name)
		}
	}
}

// A part that stands whichever way the slats run is noted nothing of.
func TestSlatsThatDoNotMatterAreNotNoted(t *testing.T) {
	var d geomtest.Drafter
	for _, p := range box(0, 0, 300, 200) {
		d.Piece(p, 0)
	}
	rep, out := repair(t, "plate", d.Bytes(), job.Default())
	if strings.Contains(string(out), "slats") || len(rep.Tabs) > 0 {
		t.Errorf("%d tabs, slats noted: %v", len(rep.Tabs), strings.Contains(string(out), "slats"))
	}
}
