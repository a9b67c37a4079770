package mend_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/job"
)

// flawedKits returns how many random kits to repair: SLUICE_KITS, or a few.
func flawedKits(t *testing.T) int {
	if s := os.Getenv("SLUICE_KITS"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	return 12
}

func flawedKit(seed int) *geomtest.Flawed {
	rng := rand.New(rand.NewPCG(uint64(seed), 77))
	return geomtest.RandomKit(rng).Flaw(rng)
}

// TestFlawedKits repairs random kits in which flaws are planted: every flaw goes,
// nothing new comes, no outline moves, tabs and numbers are where they should be,
// and a second repair changes nothing.
func TestFlawedKits(t *testing.T) {
	flaws, parts, tabs := 0, 0, 0
	worst, lean := 0.0, 0.0
	for seed := range flawedKits(t) {
		f := flawedKit(seed)
		name := fmt.Sprintf("kit %d", seed)
		flaws += len(f.Flaws)
		parts += len(f.Kit.Parts)
		j := job.Default()
		clean, _ := repair(t, name, f.Clean, j)
		rep, out := repair(t, name, f.DXF, j)
		told(t, name, f, rep)
		totals(t, name, f, rep)
		same(t, name, clean, rep)
		worst = max(worst, unmoved(t, name, f.Kit, rep))
		tabs += len(rep.Tabs)
		tabsRight(t, name, rep, j)
		numbersClear(t, name, rep, j)
		lean = max(lean, held(t, name, rep, j))
		again, out2 := repair(t, name, out, j)
		if !bytes.Equal(out, out2) || len(again.Edits) > 0 {
			t.Errorf("%s: a second repair changes it: %s", name, firstDifference(out, out2))
		}
		if t.Failed() && os.Getenv("SLUICE_KEEP") != "" {
			os.WriteFile(fmt.Sprintf("%s/kit%d.dxf", os.Getenv("SLUICE_KEEP"), seed), f.DXF, 0o644)
		}
	}
	t.Logf("%d flaws in %d parts, %d tabs; outlines moved by at most %.4f mm; parts with tabs lean by %.2f of their size at most",
		flaws, parts, tabs, worst, lean)
}

// told checks that each planted flaw was found and is gone.
func told(t *testing.T, name string, f *geomtest.Flawed, rep *lint.Repaired) {
	t.Helper()
	for _, fl := range f.Flaws {
		found := fl.Rule == ""
		for i := range rep.Before.Findings {
			g := &rep.Before.Findings[i]
			found = found || g.Rule == fl.Rule && (g.At.Dist(fl.At) < 2 || g.Box.Inflate(0.5).Contains(fl.At))
		}
		if !found {
			t.Errorf("%s: not found: %+v", name, fl)
		}
	}
	for i := range rep.Left {
		if g := &rep.Left[i]; g.Repair == lint.Auto {
			t.Errorf("%s: left: %s at %v: %s", name, g.Rule, g.At, g.Message)
		}
	}
	for _, e := range rep.Undone {
		t.Errorf("%s: taken back: %+v", name, e)
	}
}

// totals checks that the report has one edit for each flaw.
func totals(t *testing.T, name string, f *geomtest.Flawed, rep *lint.Repaired) {
	t.Helper()
	kind := map[string]string{
		"gap": "close-gap", "overshoot": "close-gap", "whole-repeat": "drop-duplicate", "part-repeat": "drop-duplicate",
		"dense": "refit-arc", "spline": "refit-curve", "ellipse": "refit-curve", "z": "flatten",
		"speck": "drop-stray", "tail": "drop-stray", "dot": "drop-stray",
	}
	want, got := map[string]int{}, map[string]int{}
	for _, fl := range f.Flaws {
		want[kind[fl.Kind]]++
	}
	for _, e := range rep.Edits {
		if e.Kind != "tab" && e.Kind != "label" {
			got[e.Kind]++
		}
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("%s: edits by kind (-planted +told): %s", name, d)
	}
}

// same checks that nothing is told of the repaired drawing that is not told of
// the kit without flaws.
func same(t *testing.T, name string, clean, rep *lint.Repaired) {
	t.Helper()
	if a, b := len(clean.After.Sheet.Parts), len(rep.After.Sheet.Parts); a != b {
		t.Errorf("%s: %d parts, want %d", name, b, a)
	}
	if a, b := len(clean.After.Sheet.Outlines), len(rep.After.Sheet.Outlines); a != b {
		t.Errorf("%s: %d outlines, want %d", name, b, a)
	}
	for i := range rep.Left {
		g := &rep.Left[i]
		was := false
		for k := range clean.Left {
			h := &clean.Left[k]
			was = was || h.Rule == g.Rule && h.At.Dist(g.At) < 0.5
		}
		if !was {
			t.Errorf("%s: new: %s at %v: %s", name, g.Rule, g.At, g.Message)
		}
	}
}

// gapOf is the distance of a point from a line or arc, by formulas of its own.
func gapOf(p geom.Piece, q geom.Point) float64 {
	ends := min(math.Hypot(q.X-p.A.X, q.Y-p.A.Y), math.Hypot(q.X-p.B.X, q.Y-p.B.Y))
	if p.R == 0 {
		dx, dy := p.B.X-p.A.X, p.B.Y-p.A.Y
		l := math.Hypot(dx, dy)
		if l == 0 {
			return ends
		}
		if s := ((q.X-p.A.X)*dx + (q.Y-p.A.Y)*dy) / l; s >= 0 && s <= l {
			return math.Abs(((q.X-p.A.X)*dy - (q.Y-p.A.Y)*dx) / l)
		}
		return ends
	}
	a0 := math.Atan2(p.A.Y-p.C.Y, p.A.X-p.C.X)
	a := math.Atan2(q.Y-p.C.Y, q.X-p.C.X) - a0
	if p.Sweep < 0 {
		a = -a
	}
	if a = math.Mod(a+4*math.Pi, 2*math.Pi); a <= math.Abs(p.Sweep) {
		return math.Abs(math.Hypot(q.X-p.C.X, q.Y-p.C.Y) - p.R)
	}
	return ends
}

// fieldOf gathers pieces by cells, to find those near a point.
type fieldOf map[[2]int][]geom.Piece

const cell = 4.0

func field(paths ...geom.Path) fieldOf {
	f := fieldOf{}
	for _, path := range paths {
		for _, p := range path {
			b := p.Box().Inflate(cell / 2)
			for x := int(math.Floor(b.Min.X / cell)); x <= int(math.Floor(b.Max.X/cell)); x++ {
				for y := int(math.Floor(b.Min.Y / cell)); y <= int(math.Floor(b.Max.Y/cell)); y++ {
					f[[2]int{x, y}] = append(f[[2]int{x, y}], p)
				}
			}
		}
	}
	return f
}

// gap is the distance of q from the nearest piece, cell/2 or more if there is
// none near.
func (f fieldOf) gap(q geom.Point) float64 {
	d := cell / 2
	for _, p := range f[[2]int{int(math.Floor(q.X / cell)), int(math.Floor(q.Y / cell))}] {
		d = min(d, gapOf(p, q))
	}
	return d
}

// farthest is the largest distance of samples along the paths, 0.3 mm apart, from
// the field, and where.
func (f fieldOf) farthest(paths ...geom.Path) (worst float64, at geom.Point) {
	for _, path := range paths {
		for _, p := range path {
			n := 1 + int(p.Length()/0.3)
			for k := range n {
				q := p.At((float64(k) + 0.5) / float64(n))
				if d := f.gap(q); d > worst {
					worst, at = d, q
				}
			}
		}
	}
	return worst, at
}

func outlinesOf(s *outline.Sheet) []geom.Path {
	var out []geom.Path
	for i := range s.Outlines {
		out = append(out, s.Outlines[i].Pieces)
	}
	return out
}

func kitPaths(k *geomtest.Kit) []geom.Path {
	var out []geom.Path
	for _, p := range k.Parts {
		out = append(append(out, p.Outer), p.Holes...)
	}
	return out
}

// unmoved checks that the repaired outlines lie on those of the kit, and the kit's
// on them, to 0.02 mm.
func unmoved(t *testing.T, name string, k *geomtest.Kit, rep *lint.Repaired) float64 {
	t.Helper()
	want, got := kitPaths(k), outlinesOf(rep.After.Sheet)
	a, at := field(want...).farthest(got...)
	b, bt := field(got...).farthest(want...)
	if a > 0.02 {
		t.Errorf("%s: an outline lies %.4f mm off at %v", name, a, at)
	}
	if b > 0.02 {
		t.Errorf("%s: %.4f mm from the nearest outline at %v", name, b, bt)
	}
	return max(a, b)
}

// tabsRight checks the gaps of all tabs as drawn.
func tabsRight(t *testing.T, name string, rep *lint.Repaired, j *job.Job) {
	t.Helper()
	edits := map[string]int{}
	for _, e := range rep.Edits {
		edits[e.Kind]++
	}
	if edits["tab"] != len(rep.Tabs) || edits["label"] != len(rep.Labels) {
		t.Errorf("%s: %d tabs and %d numbers told, %d and %d drawn", name, edits["tab"], edits["label"], len(rep.Tabs), len(rep.Labels))
	}
	n := 0
	for i := range rep.After.Sheet.Outlines {
		o := &rep.After.Sheet.Outlines[i]
		n += o.Tabs
		var run, all float64
		for k, f := range o.Flags {
			if f&outline.IsTab != 0 {
				run += o.Pieces[k].Length()
			}
		}
		all = float64(o.Tabs) * (j.Tabs.Width + j.Jet.Kerf)
		if math.Abs(run-all) > 0.001*float64(o.Tabs) {
			t.Errorf("%s: %d tabs come to %.4f mm of gap, want %.4f", name, o.Tabs, run, all)
		}
	}
	if n != len(rep.Tabs) {
		t.Errorf("%s: %d tabs drawn, %d told", name, n, len(rep.Tabs))
	}
	for _, b := range rep.Tabs {
		if math.Abs(b.Gap-j.Tabs.Width-j.Jet.Kerf) > 0.001 {
			t.Errorf("%s: gap of %.4f mm at %v", name, b.Gap, b.At)
		}
	}
}

// numbersClear checks that every stroke of the numbers keeps a kerf from every
// cut and tab, and that every part has its number.
func numbersClear(t *testing.T, name string, rep *lint.Repaired, j *job.Job) {
	t.Helper()
	cuts := field(outlinesOf(rep.After.Sheet)...)
	for i := range rep.After.Sheet.Etch {
		for _, p := range rep.After.Sheet.Etch[i].Pieces {
			n := 2 + int(p.Length()/0.1)
			for k := range n + 1 {
				if q := p.At(float64(k) / float64(n)); cuts.gap(q) < j.Jet.Kerf-1e-6 {
					t.Errorf("%s: a number lies %.3f mm from a cut at %v", name, cuts.gap(q), q)
					return
				}
			}
		}
	}
	for _, e := range rep.Edits {
		if e.Kind != "label" {
			continue
		}
		i := slices.IndexFunc(rep.Labels, func(l lint.Label) bool { return l.At.Dist(e.At) < 1e-3 })
		if i < 0 || rep.Labels[i].Part != e.Part {
			t.Errorf("%s: the number of part %s at %v reads back as %+v", name, e.Part, e.At, rep.Labels)
		}
	}
	if len(rep.Labels) != len(rep.After.Sheet.Parts) {
		t.Errorf("%s: %d numbers for %d parts", name, len(rep.Labels), len(rep.After.Sheet.Parts))
	}
}

// held checks by sampling that at every offset of the slats the centre of mass of
// each part lies in the hull of what holds it: the places where slats meet it and
// both ends of the gaps of its tabs. Two tabs make a narrow hull, so a part may lie
// off it by a fiftieth of its size.
func held(t *testing.T, name string, rep *lint.Repaired, j *job.Job) (leans float64) {
	t.Helper()
	s := rep.After.Sheet
	for k := range s.Parts {
		part := &s.Parts[k]
		o := &s.Outlines[part.Outer]
		var fixed []geom.Point
		for i, f := range o.Flags {
			if f&outline.IsTab != 0 {
				fixed = append(fixed, o.Pieces[i].A, o.Pieces[i].B)
			}
		}
		lean := 1e-6
		if o.Tabs > 0 {
			lean = 0.02 * max(o.Box.W(), o.Box.H())
		}
		worst := 0.0
		for i := range 50 {
			pts := append([]geom.Point(nil), fixed...)
			for y := math.Floor(o.Box.Min.Y/j.Table.SlatPitch)*j.Table.SlatPitch + (float64(i)+0.37)*j.Table.SlatPitch/50; y < o.Box.Max.Y; y += j.Table.SlatPitch {
				pts = append(pts, crossesLine(o.Pieces, y)...)
			}
			worst = max(worst, offHull(pts, part.Centroid))
		}
		if o.Tabs > 0 {
			leans = max(leans, worst/max(o.Box.W(), o.Box.H()))
		}
		if worst > lean {
			t.Errorf("%s: part %s with %d tabs leans %.2f mm", name, rep.After.Names[k], o.Tabs, worst)
		}
	}
	return leans
}

// crossesLine returns where an outline, flattened, crosses y = v.
func crossesLine(path geom.Path, v float64) []geom.Point {
	var out []geom.Point
	pts := path.Flatten(0.005)
	for i := range len(pts) - 1 {
		a, b := pts[i], pts[i+1]
		if (a.Y < v) != (b.Y < v) {
			out = append(out, a.Lerp(b, (v-a.Y)/(b.Y-a.Y)))
		}
	}
	return out
}

// offHull is how far c lies outside the convex hull of the points: the largest
// over all directions of its distance beyond the last of them (0 within).
func offHull(pts []geom.Point, c geom.Point) float64 {
	if len(pts) == 0 {
		return math.Inf(1)
	}
	worst := 0.0
	for k := range 360 {
		d := geom.Polar(geom.Point{}, 1, float64(k)*math.Pi/180)
		reach := math.Inf(-1)
		for _, p := range pts {
			reach = max(reach, p.Sub(c).Dot(d))
		}
		worst = max(worst, -reach)
	}
	return worst
}
