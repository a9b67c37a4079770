package paths

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"testing"

	"sluice/fix/tab/sheettest"
	"sluice/geom"
	"sluice/geom/geomtest"
)

// Steiner's formula for a convex region: A' = A + P d + pi d^2 and P' = P + 2 pi d
// (exact; values computed from it). Inward the corners are trimmed.
func TestOffsetAgainstSteiner(t *testing.T) {
	tri := sheettest.Poly(0, 0, 4, 0, 0, 3)
	tests := []struct {
		name         string
		path         geom.Path
		d            float64
		area, length float64 // 0: nothing left
	}{
		{"square out", sheettest.Rect(0, 0, 10, 10), 0.5, 120.785398163, 43.141592654},
		{"rectangle out", sheettest.Rect(0, 0, 100, 50), 0.5, 5150.785398163, 303.141592654},
		{"triangle out", tri, 1, 21.141592654, 18.283185307},
		{"square in", sheettest.Rect(0, 0, 10, 10).Reverse(), 0.5, 81, 36},
		{"triangle in by its inradius", tri.Reverse(), 1, 0, 0},
		{"triangle in by half of it", tri.Reverse(), 0.5, 1.5, 6},
		{"circle out", sheettest.Disc(3, 4, 5), 0.5, math.Pi * 5.5 * 5.5, 2 * math.Pi * 5.5},
		{"circle in", sheettest.Disc(3, 4, 5).Reverse(), 0.5, math.Pi * 4.5 * 4.5, 2 * math.Pi * 4.5},
		{"circle in by its radius", sheettest.Disc(3, 4, 5).Reverse(), 5, 0, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for k := range tt.path { // wherever it starts
				for _, far := range []float64{0, 3000} {
					p := sheettest.Turned(tt.path, k).Transform(geom.Turn(geom.Point{}, 0.3).Then(geom.Shift(geom.Pt(far, -far))))
					loops, ok := Offset(p, tt.d)
					if !ok {
						t.Fatal("not traced")
					}
					var area, length float64
					for _, l := range loops {
						area += math.Abs(l.Area())
						length += l.Length()
						checkClosed(t, l)
					}
					if math.Abs(area-tt.area) > 1e-6*(1+tt.area) || math.Abs(length-tt.length) > 1e-6*(1+tt.length) {
						t.Fatalf("area %.9f, length %.9f; want %.9f, %.9f", area, length, tt.area, tt.length)
					}
				}
			}
		})
	}
}

// A keyhole whose neck is narrower than the kerf: the path passes the mouth and
// a second one runs around the pocket.
func TestOffsetPocket(t *testing.T) {
	p := sheettest.Poly(0, 0, 40, 0, 40, 30, 20.4, 30, 20.4, 20, 30, 20, 30, 10, 10, 10, 10, 20, 19.6, 20, 19.6, 30, 0, 30)
	loops, ok := Offset(p, 0.5)
	if !ok || len(loops) != 2 {
		t.Fatalf("%d loops, %v", len(loops), ok)
	}
	if a := loops[1].Area(); a >= 0 || math.Abs(-a-19*9) > 1 {
		t.Errorf("pocket of %g mm2, want about -171", a)
	}
	// A dumbbell hole falls into two.
	bell := sheettest.Poly(0, 0, 10, 0, 10, 4.8, 20, 4.8, 20, 0, 30, 0, 30, 10, 20, 10, 20, 5.2, 10, 5.2, 10, 10, 0, 10).Reverse()
	if loops, ok = Offset(bell, 0.5); !ok || len(loops) != 2 {
		t.Errorf("dumbbell: %d loops, %v", len(loops), ok)
	}
}

// Edges that are all but straight, arcs of hundreds of metres as files hold
// them, are set off as well as others.
func TestOffsetFlatArcs(t *testing.T) {
	for _, bulge := range []float64{-1e-3, -7e-6, -1e-8, 1e-8, 7e-6, 1e-3} {
		for _, r := range []float64{0.6, 1.83} {
			p := geom.Path{
				geom.Bulge(geom.Pt(0, 0), geom.Pt(40, 0), bulge), geom.Bulge(geom.Pt(40, 0), geom.Pt(40, 25), bulge),
				geom.Bulge(geom.Pt(40, 25), geom.Pt(20+r, 24.9), bulge), geom.Bulge(geom.Pt(20+r, 24.9), geom.Pt(20-r, 24.9), -0.9),
				geom.Bulge(geom.Pt(20-r, 24.9), geom.Pt(0, 25), bulge), geom.Bulge(geom.Pt(0, 25), geom.Pt(0, 0), bulge),
			}
			loops, ok := Offset(p, 0.5)
			if !ok || len(loops) != 1 {
				t.Fatalf("bulge %g, radius %g: %d loops, %v", bulge, r, len(loops), ok)
			}
			checkClosed(t, loops[0])
			for i := range loops[0] {
				if d, _ := p.Dist(loops[0][i].Mid()); math.Abs(d-0.5) > 1e-5 {
					t.Errorf("bulge %g, radius %g: a point is %g away", bulge, r, d)
				}
			}
		}
	}
}

func checkClosed(t *testing.T, p geom.Path) {
	t.Helper()
	for i := range p {
		if d := p[i].B.Dist(p[(i+1)%len(p)].A); d > 1e-9 {
			t.Errorf("piece %d ends %g mm from the next", i, d)
		}
	}
}

// The offset paths of random parts lie at the distance asked for: sampled
// points of the path are no nearer, and everything at that distance that is
// free of the outline lies on the path.
func TestOffsetDistance(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	for range 60 {
		outer, holes := geomtest.RandomPart(rng)
		for _, p := range append([]geom.Path{outer}, holes...) {
			for _, d := range []float64{0.2, 0.5, 0.8} {
				loops, ok := Offset(p, d)
				if !ok {
					t.Fatalf("not traced at %g", d)
				}
				var all geom.Path
				for _, l := range loops {
					checkClosed(t, l)
					all = append(all, l...)
					for i := range l {
						for s := range 5 {
							if got, _ := p.Dist(l[i].At(float64(s) / 5)); math.Abs(got-d) > 2e-6 {
								t.Fatalf("a point of the offset by %g is %g away", d, got)
							}
						}
					}
				}
				for i := range p {
					for s := range 7 {
						f := (float64(s) + 0.5) / 7
						q := p[i].At(f).Add(rightOf(p[i].TangentAt(f)).Mul(d))
						if got, _ := p.Dist(q); got < d-1e-6 {
							continue // within reach of another side
						}
						if got, _ := all.Dist(q); got > 1e-5 {
							t.Fatalf("the offset by %g misses %v by %g", d, q, got)
						}
					}
				}
			}
		}
	}
}

// python is the interpreter that has GEOS through shapely on Debian.
const python = "/usr/bin/python3"

// flatness is the chord error (mm) with which shapes go to GEOS.
const flatness = 2e-4

func ring(p geom.Path) [][2]float64 {
	var out [][2]float64
	for _, q := range p.Flatten(flatness) {
		out = append(out, [2]float64{q.X, q.Y})
	}
	return out
}

// TestOffsetAgainstGEOS compares offsets of random parts with buffers of their
// flattened outlines in GEOS: nowhere are the two regions further apart than
// the flattening errors of both. SLUICE_PARTS sets how many parts.
func TestOffsetAgainstGEOS(t *testing.T) {
	if err := exec.Command(python, "-c", "import shapely").Run(); err != nil {
		t.Skip("no python3 with shapely")
	}
	parts := 500
	if testing.Short() {
		parts = 60
	}
	if v := os.Getenv("SLUICE_PARTS"); v != "" {
		var err error
		if parts, err = strconv.Atoi(v); err != nil {
			t.Fatal(err)
		}
	}
	type outlineCase struct {
		Path  [][2]float64   `json:"path"`
		D     float64        `json:"d"`
		Loops [][][2]float64 `json:"loops"`
	}
	rng := rand.New(rand.NewPCG(8, 2))
	var cases []outlineCase
	for range parts {
		outer, holes := geomtest.RandomPart(rng)
		d := 0.2 + 0.6*rng.Float64()
		for _, p := range append([]geom.Path{outer}, holes...) {
			loops, ok := Offset(p, d)
			if !ok {
				t.Fatal("not traced")
			}
			c := outlineCase{Path: ring(p), D: d, Loops: [][][2]float64{}}
			if p.Area() < 0 {
				c.D = -d
			}
			for _, l := range loops {
				c.Loops = append(c.Loops, ring(l))
			}
			cases = append(cases, c)
		}
	}
	in, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "-c", offsetScript, strconv.FormatFloat(2*flatness+2e-4, 'g', -1, 64))
	cmd.Stdin = bytes.NewReader(in)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if len(bytes.TrimSpace(out)) > 0 {
		t.Errorf("regions differ:\n%s", out)
	}
	t.Logf("%d outlines of %d parts", len(cases), parts)
}

// offsetScript tells the cases whose symmetric difference with GEOS's buffer
// holds a disc of half the bound.
const offsetScript = `
import json, sys
from shapely.geometry import Polygon
bound = float(sys.argv[1])
for n, c in enumerate(json.load(sys.stdin)):
    want = Polygon(c["path"]).buffer(c["d"], resolution=32)
    got = Polygon()
    for l in c["loops"]:
        got = got.symmetric_difference(Polygon(l).buffer(0))
    off = want.symmetric_difference(got).buffer(-bound / 2)
    if not off.is_empty and off.area > 0:
        print(n, c["d"], off.area, list(off.representative_point().coords))
`
