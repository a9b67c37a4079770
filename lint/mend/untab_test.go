package mend_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/mend"
	"sluice/lint/rules"
)

func repairWith(t *testing.T, path string, data []byte, j *job.Job, o mend.Options) (*lint.Repaired, []byte) {
	t.Helper()
	o.Rules = rules.All()
	rep, out, err := mend.Fix(context.Background(), path, bytes.NewReader(data), j, o)
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return rep, out
}

// TestUntab checks that closing the tabs of a corrected drawing gives the outlines
// that would have come without tabs, to 1e-7 mm.
func TestUntab(t *testing.T) {
	inputs := map[string][]byte{"demo": readFile(t, filepath.Join(fixtures, "harbour-crane.dxf"))}
	for seed := range 6 {
		inputs[fmt.Sprint("kit ", seed)] = flawedKit(seed).DXF
	}
	for name, data := range inputs {
		tabbed, bare := job.Default(), job.Default()
		tabbed.Tabs.Parts, tabbed.Tabs.Slugs = "all", true
		bare.Tabs.Parts = "none"
		with, out := repair(t, name, data, tabbed)
		want, _ := repair(t, name, data, bare)
		got, out2 := repairWith(t, name, out, tabbed, mend.Options{Untab: true})
		if len(with.Tabs) == 0 || len(got.Tabs) != 0 {
			t.Errorf("%s: %d tabs before, %d after", name, len(with.Tabs), len(got.Tabs))
		}
		n := 0
		for _, e := range got.Edits {
			if e.Kind == "untab" {
				n++
			}
		}
		if n != len(with.Tabs) || n != len(got.Edits) {
			t.Errorf("%s: %d tabs closed of %d, %d edits", name, n, len(with.Tabs), len(got.Edits))
		}
		if cuts := got.Account.Replaced - textsReplaced(&got.Account); cuts < 2*n {
			t.Errorf("%s: %d entities replaced by closing %d tabs, want at least the cut and the uncut piece of each", name, cuts, n)
		}
		if far := farApart(want.After.Sheet, got.After.Sheet); far > 1e-7 {
			t.Errorf("%s: outlines differ by %g mm", name, far)
		}
		if bytes.Contains(out2, []byte(lint.SlatNote(tabbed, true))) {
			t.Errorf("%s: the slats of tabs that are closed are still noted", name)
		}
		again, out3 := repairWith(t, name, out2, tabbed, mend.Options{Untab: true})
		if !bytes.Equal(out2, out3) || len(again.Edits) > 0 {
			t.Errorf("%s: closing the tabs once more changes the drawing", name)
		}
	}
}

// textsReplaced counts the texts that an edit replaced.
func textsReplaced(a *lint.Account) int {
	for _, t := range a.ByType {
		if t.Type == "TEXT" {
			return t.Replaced
		}
	}
	return 0
}

// farApart is the largest distance between matching outlines: of every end and
// middle of the pieces of either to the other, and infinite where they differ in
// number or in the number of their pieces.
func farApart(a, b *outline.Sheet) float64 {
	if len(a.Outlines) != len(b.Outlines) {
		return math.Inf(1)
	}
	worst := 0.0
	dist := func(p geom.Path, q geom.Point) float64 {
		d := math.Inf(1)
		for i := range p {
			d = min(d, gapOf(p[i], q))
		}
		return d
	}
	used := make([]bool, len(b.Outlines))
	for i := range a.Outlines {
		o := &a.Outlines[i]
		best, at := math.Inf(1), -1
		for k := range b.Outlines {
			if c := &b.Outlines[k]; !used[k] && c.Box.Min.Dist(o.Box.Min)+c.Box.Max.Dist(o.Box.Max) < best {
				best, at = c.Box.Min.Dist(o.Box.Min)+c.Box.Max.Dist(o.Box.Max), k
			}
		}
		used[at] = true
		c := &b.Outlines[at]
		if len(o.Pieces) != len(c.Pieces) {
			return math.Inf(1)
		}
		for k := range o.Pieces {
			worst = max(worst, dist(c.Pieces, o.Pieces[k].A), dist(c.Pieces, o.Pieces[k].Mid()),
				dist(o.Pieces, c.Pieces[k].A), dist(o.Pieces, c.Pieces[k].Mid()))
		}
	}
	return worst
}

// without returns a drawing without the first entity on a layer.
func without(t *testing.T, data []byte, layer string) []byte {
	t.Helper()
	lines := strings.Split(strings.ReplaceAll(string(data), "\r\n", "\n"), "\n")
	start, inside := 0, false
	for i := 0; i+1 < len(lines); i += 2 {
		code, value := strings.TrimSpace(lines[i]), strings.TrimSpace(lines[i+1])
		switch {
		case code == "2" && value == "ENTITIES":
			inside = true
		case inside && code == "0":
			start = i
		case inside && code == "8" && value == layer:
			end := i + 2
			for strings.TrimSpace(lines[end]) != "0" {
				end += 2
			}
			return []byte(strings.Join(slices.Delete(lines, start, end), "\n"))
		}
	}
	t.Fatalf("nothing on %s", layer)
	return nil
}

// TestTabsOfOpenOutlines: what was a tab stays uncut when a line of its outline is
// taken out of the corrected drawing, so that it hangs on an open path.
func TestTabsOfOpenOutlines(t *testing.T) {
	j := job.Default()
	j.Tabs.Parts = "all"
	length := func(ps []geom.Piece) (sum float64) {
		for i := range ps {
			sum += ps[i].Length()
		}
		return sum
	}
	_, out := repair(t, "strip", ways(box(0, 0, 60, 20))["as drawn"], j)
	in := without(t, out, lint.LayerOutside)
	rep, got := repair(t, "strip", in, j)
	if rep.Held != "" {
		t.Errorf("held back: %s", rep.Held)
	}
	was, is := pieces(t, in), pieces(t, got)
	if a, b := length(was[lint.LayerTab]), length(is[lint.LayerTab]); a == 0 || math.Abs(a-b) > 1e-6 {
		t.Errorf("%g mm of tabs, %g before", b, a)
	}
	cut := func(by map[string][]geom.Piece) float64 {
		return length(by[lint.LayerOutside]) + length(by[lint.LayerInside])
	}
	if a, b := cut(was), cut(is); math.Abs(a-b) > 1e-6 {
		t.Errorf("%g mm cut, %g before", b, a)
	}
}
