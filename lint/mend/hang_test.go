package mend_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/lint"
	"sluice/lint/job"
)

// grain is the size of the squares that a sheet is divided into, mm: several go
// into half a kerf, and into a tab.
const grain = 0.15

// sheetLeft is a sheet after cutting, as squares: what is still there, and what of
// that hangs together.
type sheetLeft struct {
	cols, rows int
	gone, seen []bool
}

// leftAfter takes from a sheet of w by h about the origin what a round stream takes
// along pieces.
func leftAfter(w, h, kerf float64, cut []geom.Piece) *sheetLeft {
	s := &sheetLeft{cols: int(w / grain), rows: int(h / grain)}
	s.gone, s.seen = make([]bool, s.cols*s.rows), make([]bool, s.cols*s.rows)
	for i := range cut {
		n := int(cut[i].Length()/(grain/2)) + 1
		for k := range n + 1 {
			p := cut[i].At(float64(k) / float64(n))
			r := kerf / 2
			for y := int((p.Y - r) / grain); y <= int((p.Y+r)/grain); y++ {
				for x := int((p.X - r) / grain); x <= int((p.X+r)/grain); x++ {
					if c := geom.Pt((float64(x)+0.5)*grain, (float64(y)+0.5)*grain); c.Dist(p) <= r {
						s.gone[y*s.cols+x] = true
					}
				}
			}
		}
	}
	return s
}

func (s *sheetLeft) at(p geom.Point) int { return int(p.Y/grain)*s.cols + int(p.X/grain) }

// flood marks what hangs together with a place.
func (s *sheetLeft) flood(p geom.Point) {
	queue := []int{s.at(p)}
	for len(queue) > 0 {
		c := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if s.gone[c] || s.seen[c] {
			continue
		}
		s.seen[c] = true
		if x := c % s.cols; x > 0 {
			queue = append(queue, c-1)
		}
		if x := c % s.cols; x < s.cols-1 {
			queue = append(queue, c+1)
		}
		if y := c / s.cols; y > 0 {
			queue = append(queue, c-s.cols)
		}
		if y := c / s.cols; y < s.rows-1 {
			queue = append(queue, c+s.cols)
		}
	}
}

// nest draws outlines one in the other: part, hole, part, hole and so on, alternately
// square and round, and returns with them a place on the material within each.
func nest(rng *rand.Rand, levels int) (all geom.Path, on []geom.Point) {
	x0, y0, w, h := 15.0, 15.0, 150+100*rng.Float64(), 150+100*rng.Float64()
	for k := range levels {
		if round := k > 0 && rng.IntN(2) == 0; round {
			r := min(w, h) / 2
			all = append(all, geom.Circle(geom.Pt(x0+r, y0+r), r))
			on = append(on, geom.Pt(x0+r, y0+1.5))
			x0, y0, w, h = x0+r*0.3, y0+r*0.3, 1.4*r, 1.4*r
		} else {
			all = append(all, box(x0, y0, x0+w, y0+h)...)
			on = append(on, geom.Pt(x0+1.5, y0+1.5))
		}
		edge := 3 + rng.Float64()*min(w, h)*0.25
		x0, y0, w, h = x0+edge, y0+edge, w-2*edge, h-2*edge
		if min(w, h) < 14 {
			break
		}
	}
	return all, on
}

// TestTabbedPartsHang cuts corrected drawings of parts that lie in holes of each
// other, square by square: whatever has tabs still hangs on the sheet, or on a part
// without tabs, which lies still by itself.
func TestTabbedPartsHang(t *testing.T) {
	tabbed, nested := 0, 0
	for seed := range uint64(10) {
		rng := rand.New(rand.NewPCG(seed, 14))
		j := job.Default()
		j.Labels.Parts = "none"
		j.Jet.Kerf = []float64{0.9, 1.2}[seed%2]
		j.Tabs.Parts = []string{"small", "small", "all"}[seed%3]
		all, on := nest(rng, 3+2*rng.IntN(2))
		var d geomtest.Drafter
		for _, p := range all {
			d.Piece(p, 0)
		}
		name := fmt.Sprintf("nest %d", seed)
		rep, out := repair(t, name, d.Bytes(), j)
		if count(rep.Left, "small-part", "loose-slug") > 0 && j.Tabs.Parts == "all" {
			t.Errorf("%s: left: %v", name, rep.Left)
		}
		by := pieces(t, out)
		left := leftAfter(300, 300, j.Jet.Kerf, append(by[lint.LayerOutside], by[lint.LayerInside]...))
		left.flood(geom.Pt(2, 2))
		s := rep.After.Sheet
		level := func(k int) int { // how many outlines lie around a part
			n := 0
			for i := s.Outlines[s.Parts[k].Outer].Parent; i >= 0; i = s.Outlines[i].Parent {
				n++
			}
			return n
		}
		for k := range s.Parts {
			if s.Outlines[s.Parts[k].Outer].Tabs == 0 {
				left.flood(on[level(k)])
			}
		}
		for k := range s.Parts {
			if n := level(k); s.Outlines[s.Parts[k].Outer].Tabs > 0 {
				tabbed++
				nested += min(n, 1)
				if !left.seen[left.at(on[n])] {
					t.Errorf("%s: part %s within %d outlines hangs on nothing", name, rep.After.Names[k], n)
				}
			}
		}
		if _, again := repair(t, name, out, j); string(again) != string(out) {
			t.Errorf("%s: a second repair changes it", name)
		}
	}
	if tabbed < 10 || nested < 8 {
		t.Errorf("%d parts with tabs, %d of them nested: too few to mean anything", tabbed, nested)
	}
}

// A slug that lies still but that a part hangs on without it having tabs itself, as
// in a drawing somebody has edited, is told, and held when the drawing is repaired.
func TestSlugsUnderTabbedPartsAreTold(t *testing.T) {
	var d geomtest.Drafter
	for _, p := range append(append(box(0, 0, 400, 400), box(50, 50, 250, 250)...), box(100, 100, 120, 120)...) {
		d.Piece(p, 0)
	}
	j := job.Default()
	j.Labels.Parts = "none"
	rep, out := repair(t, "nest", d.Bytes(), j)
	if len(rep.Tabs) < 5 || len(rep.Left) > 0 {
		t.Fatalf("%d tabs, left: %v", len(rep.Tabs), rep.Left)
	}
	// The tabs of the window are cut.
	chunks := strings.Split(string(out), "\n0\n")
	closed := 0
	for i, c := range chunks {
		x, y := groupValue(t, c, "10"), groupValue(t, c, "20")
		if window := x == 50 || x == 250 || y == 50 || y == 250; window && strings.Contains(c, "\n8\nTAB\n") {
			chunks[i] = strings.Replace(c, "\n8\nTAB\n", "\n8\nINSIDE\n", 1)
			closed++
		}
	}
	edited := []byte(strings.Join(chunks, "\n0\n"))
	again, fixed := repair(t, "edited", edited, j)
	if n := count(again.Before.Findings, "loose-slug"); n != 1 || closed < 2 {
		t.Errorf("%d tabs of the window cut, %d slugs told, want 1", closed, n)
	}
	if len(again.Tabs) != len(rep.Tabs) || count(again.Left, "loose-slug") > 0 {
		t.Errorf("%d tabs, want %d; left: %v", len(again.Tabs), len(rep.Tabs), again.Left)
	}
	if _, twice := repair(t, "fixed", fixed, j); string(twice) != string(fixed) {
		t.Error("a second repair changes it")
	}
}

// groupValue returns the number behind the first group of a code, NaN if there is
// none.
func groupValue(t *testing.T, chunk, code string) float64 {
	t.Helper()
	_, rest, ok := strings.Cut(chunk, "\n"+code+"\n")
	line, _, _ := strings.Cut(rest, "\n")
	v, err := strconv.ParseFloat(strings.TrimSpace(line), 64)
	if !ok || err != nil {
		return math.NaN()
	}
	return v
}
