package outline

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/geomtest"
)

// needOutside skips a test whose outside reference is not installed, unless the
// environment says that it must be (as it does in continuous integration).
func needOutside(t *testing.T, args ...string) {
	t.Helper()
	if err := exec.Command(args[0], args[1:]...).Run(); err != nil {
		if os.Getenv("SLUICE_OUTSIDE") != "" {
			t.Fatalf("%v must be installed: %v", args, err)
		}
		t.Skipf("%v is not installed", args)
	}
}

const python = "/usr/bin/python3"

// geosScript reads rings of flattened points and prints what GEOS (through
// Shapely) makes of each part: area, length, centroid, validity, and which part
// of the sheet holds it.
const geosScript = `
import json, sys
from shapely.geometry import Polygon, Point
parts = json.load(open(sys.argv[1]))
out = []
polys = [Polygon(p["outer"], p["holes"]) for p in parts]
for p in polys:
    out.append({"area": p.area, "length": p.length, "cx": p.centroid.x, "cy": p.centroid.y, "valid": p.is_valid})
json.dump(out, open(sys.argv[2], "w"))
`

type ringJSON struct {
	Outer [][2]float64   `json:"outer"`
	Holes [][][2]float64 `json:"holes"`
}

// TestAgainstGEOS compares areas, lengths and centroids of random parts with
// arcs with GEOS (Debian's python3-shapely). Arcs are flattened for GEOS so
// finely that the chord error (sagitta 1e-7 mm) stays far below the 1e-6 asked.
func TestAgainstGEOS(t *testing.T) {
	needOutside(t, python, "-c", "import shapely")
	const flat = 1e-7
	rng := rand.New(rand.NewPCG(7, 11))
	var strokes []drawing.Stroke
	const n = 60
	for i := range n {
		outer, holes := geomtest.RandomPart(rng)
		b := outer.Box()
		at := geomtest.Grid(n, i, 400).Sub(b.Min).Add(geom.Pt(1e4, -2e4))
		for _, ring := range append([]geom.Path{outer}, holes...) {
			for _, p := range ring.Transform(geom.Shift(at)) {
				strokes = append(strokes, drawing.Stroke{Piece: p})
			}
		}
	}
	rng.Shuffle(len(strokes), func(i, j int) { strokes[i], strokes[j] = strokes[j], strokes[i] })
	s := build(t, strokes)
	if len(s.Parts) != n {
		t.Fatalf("%d parts, want %d", len(s.Parts), n)
	}
	pts := func(o int32) (out [][2]float64) {
		for _, p := range s.Outlines[o].Pieces.Flatten(flat) {
			out = append(out, [2]float64{p.X, p.Y})
		}
		return out
	}
	var rings []ringJSON
	for _, p := range s.Parts {
		r := ringJSON{Outer: pts(p.Outer), Holes: [][][2]float64{}}
		for _, h := range p.Holes {
			r.Holes = append(r.Holes, pts(h))
		}
		rings = append(rings, r)
	}
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.json"), filepath.Join(dir, "out.json")
	data, err := json.Marshal(rings)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(in, data, 0o644); err != nil {
		t.Fatal(err)
	}
	if msg, err := exec.Command(python, "-c", geosScript, in, out).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, msg)
	}
	var got []struct {
		Area, Length, Cx, Cy float64
		Valid                bool
	}
	if data, err = os.ReadFile(out); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	rel := func(a, b float64) float64 { return math.Abs(a-b) / max(math.Abs(a), math.Abs(b), 1) }
	for k, g := range got {
		p := &s.Parts[k]
		length := s.Outlines[p.Outer].Length
		for _, h := range p.Holes {
			length += s.Outlines[h].Length
		}
		if !g.Valid {
			t.Errorf("part %d: GEOS calls it invalid", k)
		}
		if rel(p.Area, g.Area) > 1e-6 || rel(length, g.Length) > 1e-6 || rel(p.Centroid.X, g.Cx) > 1e-6 || rel(p.Centroid.Y, g.Cy) > 1e-6 {
			t.Errorf("part %d: area %v, length %v, centroid %v; GEOS %+v", k, p.Area, length, p.Centroid, g)
		}
	}
}
