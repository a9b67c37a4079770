package mend_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/job"
)

// box returns the four sides of a rectangle.
func box(x0, y0, x1, y1 float64) geom.Path {
	c := [4]geom.Point{geom.Pt(x0, y0), geom.Pt(x1, y0), geom.Pt(x1, y1), geom.Pt(x0, y1)}
	var p geom.Path
	for i := range c {
		p = append(p, geom.Line(c[i], c[(i+1)%4]))
	}
	return p
}

// ways are ways to draw the same pieces.
func ways(pieces geom.Path) map[string][]byte {
	draw := func(p geom.Path) []byte {
		var d geomtest.Drafter
		for _, q := range p {
			d.Piece(q, 0)
		}
		return d.Bytes()
	}
	shuffled := slices.Clone(pieces)
	rand.New(rand.NewPCG(3, 4)).Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
	var split, back geom.Path
	for _, q := range pieces {
		split = append(split, q.Sub(0, 0.3), q.Sub(0.3, 1))
		back = append(back, q.Reverse())
	}
	mirror := geom.Path{}
	for _, q := range pieces {
		mirror = append(mirror, geom.Line(geom.Pt(-q.A.X, q.A.Y), geom.Pt(-q.B.X, q.B.Y)))
	}
	return map[string][]byte{
		"as drawn": draw(pieces), "shuffled": draw(shuffled), "split": draw(split), "backwards": draw(back), "mirrored": draw(mirror),
		"moved":             draw(pieces.Transform(geom.Shift(geom.Pt(1000, -70)))),
		"turned by 90":      draw(pieces.Transform(geom.Turn(geom.Point{}, math.Pi/2))),
		"turned by 17 deg.": draw(pieces.Transform(geom.Turn(geom.Pt(3, 5), 17*math.Pi/180))),
	}
}

// TestFramesWithOneCentre draws frames one in the other, all with one centre of
// mass: each gets its own tabs and its own number.
func TestFramesWithOneCentre(t *testing.T) {
	var p geom.Path
	for _, h := range []float64{30, 26, 20, 16, 9} { // three parts
		p = append(p, box(100-h, 100-h, 100+h, 100+h)...)
	}
	for name, data := range ways(p) {
		rep, _ := repair(t, name, data, job.Default())
		tabs, labels := map[string]int{}, map[string]int{}
		for _, x := range rep.Tabs {
			tabs[x.Part]++
		}
		for _, x := range rep.Labels {
			labels[x.Part]++
		}
		for _, k := range []string{"1", "2", "3"} {
			if tabs[k] < 2 || labels[k] != 1 {
				t.Errorf("%s: part %s has %d tabs and %d numbers", name, k, tabs[k], labels[k])
			}
		}
		for _, f := range rep.Left {
			if f.Rule == "small-part" {
				t.Errorf("%s: left: %s", name, f.Message)
			}
		}
	}
}

// TestSlugs draws a plate with a window whose slug stands up, one whose slug drops
// through, and one with a part in it: what is loose is told, and held if the job
// says so, and only then; but what a tabbed part hangs on is held unasked.
func TestSlugs(t *testing.T) {
	p := slices.Concat(box(0, 0, 320, 300), box(20, 20, 100, 100), box(140, 20, 170, 50), box(200, 180, 260, 240), box(220, 200, 240, 220))
	for name, data := range ways(p) {
		rep, _ := repair(t, name, data, job.Default())
		if n := count(rep.Left, "loose-slug"); n != 1 {
			t.Errorf("%s: %d slugs told, want 1", name, n)
		}
		if n := len(rep.Tabs); n != 4 {
			t.Errorf("%s: %d tabs, want 2 on the part in the window and 2 on its slug", name, n)
		}
		j := job.Default()
		j.Tabs.Slugs = true
		rep, _ = repair(t, name, data, j)
		if n := count(rep.Left, "loose-slug"); n != 0 || len(rep.Tabs) != 6 {
			t.Errorf("%s: %d slugs left, %d tabs with slugs held, want 0 and 6", name, n, len(rep.Tabs))
		}
	}
}

// TestJoinedKit draws nine panels as a grid of lines: the one in the middle may be
// the waste between the others, so it gets no number and no tab until they are
// moved apart. Two panels beside it share one edge, and are treated as ever.
func TestJoinedKit(t *testing.T) {
	once := geom.Path{}
	for i := range 4 {
		at := float64(60 * i)
		for x := 0.0; x < 180; x += 60 {
			once = append(once, geom.Line(geom.Pt(x, at), geom.Pt(x+60, at)), geom.Line(geom.Pt(at, x), geom.Pt(at, x+60)))
		}
	}
	var twice geom.Path
	for i := range 9 {
		x, y := float64(60*(i%3)), float64(60*(i/3))
		twice = append(twice, box(x, y, x+60, y+60)...)
	}
	pair := append(box(300, 0, 320, 40), box(320, 0, 340, 30)...)
	for drawn, p := range map[string]geom.Path{"once": append(once, pair...), "twice": append(twice, pair...)} {
		for name, data := range ways(p) {
			name = drawn + ", " + name
			j := job.Default()
			j.Tabs.Parts = "all"
			rep, _ := repair(t, name, data, j)
			if n := len(rep.After.Sheet.Parts); n != 11 {
				t.Fatalf("%s: %d parts, want 11", name, n)
			}
			enclosed := -1
			for k := range rep.After.Sheet.Parts {
				if rep.After.Sheet.Parts[k].Enclosed {
					if enclosed >= 0 {
						t.Errorf("%s: more than one part enclosed", name)
					}
					enclosed = k
				}
			}
			if enclosed < 0 || rep.After.Labeled[enclosed] || len(rep.Labels) != 10 {
				t.Errorf("%s: part %d enclosed, %d numbers, want 10", name, enclosed, len(rep.Labels))
			}
			for _, x := range rep.Tabs {
				for _, s := range rep.After.Sheet.Shared {
					if d, _ := s.Pieces.Dist(x.At); d < 1 {
						t.Errorf("%s: a tab at %v on a common edge", name, x.At)
					}
				}
			}
			said := 0
			for _, f := range rep.Left {
				if f.Rule == "shared-edge" && strings.Contains(f.Message, "is enclosed between parts") {
					said++
				}
				if f.Subject == lint.AboutPart(enclosed) {
					t.Errorf("%s: told of the enclosed part: %s", name, f.Message)
				}
			}
			if said != 1 {
				t.Errorf("%s: said %d times that a part is enclosed", name, said)
			}
		}
	}
	// Moved apart it is a part like any other.
	var apart geom.Path
	for i := range 9 {
		x, y := float64(66*(i%3)), float64(66*(i/3))
		apart = append(apart, box(x, y, x+60, y+60)...)
	}
	rep, _ := repair(t, "apart", ways(apart)["as drawn"], job.Default())
	if len(rep.Labels) != 9 {
		t.Errorf("apart: %d numbers, want 9", len(rep.Labels))
	}
}

// TestSubjects checks that what a finding names as its subject lies where the
// finding does.
func TestSubjects(t *testing.T) {
	for _, name := range []string{"harbour-crane.dxf", "harbour-crane-clean.dxf"} {
		r := check(t, fixtures+"/"+name, job.Default())
		seen := map[lint.SubjectKind]int{}
		for i := range r.Findings {
			f := &r.Findings[i]
			seen[f.Subject.Kind]++
			if err := subjectHolds(r, f); err != nil {
				t.Errorf("%s at %v: %v", f.Rule, f.At, err)
			}
		}
		if seen[lint.OfPart] == 0 || name == "harbour-crane.dxf" && (seen[lint.OfOutline] == 0 || seen[lint.OfStroke] == 0 || seen[lint.OfGap] == 0) {
			t.Errorf("%s: subjects by kind: %v", name, seen)
		}
	}
}

func subjectHolds(r *lint.Result, f *lint.Finding) error {
	k := int(f.Subject.Index)
	var b geom.Box
	switch f.Subject.Kind {
	case lint.NoSubject:
		return nil
	case lint.OfPart:
		b = r.Sheet.Parts[k].Box
		if r.Names[k] != f.Part {
			return fmt.Errorf("part %s is named, part %s is meant", f.Part, r.Names[k])
		}
	case lint.OfOutline:
		b = r.Sheet.Outlines[k].Box
	case lint.OfStroke:
		b = r.Drawing.Strokes[k].Box()
	case lint.OfGap:
		b = geom.BoxOf(r.Sheet.Gaps[k].At)
	}
	if !b.Inflate(1).Overlaps(f.Box) {
		return fmt.Errorf("its subject lies at %v", b)
	}
	return nil
}

// TestTabsBesideSharedEdge: the best place for a tab of the lower part is the edge
// it has in common with the other. It gets both of its tabs elsewhere.
func TestTabsBesideSharedEdge(t *testing.T) {
	for _, h := range []float64{16, 20, 24} {
		for name, data := range ways(slices.Concat(box(0, 0, 20, 40), box(20, 0, 50, h))) {
			j := job.Default()
			j.Tabs.Parts = "all"
			rep, _ := repair(t, name, data, j)
			tabs := map[string]int{}
			for _, x := range rep.Tabs {
				tabs[x.Part]++
				for _, s := range rep.After.Sheet.Shared {
					if d, _ := s.Pieces.Dist(x.At); d < cutting.DrawnGap(j) {
						t.Errorf("%g mm high, %s: a tab at %v, %g mm from the common edge", h, name, x.At, d)
					}
				}
			}
			if len(rep.After.Sheet.Shared) != 1 || tabs["1"] != 2 || tabs["2"] != 2 {
				t.Errorf("%g mm high, %s: tabs by part %v, %d common edges", h, name, tabs, len(rep.After.Sheet.Shared))
			}
		}
	}
}

// TestTabsKeepOffNewNumbers draws parts that their number just fits: it leaves room
// for a tab at its sides, not above and below it.
func TestTabsKeepOffNewNumbers(t *testing.T) {
	for _, size := range [][2]float64{{6, 6}, {6, 8}, {8, 6}, {8, 8}} {
		for _, name := range []string{"as drawn", "moved", "backwards", "mirrored", "turned by 90"} {
			rep, _ := repair(t, name, ways(box(0, 0, size[0], size[1]))[name], job.Default())
			if len(rep.Labels) != 1 || len(rep.Tabs) != 2 {
				t.Fatalf("%v %s: %d numbers, %d tabs", size, name, len(rep.Labels), len(rep.Tabs))
			}
			l := rep.Labels[0]
			up := geom.Polar(geom.Point{}, 1, (l.Angle+90)*math.Pi/180)
			for _, x := range rep.Tabs {
				if off := math.Abs(x.At.Sub(l.At).Dot(up)); off > l.Height/2 {
					t.Errorf("%v %s: a tab at %v, above or below the number at %v", size, name, x.At, l.At)
				}
			}
		}
	}
}
