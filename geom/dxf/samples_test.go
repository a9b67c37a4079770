package dxf

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
)

// sampleFigures are the sample drawings' entity counts, total length of what is
// drawn and extents in drawing units, got by hand with ezdxf 0.18 (recover,
// recursive_decompose, make_path flattened to 1e-4 units; DIMENSION, TEXT and
// POINT left out), and checked against GDAL 3.6 (ogrinfo -al -so), which agrees
// in counts and extents but for the drawing with dimensions, whose lines it
// counts too. ezdxf reads neither the binary twin of the zoo, whose figures are
// its twin's, nor slots-tabs-no-header (no subclass marks), whose counts and
// extents are GDAL's and whose length is not checked.
var sampleFigures = map[string]struct {
	counts string
	length float64
	box    [4]float64
}{
	"bare-no-header":                  {"CIRCLE 4 LINE 4", 334.7273, [4]float64{3.5719, -104.7750, 60.7219, -9.5250}},
	"case-sheet-old-polyline":         {"POLYLINE 24 SPLINE 21", 4385.3781, [4]float64{0.9650, -269.5181, 418.9647, -27.5208}},
	"closed-splines":                  {"LINE 4 SPLINE 6", 1200.1587, [4]float64{36.9321, 28.9866, 252.2102, 169.2522}},
	"cover-splines-duplicates-specks": {"LINE 77 SPLINE 568", 1632.1064, [4]float64{25, 103.5, 185, 193.5}},
	"entity-zoo-r12-ascii":            {"ARC 2 CIRCLE 1 LINE 10 POLYLINE 4", 48.9682, [4]float64{-3.7707, -7.3195, 2.3563, 3}},
	"entity-zoo-r12-binary":           {"ARC 2 CIRCLE 1 LINE 10 POLYLINE 4", 48.9682, [4]float64{-3.7707, -7.3195, 2.3563, 3}},
	"facets-odd-code-order":           {"LINE 1746", 1509.5604, [4]float64{-97, -84.004, 97, 84.004}},
	"kit-cut-holes-engrave-layers":    {"CIRCLE 36 DIMENSION 22 LWPOLYLINE 4 POINT 31 TEXT 5", 2684.7377, [4]float64{-205, -204, 205, 205}},
	"letters-in-blocks":               {"INSERT 29", 4499.5178, [4]float64{-0.0861, -176.8384, 213.0894, 93.9474}},
	"mixed-sheet-inches-dimensions":   {"ARC 90 CIRCLE 97 DIMENSION 2 LINE 112", 650.8333, [4]float64{0.0074, 0.6508, 46.9372, 46.0344}},
	"one-tabbed-outline":              {"LWPOLYLINE 1", 308, [4]float64{0, -60, 80, 0}},
	"panel-micro-gaps":                {"LINE 35 SPLINE 120", 1882.9371, [4]float64{-322.1860, 513.2200, 454.3374, 569.0438}},
	"plate-203-holes":                 {"CIRCLE 203 LWPOLYLINE 10", 6923.6133, [4]float64{-10, 0, 766.5239, 790}},
	"plates-all-in-blocks":            {"INSERT 10", 5273.4991, [4]float64{96.9971, 35.6382, 357.1111, 237.3607}},
	"sheet-metal-mirrored-bend-lines": {"CIRCLE 18 LINE 6 LWPOLYLINE 8", 5775.7543, [4]float64{0, 0, 490.5239, 392}},
	"slot-chute-eight-parts":          {"CIRCLE 3 LINE 312", 3471.0658, [4]float64{10.4154, 14.6952, 293.2815, 194.0387}},
	"slots-tabs-no-header":            {"LWPOLYLINE 23", 0, [4]float64{-167.1346, -37.5, 167.1346, 59.5}},
	"stack-addon-splines":             {"ARC 8 LINE 392 SPLINE 428", 12643.8955, [4]float64{-94.9950, -114.9880, 285.2049, 309.4306}},
	"stack-two-layers-duplicates":     {"ARC 1 ELLIPSE 110 LINE 569 SPLINE 588", 13344.4009, [4]float64{-62.1668, -144.2752, 318.0331, 282.9715}},
	"windows-micro-gaps":              {"ARC 44 LINE 294", 4331.2726, [4]float64{-7.7225, -149.9420, 277.9950, -41.7421}},
}

func TestSamples(t *testing.T) {
	paths := samplePaths(t)
	if len(paths) == 0 {
		t.Skip("no sample drawings here")
	}
	for _, p := range paths {
		name := strings.TrimSuffix(filepath.Base(p), ".dxf")
		t.Run(name, func(t *testing.T) {
			want, ok := sampleFigures[name]
			if !ok {
				t.Skip("no figures for this one")
			}
			d := readPath(t, p)
			if diff := cmp.Diff(want.counts, counts(d)); diff != "" {
				t.Error(diff)
			}
			if err := d.Resolve("", "", drawing.UnitHints{}, 0.02); err != nil {
				t.Fatal(err)
			}
			checkDrawing(t, d)
			f := d.Unit.Factor
			length := 0.0
			for i := range d.Strokes {
				length += d.Strokes[i].Length() / f
			}
			if want.length > 0 && abs(length-want.length) > 2e-4*want.length {
				t.Errorf("length %.4f, want %.4f", length, want.length)
			}
			b := d.Extents()
			got := [4]float64{b.Min.X / f, b.Min.Y / f, b.Max.X / f, b.Max.Y / f}
			for i := range got {
				if abs(got[i]-want.box[i]) > 0.02/f+1e-4 {
					t.Errorf("extents %.4f, want %.4f", got, want.box)
					break
				}
			}
			for _, e := range d.Problems {
				if e.Lost {
					t.Errorf("problem %+v", e)
				}
			}
		})
	}
}

func readPath(t *testing.T, path string) *drawing.Drawing {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	d, err := Read(context.Background(), f, Options{})
	if err != nil {
		t.Fatal(err)
	}
	checkDrawing(t, d)
	return d
}

func counts(d *drawing.Drawing) string {
	n := map[string]int{}
	for _, e := range d.Entities {
		n[e.Type]++
	}
	var s []string
	for k, v := range n {
		s = append(s, fmt.Sprintf("%s %d", k, v))
	}
	slices.Sort(s)
	return strings.Join(s, " ")
}

// The zoo in ASCII and in binary is one drawing.
func TestSampleTwins(t *testing.T) {
	var d [2]*drawing.Drawing
	for _, p := range samplePaths(t) {
		switch filepath.Base(p) {
		case "entity-zoo-r12-ascii.dxf":
			d[0] = readPath(t, p)
		case "entity-zoo-r12-binary.dxf":
			d[1] = readPath(t, p)
		}
	}
	if d[0] == nil || d[1] == nil {
		t.Skip("no sample drawings here")
	}
	samePieces(t, pieces(d[0]), pieces(d[1]))
}

// Every sample is written and read again with the same shapes, and the second
// writing gives the bytes of the first.
func TestSamplesWritten(t *testing.T) {
	for _, p := range samplePaths(t) {
		d := readPath(t, p)
		if err := d.Resolve("", "", drawing.UnitHints{}, 0.02); err != nil {
			t.Fatal(err)
		}
		out := &Output{Factor: d.Unit.Factor, InsUnits: d.Unit.InsUnits(), Imperial: d.Unit.Imperial()}
		for _, s := range d.Strokes {
			out.Items = append(out.Items, Item{Layer: LayerOutside, Path: geom.Path{s.Piece}})
		}
		first := writeBytes(t, out)
		again := readMM(t, first)
		if a, b := d.Extents(), again.Extents(); !(a.Min.Dist(b.Min) < 1e-6 && a.Max.Dist(b.Max) < 1e-6) {
			t.Errorf("%s: extents %v, then %v", p, a, b)
		}
		second := writeBytes(t, &Output{Items: back(again), Factor: out.Factor, InsUnits: out.InsUnits, Imperial: out.Imperial})
		if string(first) != string(second) {
			t.Errorf("%s: written twice, not the same bytes", filepath.Base(p))
		}
	}
}
