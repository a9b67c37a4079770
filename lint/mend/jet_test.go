package mend_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
	"sluice/lint/cutting"
	"sluice/lint/cutting/paths"
	"sluice/lint/job"
)

// The checks in this file know of a plan only where the stream and the head go, and
// what is told; of a drawing only its outlines as closed lines of points.

// played is a plan with the drawing it is for.
type played struct {
	plan  *paths.Plan
	sheet *outline.Sheet
	kerf  float64
	rings []ring // by outline
}

// ring is a closed line of points.
type ring struct {
	pts []geom.Point
	box geom.Box
}

func ringOf(p geom.Path) ring {
	pts := p.Flatten(0.002)
	return ring{pts, geom.BoxOf(pts...)}
}

// holds counts the sides of a ring to the right of q.
func (r *ring) holds(q geom.Point) bool {
	if !r.box.Contains(q) {
		return false
	}
	in := false
	for i, a := range r.pts {
		b := r.pts[(i+1)%len(r.pts)]
		if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(q.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// dist returns how far q is from the line.
func (r *ring) dist(q geom.Point) float64 {
	least := math.Inf(1)
	for i, a := range r.pts {
		b := r.pts[(i+1)%len(r.pts)]
		d := b.Sub(a)
		t := 0.0
		if n := d.Dot(d); n > 0 {
			t = min(max(q.Sub(a).Dot(d)/n, 0), 1)
		}
		least = min(least, q.Dist(a.Add(d.Mul(t))))
	}
	return least
}

func play(s *outline.Sheet, j *job.Job, extents geom.Box) *played {
	p := &played{plan: cutting.Paths(s, j, extents), sheet: s, kerf: j.Jet.Kerf}
	for i := range s.Outlines {
		p.rings = append(p.rings, ringOf(s.Outlines[i].Pieces))
	}
	return p
}

// intoParts finds where a cut takes from a part untold: a place of the stream less
// than half a kerf from an outline, or within material.
func (p *played) intoParts() (out []string) {
	told := map[[2]int32]bool{}
	for _, h := range p.plan.InPart {
		told[[2]int32{h.Cut, h.Part}] = true
	}
	near := p.kerf/2 - 0.012
	for i := range p.plan.Cuts {
		c := &p.plan.Cuts[i]
		if c.Kind == paths.Etch {
			continue
		}
		worst, said := 0.0, ""
		for _, q := range steps(c.Path().Flatten(0.002), 0.5) {
			depth := map[int32]int{} // outlines around q, by part
			for k := range p.rings {
				if !p.rings[k].box.Inflate(p.kerf).Contains(q) {
					continue
				}
				part := p.sheet.Outlines[k].Part
				if p.rings[k].holds(q) {
					depth[part]++
				}
				if told[[2]int32{int32(i), part}] || c.NoRoom && int32(k) == c.Outline {
					continue
				}
				if d := p.rings[k].dist(q); near-d > worst {
					worst, said = near-d, fmt.Sprintf("cut %d comes %.3f mm near outline %d at %.2f, %.2f", i+1, d, k, q.X, q.Y)
				}
			}
			for part, n := range depth {
				if n%2 == 1 && !told[[2]int32{int32(i), part}] {
					worst, said = math.Inf(1), fmt.Sprintf("cut %d runs in part %d at %.2f, %.2f", i+1, part, q.X, q.Y)
				}
			}
		}
		if said != "" {
			out = append(out, said)
		}
	}
	return out
}

// steps puts points no further apart than step along a line of points.
func steps(pts []geom.Point, step float64) []geom.Point {
	var out []geom.Point
	for i, q := range pts {
		if i > 0 {
			n := int(pts[i-1].Dist(q) / step)
			for k := 1; k <= n; k++ {
				out = append(out, pts[i-1].Lerp(q, float64(k)/float64(n+1)))
			}
		}
		out = append(out, q)
	}
	return out
}

// outOfOrder finds outlines of which something is cut after the first cut of one
// around them, and chambers that come after the rest of their outline.
func (p *played) outOfOrder() (out []string) {
	n := len(p.rings)
	first, last := make([]int, n), make([]int, n)
	for k := range first {
		first[k], last[k] = math.MaxInt, -1
	}
	for i := range p.plan.Cuts {
		if c := &p.plan.Cuts[i]; c.Outline >= 0 {
			last[c.Outline] = i
			if !c.Chamber {
				first[c.Outline] = min(first[c.Outline], i)
			}
		}
	}
	for a := range n {
		for b := range n {
			if a != b && last[b] > first[a] && len(p.rings[b].pts) > 0 && p.rings[a].box.ContainsBox(p.rings[b].box) && p.rings[a].holds(p.rings[b].pts[0]) {
				out = append(out, fmt.Sprintf("outline %d is cut at %d, after %d around it at %d", b, last[b]+1, a, first[a]+1))
			}
		}
	}
	for i := range p.plan.Cuts {
		c := &p.plan.Cuts[i]
		if !c.Chamber {
			continue
		}
		if first[c.Outline] < i {
			out = append(out, fmt.Sprintf("chamber %d is cut after its part at %d", i+1, first[c.Outline]+1))
		}
		around := ringOf(c.Run)
		for b := range n {
			if int32(b) != c.Outline && last[b] > i && len(p.rings[b].pts) > 0 && around.holds(p.rings[b].pts[0]) {
				out = append(out, fmt.Sprintf("outline %d is cut at %d, after the chamber around it at %d", b, last[b]+1, i+1))
			}
		}
	}
	return out
}

// looseMoves finds moves over a piece that was cut loose before, untold. A piece in
// which the move begins or ends must be left or entered.
func (p *played) looseMoves() (out []string) {
	type piece struct {
		ring
		what string
	}
	held := map[int32]bool{}
	for i := range p.plan.Cuts {
		if c := &p.plan.Cuts[i]; c.Kind == paths.Outside && !c.Closed {
			held[c.Outline] = true
		}
	}
	var loose []piece
	for i := range p.plan.Cuts {
		c := &p.plan.Cuts[i]
		if m := &p.plan.Moves[i]; i > 0 && m.Over == 0 {
			a, b := m.Way[0], m.Way[len(m.Way)-1]
			for _, l := range loose {
				if l.holds(a) || l.holds(b) {
					continue
				}
				for _, q := range steps(m.Way, 0.5) {
					if l.holds(q) {
						out = append(out, fmt.Sprintf("move to cut %d passes over %s at %.2f, %.2f", i+1, l.what, q.X, q.Y))
						break
					}
				}
			}
		}
		switch {
		case !c.Closed:
		case c.Kind == paths.Inside || c.Chamber:
			loose = append(loose, piece{ringOf(c.Run), fmt.Sprintf("the slug of outline %d", c.Outline)})
		case !held[c.Outline]:
			loose = append(loose, piece{p.rings[c.Outline], fmt.Sprintf("the part in outline %d", c.Outline)})
		}
	}
	return out
}

// jetCases are repaired drawings whose paths are tried: random kits, and small
// drawings on which plans go wrong.
func jetCases(t *testing.T) map[string]*played {
	t.Helper()
	all := map[string]*played{}
	add := func(name string, data []byte, j *job.Job) {
		rep, _ := repair(t, name, data, j)
		all[name] = play(rep.After.Sheet, j, rep.After.Extents)
	}
	for seed := range 40 {
		kit := geomtest.RandomKit(rand.New(rand.NewPCG(uint64(seed), 14)))
		j := job.Default()
		j.Jet.Kerf = []float64{0.8, 0.9, 1, 1.1}[seed%4]
		if seed%3 == 0 {
			j.Tabs.Parts = "all"
		}
		add(fmt.Sprintf("kit %d", seed), kit.Flaw(rand.New(rand.NewPCG(uint64(seed), 15))).DXF, j)
	}
	keyhole := sheettest.Poly(0, 0, 200, 0, 200, 150, 110.25, 150, 110.25, 130, 140, 130, 140, 70, 60, 70, 60, 130, 109.75, 130, 109.75, 150, 0, 150)
	for name, drawn := range map[string][]geom.Path{
		"plates 0.5 mm apart":            {sheettest.Rect(0, 0, 200, 150), sheettest.Rect(200.5, 0, 200, 150)},
		"plates that cross":              {sheettest.Rect(0, 0, 200, 150), sheettest.Rect(180, 100, 200, 150)},
		"a part in a hole":               {sheettest.Rect(0, 0, 200, 150), sheettest.Disc(100, 75, 50), sheettest.Disc(100, 75, 20), sheettest.Disc(100, 75, 8)},
		"a slug that can stand up":       {sheettest.Rect(0, 0, 300, 200), sheettest.Disc(100, 100, 40), sheettest.Disc(220, 100, 40)},
		"a chamber with a part in it":    {keyhole, sheettest.Rect(80, 80, 40, 35), sheettest.Disc(100, 97, 6), sheettest.Disc(30, 30, 6)},
		"a pocket with a part in it":     {sheettest.Poly(0, 0, 300, 0, 300, 200, 200, 200, 200, 60, 100, 60, 100, 200, 0, 200), sheettest.Rect(130, 90, 40, 60), sheettest.Rect(350, 0, 60, 60)},
		"rows of plates with many holes": rows(),
	} {
		var d geomtest.Drafter
		for _, p := range drawn {
			for _, q := range p {
				d.Piece(q, 0)
			}
		}
		for _, tabs := range []string{"none", "all"} {
			j := job.Default()
			j.Jet.Kerf, j.Sheet.Thickness, j.Tabs.Parts, j.Labels.Parts = 0.9, 3, tabs, "none"
			j.Tabs.Slugs = tabs == "all" // else the slug on which a part hangs drops, as told
			add(name+", tabs "+tabs, d.Bytes(), j)
		}
	}
	return all
}

// TestJetSamples tries real drawings, where they are at hand.
func TestJetSamples(t *testing.T) {
	names, err := filepath.Glob(filepath.Join(os.Getenv("SLUICE_SAMPLES"), "*.dxf"))
	if err != nil || os.Getenv("SLUICE_SAMPLES") == "" || len(names) == 0 {
		t.Skip("no samples at hand")
	}
	for _, name := range append(names, fixtures+"/harbour-crane.dxf") {
		j := job.Default()
		j.Jet.Kerf, j.Sheet.Thickness = 0.9, 3
		rep, _ := repair(t, name, readFile(t, name), j)
		p := play(rep.After.Sheet, j, rep.After.Extents)
		over := 0
		for i := range p.plan.Moves {
			over += min(1, p.plan.Moves[i].Over)
		}
		t.Logf("%s: %d runs, %d moves over loose pieces told", filepath.Base(name), len(p.plan.Cuts), over)
		for what, found := range map[string][]string{"parts": p.intoParts(), "order": p.outOfOrder(), "moves": p.looseMoves()} {
			if len(found) > 0 {
				t.Errorf("%s, %s: %d: %s", filepath.Base(name), what, len(found), found[0])
			}
		}
	}
}

// rows draws plates in rows, each with holes all over.
func rows() (all []geom.Path) {
	for i := range 6 {
		at := geom.Shift(geom.Pt(float64(i%3)*130, float64(i/3)*100))
		all = append(all, sheettest.Rect(0, 0, 120, 90).Transform(at))
		for k := range 20 {
			all = append(all, sheettest.Disc(12+24*float64(k%5), 12+22*float64(k/5), 4).Transform(at))
		}
	}
	return all
}

// No cut takes from a part untold, all that lies in a part is cut before the first
// stretch of its perimeter, no move leads over a loose piece untold, and, by GEOS, each
// part comes off as a whole, or hangs on the sheet by its tabs when all is cut.
func TestJet(t *testing.T) {
	all := jetCases(t)
	cuts, tabbed := 0, 0
	for _, name := range slices.Sorted(maps.Keys(all)) {
		p := all[name]
		cuts += len(p.plan.Cuts)
		for i := range p.sheet.Outlines {
			tabbed += p.sheet.Outlines[i].Tabs
		}
		for what, found := range map[string][]string{"parts": p.intoParts(), "order": p.outOfOrder(), "moves": p.looseMoves()} {
			if len(found) > 0 {
				t.Errorf("%s, %s: %d: %s", name, what, len(found), found[0])
			}
		}
		if want := strings.HasPrefix(name, "plates"); want != (len(p.plan.InPart) > 0) && !strings.HasPrefix(name, "kit") {
			t.Errorf("%s: cuts into parts told: %v", name, p.plan.InPart)
		}
	}
	t.Logf("%d drawings, %d cuts, %d tabs", len(all), cuts, tabbed)
	if cuts < 1500 || tabbed < 300 {
		t.Errorf("only %d cuts, %d tabs", cuts, tabbed)
	}
	jetAgainstGEOS(t, all)
}

// jetCase is a plan for GEOS.
type jetCase struct {
	Name  string         `json:"name"`
	Kerf  float64        `json:"kerf"`
	Cuts  [][][2]float64 `json:"cuts"`
	Parts []jetPart      `json:"parts"`
}

type jetPart struct {
	Outer  [][2]float64   `json:"outer"`
	Holes  [][][2]float64 `json:"holes"`
	Tabbed bool           `json:"tabbed"`
	Told   bool           `json:"told"` // that a cut takes from it
}

func xy(pts []geom.Point) [][2]float64 {
	out := make([][2]float64, len(pts))
	for i, p := range pts {
		out[i] = [2]float64{p.X, p.Y}
	}
	return out
}

func jetAgainstGEOS(t *testing.T, all map[string]*played) {
	const python = "/usr/bin/python3" // that has GEOS through shapely on Debian
	if err := exec.Command(python, "-c", "import shapely").Run(); err != nil {
		if os.Getenv("SLUICE_OUTSIDE") != "" {
			t.Fatal("no python3 with shapely")
		}
		t.Log("no python3 with shapely")
		return
	}
	var cases []jetCase
	for _, name := range slices.Sorted(maps.Keys(all)) {
		p := all[name]
		c := jetCase{Name: name, Kerf: p.kerf}
		cut := map[int32]bool{}
		for i := range p.plan.Cuts {
			if k := &p.plan.Cuts[i]; k.Kind != paths.Etch {
				cut[k.Outline] = true
				c.Cuts = append(c.Cuts, xy(k.Path().Flatten(0.002)))
			}
		}
		for i := range p.sheet.Parts {
			part := &p.sheet.Parts[i]
			if !cut[part.Outer] {
				continue
			}
			jp := jetPart{Outer: xy(p.rings[part.Outer].pts), Holes: [][][2]float64{}, Tabbed: p.sheet.Outlines[part.Outer].Tabs > 0}
			for _, h := range part.Holes {
				jp.Holes = append(jp.Holes, xy(p.rings[h].pts))
			}
			for _, h := range p.plan.InPart {
				jp.Told = jp.Told || h.Part == int32(i)
			}
			c.Parts = append(c.Parts, jp)
		}
		cases = append(cases, c)
	}
	in, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "-c", jetScript)
	cmd.Stdin = bytes.NewReader(in)
	if out, err := cmd.CombinedOutput(); err != nil || len(bytes.TrimSpace(out)) > 0 {
		t.Errorf("%v\n%s", err, out)
	}
}

// jetScript takes from a sheet all that the stream sweeps over, and tells parts of
// which it takes more than 0.015 mm, parts with tabs that do not hang on the sheet
// then, and parts without that do.
const jetScript = `
import json, sys
from shapely.geometry import Polygon, LineString, Point
from shapely.ops import unary_union
from shapely.strtree import STRtree
for c in json.load(sys.stdin):
    swept = unary_union([LineString(p).buffer(c["kerf"] / 2, resolution=8) for p in c["cuts"]])
    sheet = swept.envelope.buffer(20)
    corner = Point(sheet.bounds[0] + 10, swept.bounds[1] - 5)
    left = sheet.difference(swept)
    pieces = list(left.geoms) if left.geom_type == "MultiPolygon" else [left]
    frame = [g for g in pieces if g.contains(corner)][0]
    for n, p in enumerate(c["parts"]):
        part = Polygon(p["outer"], p["holes"]).buffer(0)
        if p["told"]:
            continue
        inner = part.buffer(-0.015)
        taken = inner.intersection(swept)
        if taken.area > 1e-6:
            print(c["name"], "part", n, "loses", taken.area, list(taken.representative_point().coords))
        hangs = frame.contains(inner.representative_point())
        if hangs != p["tabbed"]:
            print(c["name"], "part", n, "tabbed", p["tabbed"], "hangs", hangs, list(inner.representative_point().coords))
`

// The checks find what they look for.
func TestJetChecks(t *testing.T) {
	var d geomtest.Drafter
	for _, p := range rows() {
		for _, q := range p {
			d.Piece(q, 0)
		}
	}
	j := job.Default()
	j.Tabs.Parts, j.Labels.Parts = "none", "none"
	rep, _ := repair(t, "rows", d.Bytes(), j)
	fresh := func() *played { return play(rep.After.Sheet, j, rep.After.Extents) }
	if p := fresh(); len(p.intoParts())+len(p.outOfOrder())+len(p.looseMoves()) > 0 {
		t.Fatal("faults in a good plan")
	}
	p := fresh()
	c := &p.plan.Cuts[0]
	c.Run = c.Run.Transform(geom.Shift(geom.Pt(0.05, 0)))
	if found := p.intoParts(); len(found) != 1 {
		t.Errorf("a cut 0.05 mm aside: %v", found)
	}
	p = fresh()
	slices.Reverse(p.plan.Cuts)
	if found := p.outOfOrder(); len(found) != 120 {
		t.Errorf("holes last: %d found", len(found))
	}
	p = fresh()
	last := len(p.plan.Cuts) - 1
	p.plan.Moves[last].Way = []geom.Point{geom.Pt(-5, 45), geom.Pt(400, 45)}
	if found := p.looseMoves(); len(found) == 0 {
		t.Error("a move across the sheet is not found")
	}
}
