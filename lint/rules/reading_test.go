package rules

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/lint"
	"sluice/lint/job"
)

// told lists what the rules tell of a file of testdata/reading besides what is
// true of any part: rule and message.
func told(t *testing.T, name string, j *job.Job) (*lint.Result, []string) {
	t.Helper()
	f, err := os.Open("../../testdata/reading/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	res := lint.Check(t.Context(), name, f, j, lint.Options{Rules: All()})
	if res.Err != nil {
		t.Fatalf("%s: %v", name, res.Err)
	}
	var s []string
	for i := range res.Findings {
		if r := res.Findings[i].Rule; r != "unnumbered-part" && r != "small-part" && r != "fine-detail" {
			s = append(s, r+": "+res.Findings[i].Message)
		}
	}
	if !res.Account.Balanced() {
		t.Errorf("%s: account %+v", name, res.Account)
	}
	return res, s
}

// TestReading says of odd but valid drawings what must be told of them, and how
// many outlines they hold.
func TestReading(t *testing.T) {
	notCut := func(typ, why string, line int) string {
		return fmt.Sprintf("unread-entity: 1 %s left out: %s (line %d)", typ, why, line)
	}
	for name, c := range map[string]struct {
		outlines int
		told     []string
	}{
		"closing.dxf":                  {4, nil},
		"coordinates-in-any-order.dxf": {2, nil},
		"comments-and-blanks.dxf":      {2, nil},
		"mline.dxf":                    {2, nil},
		"solids.dxf": {0, []string{"no-outline: no outline to cut: the drawing holds only 3 entities that are left out", notCut("SOLID", "a filled area, not cut", 23), notCut("TRACE", "a filled area, not cut", 51),
			notCut("3DFACE", "a filled area, not cut", 71)}},
		"inserts.dxf":       {18, nil},
		"cyrillic-1251.dxf": {1, []string{`live-text: text "Деталь" has no cutting path`}},
		"utf-8.dxf":         {1, []string{`live-text: text "Teil № 3" has no cutting path`}},
		"escapes.dxf":       {1, []string{`live-text: text "Ø5 × 3" has no cutting path`}},
		"widths.dxf":        {2, []string{"unread-entity: 1 LWPOLYLINE drawn as a filled band (width 2): its centre line was read"}},
		"hatch.dxf":         {1, []string{notCut("HATCH", "not cut", 51)}},
		"paper.dxf": {1, []string{"unread-entity: 1 VIEWPORT left out: a window on the model (line 49)",
			"unread-entity: line 23: model space is empty: what is drawn in paper space is used"}},
		"equal-angles.dxf": {3, []string{
			"curve-kind: ELLIPSE, drawn as 21 lines and arcs within 0.008 mm", "stray-piece: a piece of no length",
			notCut("ELLIPSE", "start and end equal: a whole ellipse or nothing? Draw it from 0 to a full turn if it is to be cut", 237),
			"unread-entity: 2 ARC left out: start and end angle equal: a full circle or nothing? Draw a CIRCLE if it is to be cut (from line 155)"}},
		"never-plotted.dxf": {3, []string{
			`unread-entity: layer "aid": 2 entities with 1 closed outline left out, since it never plots`,
			`unread-entity: layer "Defpoints": 1 entity with 1 closed outline left out, since it never plots`}},
		"spline-without-degree.dxf": {3, []string{"curve-kind: SPLINE, drawn as 15 lines and arcs within 0.012 mm",
			"curve-kind: SPLINE, drawn as 11 lines and arcs within 0.015 mm"}},
		"names-of-ours.dxf": {4, []string{
			`unread-entity: layer "Bend_Marks": 1 entity with 1 closed outline taken for marks, for the word "mark" in its name`}},
		"attributes.dxf": {2, []string{`live-text: text "no. 7" has no cutting path`, notCut("INSERT", "invisible attribute", 89)}},
	} {
		res, got := told(t, name, job.Default())
		if diff := cmp.Diff(c.told, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
		if n := len(res.Sheet.Outlines); n != c.outlines {
			t.Errorf("%s: %d outlines, want %d", name, n, c.outlines)
		}
	}
	res, got := told(t, "left-out.dxf", job.Default())
	if len(got) != 10 || res.Account.LeftOut != 10 || len(res.Account.Left) != 10 {
		t.Errorf("left-out.dxf: %q, account %+v", got, res.Account)
	}
}

// Hatches and fills are left out and told, or cut where the job asks for it.
func TestHatchOutlines(t *testing.T) {
	j := job.Default()
	j.Layers.Hatch = "outline"
	res, got := told(t, "hatch.dxf", j)
	if len(res.Sheet.Outlines) != 3 || len(res.Sheet.Parts) != 1 || slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, "unread-entity") }) {
		t.Errorf("%d outlines, told %q", len(res.Sheet.Outlines), got)
	}
	if res.Account.Used != 2 || res.Account.LeftOut != 0 {
		t.Errorf("account %+v", res.Account)
	}
	if res, got := told(t, "solids.dxf", j); len(res.Sheet.Outlines) != 3 || len(got) > 0 {
		t.Errorf("solids.dxf: %d outlines, told %q", len(res.Sheet.Outlines), got)
	}
}
