package figures

import (
	"math"
	"os"
	"slices"
	"testing"

	"sluice/fix"
	"sluice/fix/diff"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/compare"
	"sluice/lint/cutting"
	"sluice/lint/job"
	"sluice/lint/rules"
)

// judged reads and judges a drawing of the repository.
func judged(t *testing.T, path string) *lint.Result {
	t.Helper()
	f, err := os.Open("../../" + path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := lint.Check(t.Context(), path, f, job.Default(), lint.Options{Rules: rules.All()})
	if r.Err != nil {
		t.Fatal(r.Err)
	}
	return r
}

// The schedule counts every part once, starts and tabs as the estimate does by code of
// its own, and all that is drawn of the outlines but for the tabs. (The estimate goes
// by the paths, half a kerf off.)
func TestSchedule(t *testing.T) {
	for _, path := range []string{"fixtures/harbour-crane-clean.dxf", "testdata/rules/small-part/fixed.dxf"} {
		r := judged(t, path)
		p := PartsOf(r)
		e, err := cutting.Of(r)
		if err != nil {
			t.Fatal(err)
		}
		drawn := 0.0
		for i := range r.Sheet.Outlines {
			o := &r.Sheet.Outlines[i]
			for k := range o.Pieces {
				if o.Flags[k]&outline.IsTab == 0 {
					drawn += o.Pieces[k].Length()
				}
			}
		}
		if p.Sums.Parts != len(r.Sheet.Parts) || p.Sums.Pierces != e.Pierces || p.Sums.Tabs != e.Tabs || math.Abs(p.Sums.Cut-drawn) > 1e-6 {
			t.Errorf("%s: %+v, but the estimate has %d pierces, %d tabs; drawn are %g mm", path, p.Sums, e.Pierces, e.Tabs, drawn)
		}
		if !slices.IsSortedFunc(p.Rows, func(a, b Row) int { return lint.CompareNames(a.Number, b.Number) }) {
			t.Errorf("%s: rows are out of order", path)
		}
		seen := map[int]bool{}
		for i := range p.Rows {
			row := &p.Rows[i]
			if row.Count != len(row.Parts) || row.Count != len(row.At) {
				t.Errorf("%s: %d parts, %d indices, %d places", path, row.Count, len(row.Parts), len(row.At))
			}
			for n, k := range row.Parts {
				if seen[k] || !row.Box.Contains(row.At[n]) || r.Name(k) != row.Number {
					t.Errorf("%s: part %d of row %s", path, k, row.Number)
				}
				seen[k] = true
			}
			for _, other := range row.GoesInto {
				if j := slices.IndexFunc(p.Rows, func(r Row) bool { return r.Number == other }); j < 0 || !slices.Contains(p.Rows[j].Takes, row.Number) {
					t.Errorf("%s goes into %s, which does not take it", row.Number, other)
				}
			}
		}
	}
	if p := PartsOf(&lint.Result{Job: job.Default()}); len(p.Rows) > 0 || p.Jointed() || len(p.Assembly().Parts) > 0 {
		t.Errorf("parts of nothing: %+v", p.Rows)
	}
}

// A disc of a gauge touches an edge at both ends of its span, which runs from left
// to right; a gap is spanned from end to end.
func TestGauges(t *testing.T) {
	for path, rule := range map[string]string{
		"testdata/rules/narrow-slot/flaw.dxf": "narrow-slot", "testdata/rules/thin-web/flaw.dxf": "thin-web", "testdata/rules/open-outline/flaw.dxf": "open-outline",
	} {
		r := judged(t, path)
		n := 0
		s := FileOf(r)
		side := s.Page().Before
		for i, g := range side.Gauges {
			if side.Told[i].Rule != rule || g == nil {
				continue
			}
			n++
			if d := g.A.Dist(g.B); math.Abs(d-g.Value) > 1e-3 || g.Disc && (g.B.X < g.A.X-1e-9) {
				t.Errorf("%s: a span of %g mm from %v to %v for %g", rule, d, g.A, g.B, g.Value)
			}
			for _, end := range []geom.Point{g.A, g.B} {
				edge := math.Inf(1)
				for k := range r.Sheet.Outlines {
					d, _ := r.Sheet.Outlines[k].Pieces.Dist(end)
					edge = min(edge, d)
				}
				if edge > 1e-3 {
					t.Errorf("%s: the span ends %g mm from any edge", rule, edge)
				}
			}
		}
		if n == 0 {
			t.Errorf("%s: no gauge", rule)
		}
	}
}

// Each piece of the assembly is named as in the schedule, its mates lie on it, and
// every stage but the first of a group joins what stands.
func TestAssembly(t *testing.T) {
	r := judged(t, "fixtures/harbour-crane-clean.dxf")
	p := PartsOf(r)
	a := p.Assembly()
	if len(a.Parts) != len(p.Rows) || a.Design <= 0 {
		t.Errorf("%d pieces, %d rows, slots of %g mm", len(a.Parts), len(p.Rows), a.Design)
	}
	placed := map[string]bool{}
	for _, s := range a.Stages {
		if s.Start == (len(s.Meets) > 0) {
			t.Errorf("part %s starts %v and meets %v", s.Name, s.Start, s.Meets)
		}
		for _, m := range s.Meets {
			if !placed[m] {
				t.Errorf("part %s joins %s, which does not stand yet", s.Name, m)
			}
		}
		placed[s.Name] = true
		for _, m := range s.Mates {
			if !r.Sheet.Parts[s.Part].Box.Inflate(5).Contains(m.At) {
				t.Errorf("the mate %s of part %s lies off it", m.Name, s.Name)
			}
		}
	}
}

func TestRepairKinds(t *testing.T) {
	done := &lint.Repaired{
		Edits: []fix.Edit{{Kind: "b", Was: 3, Now: 1, Moved: 0.2}, {Kind: "a"}, {Kind: "b", Was: 4, Now: 2, Moved: 0.1}},
		Left:  []lint.Finding{{Rule: "b", Severity: lint.Note}, {Rule: "a", Severity: lint.Note}, {Rule: "b", Severity: lint.Error}},
	}
	r := RepairOf(done)
	if k := r.Edits; len(k) != 2 || k[0].Name != "b" || len(k[0].Edits) != 2 || k[0].Was != 7 || k[0].Now != 3 || k[0].Far != 0.2 || k[1].Name != "a" {
		t.Errorf("kinds: %+v", k)
	}
	if r.LeftTally != (lint.Tally{Error: 1, Note: 2}) || len(r.LeftByRule) != 2 || len(r.LeftByRule[1]) != 2 || worstFirst(r.Left)[0].Severity != lint.Error || r.Left[0].Rule != "a" {
		t.Errorf("left: %+v", r.Left)
	}
	if p := r.Page(); p.Frame.Empty() || p.Plan != nil || len(p.Schedule.Rows) > 0 {
		t.Errorf("a page of nothing: %+v", p)
	}
}

// What is told of a difference in sum agrees with what is told one by one.
func TestChanges(t *testing.T) {
	before, after := judged(t, "fixtures/harbour-crane-clean.dxf"), judged(t, "fixtures/harbour-crane.dxf")
	c := ChangesOf(compare.Drawings(before, after, 0.02))
	parts := 0
	for v, n := range c.PartCount {
		if v != diff.Same {
			parts += n
		}
	}
	holes := 0
	for _, n := range c.HoleCount {
		holes += n
	}
	if c.Same || parts > c.Count.Changed() || parts+holes < c.Count.Changed() || len(c.Outside) != len(c.Parts) || c.Single != nil {
		t.Errorf("%d parts and %d holes of %+v", parts, holes, c.Count)
	}
	o := c.Overlay()
	if !o.Frame.ContainsBox(BoxOf(before.Sheet)) || !o.Frame.ContainsBox(BoxOf(after.Sheet)) || o.Pieces != PieceCount(before.Sheet)+PieceCount(after.Sheet) {
		t.Errorf("the overlay shows %v", o.Frame)
	}
	if same := ChangesOf(compare.Drawings(before, before, 0.02)); !same.Same || same.Mended != 0 || len(same.HoleCount) > 0 {
		t.Errorf("a drawing differs from itself: %+v", same.Count)
	}
}
