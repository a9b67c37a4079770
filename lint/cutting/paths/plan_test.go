package paths

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/geomtest"
	"sluice/geom/outline"
)

// randomSheet lays n random parts out in a grid, with parts in some holes.
func randomSheet(rng *rand.Rand, n int, pitch float64) *outline.Sheet {
	var all []geom.Path
	for i := range n {
		outer, holes := geomtest.RandomPart(rng)
		at := geom.Shift(geomtest.Grid(n, i, pitch))
		all = append(all, outer.Transform(at))
		for _, h := range holes {
			all = append(all, h.Transform(at))
			if b := h.Box(); min(b.W(), b.H()) > 6 { // a part in the hole
				all = append(all, sheettest.Disc(0, 0, 0.6).Transform(geom.Shift(h.Centroid())).Transform(at))
			}
		}
	}
	return sheettest.Of(all...)
}

// drawn reads a drawing of the repository or a sample; the test is skipped where
// a sample is missing.
func drawn(t testing.TB, path string) *outline.Sheet {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Skip(err)
	}
	defer f.Close()
	d, err := dxf.Read(context.Background(), f, dxf.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Resolve("auto", "", drawing.UnitHints{Thicknesses: []float64{3}}, 0.02); err != nil {
		t.Fatal(err)
	}
	cut := func(*drawing.Stroke) outline.Role { return outline.Cut }
	s, err := outline.Build(context.Background(), d.Strokes, cut, outline.Options{Join: 0.001, Gap: 0.5, Same: 0.01, Search: 10, Kerf: 1})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

const demo = "../../../fixtures/harbour-crane-clean.dxf"

func samples() string {
	if dir := os.Getenv("SLUICE_SAMPLES"); dir != "" {
		return dir
	}
	return "../../../../shared/samples"
}

// testSheets are the sheets on which plans are tried.
func testSheets(t *testing.T) map[string]*outline.Sheet {
	rng := rand.New(rand.NewPCG(8, 3))
	sheets := map[string]*outline.Sheet{}
	for _, pitch := range []float64{124, 130} {
		for range 3 {
			sheets["random "+string(rune('a'+len(sheets)))] = randomSheet(rng, 4, pitch)
		}
	}
	if _, err := os.Stat(demo); err == nil {
		sheets["crane"] = drawn(t, demo)
	}
	return sheets
}

// The lead-ins and lead-outs are sampled without any of the geometry that placed
// them: flattened, and measured against every outline.
func TestLeadsKeepClear(t *testing.T) {
	p := Params{Kerf: 1, Lead: 3, Margin: 0.5}
	leads, none := 0, 0
	for name, s := range testSheets(t) {
		pl := New(s, p)
		for i := range pl.Cuts {
			c := &pl.Cuts[i]
			if c.Kind == Etch {
				continue
			}
			if c.NoRoom {
				none++
				continue
			}
			leads++
			checkJoined(t, name, c)
			for _, lead := range []geom.Path{c.In, c.Out} {
				for k := range lead {
					for step := range 81 {
						q := lead[k].At(float64(step) / 80)
						if at := s.PartAt(q); at >= 0 {
							t.Fatalf("%s: lead of outline %d runs in the material of part %d at %v", name, c.Outline, at, q)
						}
						for o := range s.Outlines {
							need := p.Kerf / 2
							if int32(o) != c.Outline {
								need += p.Kerf + p.Margin
							}
							if !s.Outlines[o].Box.Inflate(need).Contains(q) {
								continue
							}
							if d, _ := s.Outlines[o].Pieces.Dist(q); d < need-1e-5 {
								t.Fatalf("%s: lead of outline %d is %.4f mm from outline %d at %v, less than %g", name, c.Outline, d, o, q, need)
							}
						}
					}
				}
			}
			if d, _ := s.Outlines[c.Outline].Pieces.Dist(c.Start()); d < pierceShare*p.Kerf-1e-5 {
				t.Errorf("%s: the pierce of outline %d is %.3f mm from it", name, c.Outline, d)
			}
		}
		// Leads keep clear of each other.
		for i := range pl.Cuts {
			for j := range i {
				a, b := &pl.Cuts[i], &pl.Cuts[j]
				if a.Outline == b.Outline || a.Kind == Etch || b.Kind == Etch {
					continue
				}
				for _, q := range a.In.Flatten(0.01) {
					if d, _ := b.In.Dist(q); d < p.Kerf {
						t.Fatalf("%s: leads of outlines %d and %d are %.3f mm apart", name, a.Outline, b.Outline, d)
					}
				}
			}
		}
	}
	if leads < 100 || none > leads/4 {
		t.Errorf("%d leads, %d cuts without", leads, none)
	}
	t.Logf("%d leads, %d cuts without room", leads, none)
}

func checkJoined(t *testing.T, name string, c *Cut) {
	t.Helper()
	p := c.Path()
	for i := 1; i < len(p); i++ {
		if d := p[i-1].B.Dist(p[i].A); d > 1e-6 {
			t.Fatalf("%s: path of outline %d jumps %g mm at piece %d", name, c.Outline, d, i)
		}
	}
	if c.Closed && c.Run[0].A.Dist(c.Run[len(c.Run)-1].B) > 1e-6 {
		t.Fatalf("%s: run of outline %d does not close", name, c.Outline)
	}
}

// The part that comes off is the part drawn: the stream never comes nearer to
// the outline than half a kerf, and reaches it to within 0.005 mm wherever a disc
// of half a kerf fits into the waste at that place.
func TestCutPartIsThePartDrawn(t *testing.T) {
	for _, kerf := range []float64{0.8, 1.1} {
		for name, s := range testSheets(t) {
			pl := New(s, Params{Kerf: kerf, Margin: 0.5})
			runs := make([]geom.Path, len(s.Outlines))
			for i := range pl.Cuts {
				if c := &pl.Cuts[i]; c.Outline >= 0 {
					runs[c.Outline] = append(runs[c.Outline], c.Path()...)
				}
			}
			left := map[int32]bool{}
			for _, l := range pl.Left {
				left[l.Outline] = true
			}
			for o := range s.Outlines {
				p := s.Outlines[o].Pieces
				if left[int32(o)] {
					continue
				}
				for i := range p {
					for step := range 9 {
						f := (float64(step) + 0.5) / 9
						q := p[i].At(f)
						d, _ := runs[o].Dist(q)
						if d < kerf/2-1e-5 {
							t.Fatalf("%s: the stream eats %g mm into outline %d at %v", name, kerf/2-d, o, q)
						}
						ctr := q.Add(rightOf(p[i].TangentAt(f)).Mul(kerf / 2))
						if free, _ := p.Dist(ctr); free < kerf/2-1e-6 {
							continue // a corner the stream cannot reach into
						}
						if d > kerf/2+0.005 {
							t.Fatalf("%s: %g mm are left on outline %d at %v", name, d-kerf/2, o, q)
						}
					}
				}
			}
		}
	}
}

// With GEOS: all that the stream takes away, subtracted from the sheet, leaves
// each part as it is drawn, with its inner corners rounded by half the kerf.
func TestCutPartAgainstGEOS(t *testing.T) {
	if err := exec.Command(python, "-c", "import shapely").Run(); err != nil {
		t.Skip("no python3 with shapely")
	}
	type partCase struct {
		Outer [][2]float64   `json:"outer"`
		Holes [][][2]float64 `json:"holes"`
		Cuts  [][][2]float64 `json:"cuts"`
		Kerf  float64        `json:"kerf"`
	}
	rng := rand.New(rand.NewPCG(8, 4))
	var cases []partCase
	for range 40 {
		outer, holes := geomtest.RandomPart(rng)
		s := sheettest.Of(append([]geom.Path{outer}, holes...)...)
		c := partCase{Kerf: 0.5 + 0.7*rng.Float64(), Holes: [][][2]float64{}}
		pl := New(s, Params{Kerf: c.Kerf})
		cut := map[int32]bool{}
		for i := range pl.Cuts {
			cut[pl.Cuts[i].Outline] = true
			c.Cuts = append(c.Cuts, ring(pl.Cuts[i].Path()))
		}
		c.Outer = ring(s.Outlines[0].Pieces)
		for i := 1; i < len(s.Outlines); i++ {
			if cut[int32(i)] {
				c.Holes = append(c.Holes, ring(s.Outlines[i].Pieces))
			}
		}
		cases = append(cases, c)
	}
	in, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "-c", partScript, "0.005")
	cmd.Stdin = bytes.NewReader(in)
	if out, err := cmd.CombinedOutput(); err != nil || len(bytes.TrimSpace(out)) > 0 {
		t.Errorf("%v\n%s", err, out)
	}
}

// partScript tells parts that come off more than the bound thicker or thinner
// than drawn. What closing by half a kerf adds (dilate, then erode) is what the
// stream cannot reach.
const partScript = `
import json, sys
from shapely.geometry import Polygon, LineString
from shapely.ops import unary_union
bound = float(sys.argv[1])
for n, c in enumerate(json.load(sys.stdin)):
    r = c["kerf"] / 2
    part = Polygon(c["outer"], c["holes"]).buffer(0)
    want = part.buffer(r, resolution=64).buffer(-r, resolution=64).union(part)
    taken = unary_union([LineString(p).buffer(r, resolution=64) for p in c["cuts"]])
    sheet = part.envelope.buffer(20)
    left = sheet.difference(taken)
    pieces = left.geoms if left.geom_type == "MultiPolygon" else [left]
    inside = part.buffer(-0.1).representative_point()
    got = [g for g in pieces if g.buffer(1e-6).contains(inside)]
    if not got:
        print(n, "no part is left"); continue
    got = got[0]
    off = got.symmetric_difference(want).buffer(-bound / 2)
    if off.area > 0:
        print(n, c["kerf"], off.area, list(off.representative_point().coords))
`

// Between its tabs an outline is cut in runs whose ends leave the tab's width,
// and no lead touches a tab.
func TestTabsStayAsGaps(t *testing.T) {
	const kerf, width = 1.0, 0.8
	for name, sheet := range map[string]*outline.Sheet{
		"straight": sheettest.Of(sheettest.Rect(0, 0, 60, 40), sheettest.Disc(20, 20, 6)),
		"round":    sheettest.Of(sheettest.Disc(0, 0, 9), sheettest.Disc(0, 0, 3)),
	} {
		o := &sheet.Outlines[0]
		half := o.Length / 2
		var tabs [][2]float64
		for _, a := range []float64{0.3 * half, 1.3 * half} {
			tabs = append(tabs, [2]float64{a, a + width + kerf})
		}
		o.Path, o.Tabs = sheettest.Tabbed(o.Path, tabs...), 2
		pl := New(sheet, Params{Kerf: kerf, Lead: 3})
		var runs []*Cut
		for i := range pl.Cuts {
			if c := &pl.Cuts[i]; c.Outline == 0 {
				runs = append(runs, c)
			}
		}
		if len(runs) != 2 || runs[0].Closed {
			t.Fatalf("%s: %d runs", name, len(runs))
		}
		for i, c := range runs {
			if c.NoRoom || len(c.Out) == 0 {
				t.Errorf("%s: run %d has no leads", name, i)
			}
			end, start := c.Run[len(c.Run)-1].B, runs[1-i].Run[0].A
			// Half a kerf outside a circle the gap is as much wider as the circle.
			want := width + kerf
			if name == "round" {
				want = 2 * 9.5 * math.Sin((width+kerf)/9/2)
			}
			if d := end.Dist(start); math.Abs(d-want) > 1e-6 {
				t.Errorf("%s: the gap after run %d is %g mm, want %g", name, i, d, want)
			}
			// The tab: from one half kerf behind the end to one before the start.
			u := start.Sub(end).Unit()
			body := geom.Line(end.Add(u.Mul(kerf/2)), start.Sub(u.Mul(kerf/2)))
			if body.Length() < width-1e-6 {
				t.Errorf("%s: tab of %g mm", name, body.Length())
			}
			for _, c := range runs {
				for _, q := range c.Path().Flatten(1e-3) {
					if d := body.Dist(q); d < kerf/2-1e-6 {
						t.Fatalf("%s: a path comes to %g mm from a tab, at %v", name, d, q)
					}
				}
			}
		}
	}
}

// Holes narrower than the kerf, open outlines and lone paths are told, not cut.
func TestLeft(t *testing.T) {
	s := sheettest.Of(sheettest.Rect(0, 0, 40, 40), sheettest.Rect(10, 10, 10, 0.8), sheettest.Disc(30, 30, 5))
	s.Open = append(s.Open, outline.Open{Path: outline.Path{Pieces: geom.Path{geom.Line(geom.Pt(1, 1), geom.Pt(2, 2))}}, Part: 0})
	pl := New(s, Params{Kerf: 1})
	if len(pl.Cuts) != 2 || len(pl.Left) != 2 {
		t.Errorf("%d cuts, left %+v", len(pl.Cuts), pl.Left)
	}
}

// Where the waste leaves no room to pierce, that is told.
func TestNoRoom(t *testing.T) {
	// A ring of waste 2.2 mm wide about a nested part: too narrow for a lead that
	// keeps a kerf and the margin away from the part's own cut.
	s := sheettest.Of(sheettest.Rect(0, 0, 60, 60), sheettest.Disc(30, 30, 12.2), sheettest.Disc(30, 30, 10))
	pl := New(s, Params{Kerf: 1, Margin: 0.5})
	no := 0
	for i := range pl.Cuts {
		if pl.Cuts[i].NoRoom {
			no++
		}
	}
	if no != 2 {
		t.Errorf("%d cuts without room, want the hole and the part in it", no)
	}
}

// The demo has room for its leads.
func TestDemo(t *testing.T) {
	if _, err := os.Stat(filepath.FromSlash(demo)); err != nil {
		t.Skip(err)
	}
	s := drawn(t, demo)
	pl := New(s, Params{Kerf: 1, Lead: 3, Margin: 0.5})
	no := 0
	for i := range pl.Cuts {
		if pl.Cuts[i].NoRoom {
			no++
		}
	}
	t.Logf("%d outlines, %d cuts, %d left, %d without room, travel %.0f mm, %d moves over loose pieces",
		len(s.Outlines), len(pl.Cuts), len(pl.Left), no, pl.Travel, pl.Over)
	if no*20 > len(pl.Cuts) || len(pl.Left) > 0 && len(pl.Cuts) < 100 {
		t.Errorf("too many cuts without room: %d of %d", no, len(pl.Cuts))
	}
}

// The drawing shows every way of the head before the cut to which it leads, and which
// ways need a raised head.
func TestItemsShowWays(t *testing.T) {
	raised := 0
	for name, s := range testSheets(t) {
		pl := New(s, Params{Kerf: 1, Margin: 0.5})
		items := pl.Items(1)
		k := 0
		for i := range pl.Cuts {
			m := &pl.Moves[i]
			if m.Length() > 0 {
				it, want := &items[k], dxf.LayerWay
				if m.Over > 0 {
					want = dxf.LayerWayRaised
					raised++
				}
				if it.Layer != want || it.Path[0].A != m.Way[0] || it.Path[len(it.Path)-1].B != pl.Cuts[i].Start() || math.Abs(it.Path.Length()-m.Length()) > 1e-9 {
					t.Fatalf("%s: the way to cut %d is drawn on %s from %v", name, i+1, it.Layer, it.Path[0].A)
				}
				k++
			}
			if it := &items[k]; !strings.HasPrefix(it.Layer, "RUN-") || it.Path[0].A != pl.Cuts[i].Start() {
				t.Fatalf("%s: cut %d is drawn on %s", name, i+1, it.Layer)
			}
			k++
		}
		for ; k < len(items); k++ {
			if items[k].Layer != dxf.LayerNote {
				t.Fatalf("%s: %s behind the cuts", name, items[k].Layer)
			}
		}
		told := strings.Contains(fmt.Sprint(pl.about(1)), "raise the head")
		if told != (pl.Over > 0) {
			t.Errorf("%s: %d moves over loose pieces, told %v", name, pl.Over, told)
		}
	}
	if raised == 0 {
		t.Log("no way leads over a loose piece")
	}
}

// A drawing of paths can be written and read back: as many paths, in order, with
// their places.
func TestItemsCanBeWritten(t *testing.T) {
	for name, s := range testSheets(t) {
		pl := New(s, Params{Kerf: 1, Margin: 0.5})
		var b bytes.Buffer
		if err := dxf.Write(&b, &dxf.Output{Paths: true, Items: pl.Items(1), Factor: 1, InsUnits: 4}); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		d, err := dxf.Read(context.Background(), &b, dxf.Options{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if len(d.Points) != len(pl.Cuts) {
			t.Fatalf("%s: %d start points of %d cuts", name, len(d.Points), len(pl.Cuts))
		}
		for i := range d.Points {
			if got, want := d.Points[i].At, pl.Cuts[i].Start(); got.Dist(want) > 1e-6 {
				t.Fatalf("%s: start %d at %v, want %v", name, i, got, want)
			}
		}
		var length float64
		for i := range d.Strokes {
			if strings.HasPrefix(d.LayerName(d.Strokes[i].Layer), "RUN-") {
				length += d.Strokes[i].Length()
			}
		}
		etch, cut := pl.Length()
		if math.Abs(length-etch-cut) > 1e-3 {
			t.Errorf("%s: %g mm written, %g planned", name, length, etch+cut)
		}
	}
}

// What passes for room at a glance has room when paths are made.
func TestPlainRoomIsRoom(t *testing.T) {
	p := Params{Kerf: 1, Lead: 3, Margin: 0.5}
	plain := 0
	for name, s := range testSheets(t) {
		f := NewFinder(s, p)
		for i := range s.Outlines {
			if !f.plainRoom(i) {
				continue
			}
			plain++
			cuts, _ := f.cutsOf(i)
			ok := false
			for k := range cuts {
				ok = ok || !cuts[k].NoRoom
			}
			if !ok {
				t.Errorf("%s: outline %d has none", name, i)
			}
		}
	}
	if plain < 100 {
		t.Errorf("only %d outlines", plain)
	}
}

// The same sheet gives the same plan.
func TestPlanIsDeterministic(t *testing.T) {
	s := randomSheet(rand.New(rand.NewPCG(8, 9)), 4, 124)
	p := Params{Kerf: 1, Margin: 0.5, Small: 80}
	if d := cmp.Diff(New(s, p), New(s, p)); d != "" {
		t.Error(d)
	}
}
