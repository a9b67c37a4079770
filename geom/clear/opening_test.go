package clear

import (
	"bytes"
	"context"
	"encoding/json"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"testing"

	"sluice/geom"
	"sluice/geom/geomtest"
)

// python is the interpreter that has GEOS through shapely on Debian.
const python = "/usr/bin/python3"

func partRings(outer geom.Path, holes []geom.Path) []Ring {
	rings := []Ring{{Path: outer, Box: outer.Box()}}
	for _, h := range holes {
		rings = append(rings, Ring{Path: h, Box: h.Box()})
	}
	return rings
}

// partCount returns how many random parts to try: usual, unless SLUICE_PARTS
// asks for another number.
func partCount(t *testing.T, usual int) int {
	t.Helper()
	v := os.Getenv("SLUICE_PARTS")
	if v == "" {
		return usual
	}
	n, err := strconv.Atoi(v)
	if err != nil {
		t.Fatalf("SLUICE_PARTS: %v", err)
	}
	return n
}

// TestOpening compares the runs of random parts with lines and arcs with
// opening by erosion and dilation in GEOS. SLUICE_PARTS sets how many.
func TestOpening(t *testing.T) {
	if err := exec.Command(python, "-c", "import shapely").Run(); err != nil {
		t.Skip("no python3 with shapely")
	}
	parts := partCount(t, 12)
	rng := rand.New(rand.NewPCG(3, 1))
	type place struct {
		A, B  [2]float64
		Width float64
		Box   [4]float64
	}
	var in bytes.Buffer
	enc := json.NewEncoder(&in)
	var found int
	for range parts {
		outer, holes := geomtest.RandomPart(rng)
		rings := partRings(outer, holes)
		var pts [][][2]float64
		for _, r := range rings {
			var ring [][2]float64
			for _, p := range r.Flatten(2e-4) {
				ring = append(ring, [2]float64{p.X, p.Y})
			}
			pts = append(pts, ring)
		}
		for side, limit := range []float64{Waste: 1, Material: 1.5} {
			got, err := Narrows(context.Background(), rings, Side(side), limit)
			if err != nil {
				t.Fatal(err)
			}
			found += len(got)
			places := []place{}
			for _, n := range got {
				places = append(places, place{
					[2]float64{n.A.X, n.A.Y}, [2]float64{n.B.X, n.B.Y}, n.Width,
					[4]float64{n.Box.Min.X, n.Box.Min.Y, n.Box.Max.X, n.Box.Max.Y},
				})
			}
			name := "waste"
			if Side(side) == Material {
				name = "material"
			}
			if err := enc.Encode(map[string]any{"rings": pts, "side": name, "limit": limit, "narrow": places}); err != nil {
				t.Fatal(err)
			}
		}
	}
	if found < parts/2 {
		t.Errorf("only %d narrow places in %d parts: the parts test nothing", found, parts)
	}
	if keep := os.Getenv("SLUICE_KEEP"); keep != "" {
		if err := os.WriteFile(keep, in.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command(python, "testdata/opening.py")
	cmd.Stdin = &in
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if len(out) > 0 {
		t.Errorf("GEOS disagrees:\n%s", out)
	}
}
