package dxf_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sluice/fixtures/gen/crane"
	"sluice/fixtures/gen/draw"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/geomtest"
)

// figures are what readers are compared by, lengths in drawing units.
type figures struct {
	Types  map[string]int `json:"types"` // entities read, by type
	Length float64        `json:"length"`
	Box    [4]float64     `json:"box"` // xmin, ymin, xmax, ymax
	Error  string         `json:"error"`
}

// outside skips where a reference program is missing, unless the environment
// says that it must be there (as it does in continuous integration).
func outside(t *testing.T, args ...string) {
	t.Helper()
	if err := exec.Command(args[0], args[1:]...).Run(); err != nil {
		if os.Getenv("SLUICE_OUTSIDE") != "" {
			t.Fatalf("%v must be installed: %v", args, err)
		}
		t.Skipf("%v is not installed", args)
	}
}

// comparedFiles returns the drawings that readers are compared on by name: the
// odd ones of testdata/reading, the demo kit in every form, and the samples
// where they are at hand.
func comparedFiles(t *testing.T) map[string]string {
	t.Helper()
	files := map[string]string{}
	samples := os.Getenv("SLUICE_SAMPLES")
	if samples == "" {
		samples = "../../../shared/samples"
	}
	for prefix, dir := range map[string]string{"": "../../testdata/reading", "demo/": "../../fixtures", "sample/": samples} {
		names, err := filepath.Glob(filepath.Join(dir, "*.dxf"))
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range names {
			files[prefix+filepath.Base(n)] = n
		}
	}
	tmp := geomtest.Folder(t)
	add := func(name string, data []byte, err error) {
		path := filepath.Join(tmp, strings.ReplaceAll(name, "/", "-"))
		if err == nil {
			err = os.WriteFile(path, data, 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
		files[name] = path
	}
	for form, name := range map[crane.Form]string{crane.Mixed: "mixed", crane.Loose: "loose", crane.Polylines: "lwpolyline",
		crane.OldPolylines: "polyline", crane.Blocks: "blocks", crane.ScaledBlocks: "blocks-scaled", crane.Rows: "rows"} {
		var b, bare bytes.Buffer
		d := crane.Flawed().Drawing(form)
		err := d.Write(&b)
		add("kit/"+name+".dxf", b.Bytes(), err)
		if form != crane.Polylines {
			continue
		}
		add("kit/crlf.dxf", bytes.ReplaceAll(b.Bytes(), []byte("\n"), []byte("\r\n")), nil)
		add("kit/bom.dxf", append([]byte("\xef\xbb\xbf"), b.Bytes()...), nil)
		bin, err := draw.Binary(b.Bytes(), false)
		add("kit/binary.dxf", bin, err)
		err = d.WriteBare(&bare)
		_, entities, _ := strings.Cut(bare.String(), "0\nSECTION\n2\nENTITIES\n")
		add("kit/entities-alone.dxf", []byte("0\nSECTION\n2\nENTITIES\n"+entities), err)
		bare.Reset()
		err = crane.Flawed().Drawing(crane.OldPolylines).WriteBare(&bare)
		if err == nil {
			bin, err = draw.Binary(bytes.Replace(bare.Bytes(), []byte("AC1015"), []byte("AC1009"), 1), true)
		}
		add("kit/binary-before-r13.dxf", bin, err)
	}
	return files
}

// ours returns the figures of this reader.
func ours(t *testing.T, path string) figures {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	d, err := dxf.Read(t.Context(), f, dxf.Options{HatchOutlines: filepath.Base(path) == "solids.dxf"}) // the others draw fills
	if err == nil {
		err = d.Resolve("", "", drawing.UnitHints{}, 1e-3)
	}
	if err != nil {
		return figures{Error: err.Error()}
	}
	g := figures{Types: map[string]int{}}
	for i := range d.Entities {
		g.Types[d.Entities[i].Type]++
	}
	u := d.Unit.Factor
	for i := range d.Strokes {
		g.Length += d.Strokes[i].Length() / u
	}
	if b := d.Extents(); !b.Empty() {
		g.Box = [4]float64{b.Min.X / u, b.Min.Y / u, b.Max.X / u, b.Max.Y / u}
	}
	return g
}

const ezdxfScript = `
import json, sys, math
import ezdxf
from ezdxf import recover, disassemble, path
skip = {"TEXT", "MTEXT", "ATTRIB", "ATTDEF", "POINT", "DIMENSION", "LEADER", "HATCH", "IMAGE", "WIPEOUT", "RAY", "XLINE", "VIEWPORT",
        "REGION", "3DSOLID", "BODY", "OLE2FRAME", "ACAD_PROXY_ENTITY", "MULTILEADER"}
out = {}
for name in sys.argv[2:]:
    try:
        binary = open(name, "rb").read(18) == b"AutoCAD Binary DXF"
        doc = ezdxf.readfile(name) if binary else recover.readfile(name)[0]
        res = {"types": {}, "length": 0.0}
        lo, hi = [math.inf, math.inf], [-math.inf, -math.inf]
        spaces = [doc.modelspace()] + [l for l in doc.layouts if l.name != "Model"]
        for s in spaces:
            for e in s:
                res["types"][e.dxftype()] = res["types"].get(e.dxftype(), 0) + 1
        src = next((list(s) for s in spaces if len(s)), [])
        off = lambda e: e.dxf.layer in doc.layers and (doc.layers.get(e.dxf.layer).is_off() or doc.layers.get(e.dxf.layer).is_frozen()) or e.dxf.get("invisible", 0)
        src = [e for e in src if e.dxftype() not in skip and not off(e)]
        for e in disassemble.recursive_decompose(src):
            if e.dxftype() in skip or off(e):
                continue
            if e.dxftype() == "LWPOLYLINE":
                e.dxf.discard("const_width")  # the centre line counts
            try:
                p = path.make_path(e)
            except TypeError:
                p = None
            pts = []
            if p is not None and len(p):
                pts = [(v.x, v.y) for v in p.flattening(1e-3, 32)]
            elif e.dxftype() in ("SOLID", "TRACE", "3DFACE"):
                pts = [(v.x, v.y) for v in e.wcs_vertices()]
                pts.append(pts[0])
            for a, b in zip(pts, pts[1:]):
                res["length"] += math.hypot(a[0] - b[0], a[1] - b[1])
            for q in pts:
                for i in (0, 1):
                    lo[i], hi[i] = min(lo[i], q[i]), max(hi[i], q[i])
        res["box"] = lo + hi if lo[0] <= hi[0] else [0, 0, 0, 0]
    except Exception as e:
        res = {"error": type(e).__name__ + ": " + str(e)}
    out[name] = res
json.dump(out, open(sys.argv[1], "w"))
`

func byEzdxf(t *testing.T, files map[string]string) map[string]figures {
	outside(t, "/usr/bin/python3", "-c", "import ezdxf")
	res := filepath.Join(geomtest.Folder(t), "out.json")
	args := []string{"-c", ezdxfScript, res}
	for _, p := range files {
		args = append(args, p)
	}
	if msg, err := exec.Command("/usr/bin/python3", args...).CombinedOutput(); err != nil {
		t.Fatalf("ezdxf: %v\n%s", err, msg)
	}
	data, err := os.ReadFile(res)
	if err != nil {
		t.Fatal(err)
	}
	byPath := map[string]figures{}
	if err := json.Unmarshal(data, &byPath); err != nil {
		t.Fatal(err)
	}
	return byPath
}

// byGDAL has GDAL turn a drawing into GeoJSON, arcs in steps of a
// degree, and adds up its lines.
func byGDAL(t *testing.T, path string) figures {
	cmd := exec.Command("ogr2ogr", "-f", "GeoJSON", "/vsistdout/", path, "entities", "-lco", "COORDINATE_PRECISION=10")
	cmd.Env = append(os.Environ(), "OGR_ARC_STEPSIZE=1", "DXF_MERGE_BLOCK_GEOMETRIES=TRUE", "DXF_INLINE_BLOCKS=TRUE")
	data, err := cmd.Output()
	if err != nil {
		return figures{Error: err.Error()}
	}
	var fc struct {
		Features []struct {
			Properties struct {
				SubClasses, Layer string
			}
			Geometry geometry
		}
	}
	if err := json.Unmarshal(data, &fc); err != nil {
		return figures{Error: err.Error()}
	}
	g := figures{Types: map[string]int{}, Box: [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}}
	for _, f := range fc.Features {
		if strings.Contains(f.Properties.SubClasses, "AcDbHatch") || f.Properties.Layer == crane.Old {
			continue // GDAL draws hatches, and what is on frozen layers
		}
		f.Geometry.add(&g)
	}
	if math.IsInf(g.Box[0], 0) {
		g.Box = [4]float64{}
	}
	return g
}

type geometry struct {
	Type        string
	Coordinates json.RawMessage
	Geometries  []geometry
}

func (g *geometry) add(f *figures) {
	line := func(pts [][]float64) {
		for i, p := range pts {
			f.Box = [4]float64{min(f.Box[0], p[0]), min(f.Box[1], p[1]), max(f.Box[2], p[0]), max(f.Box[3], p[1])}
			if i > 0 {
				f.Length += geom.Pt(p[0], p[1]).Dist(geom.Pt(pts[i-1][0], pts[i-1][1]))
			}
		}
	}
	var one [][]float64
	var many [][][]float64
	var polys [][][][]float64
	switch g.Type {
	case "LineString":
		json.Unmarshal(g.Coordinates, &one)
		line(one)
	case "MultiLineString", "Polygon":
		json.Unmarshal(g.Coordinates, &many)
	case "MultiPolygon":
		json.Unmarshal(g.Coordinates, &polys)
	}
	for _, p := range polys {
		many = append(many, p...)
	}
	for _, l := range many {
		line(l)
	}
	for i := range g.Geometries {
		g.Geometries[i].add(f)
	}
}

// differ compares figures; types only where both count them. tol is the share
// by which lengths and extents may differ.
func differ(a, b figures, tol float64) map[string]string {
	out := map[string]string{}
	if b.Error != "" || a.Error != "" {
		if (a.Error != "") != (b.Error != "") {
			out["read"] = fmt.Sprintf("%q, %q", a.Error, b.Error)
		}
		return out
	}
	if len(b.Types) > 0 {
		if x, y := typeList(a.Types), typeList(b.Types); x != y {
			out["types"] = x + "; " + y
		}
	}
	if d := math.Abs(a.Length - b.Length); d > tol*max(a.Length, b.Length) {
		out["length"] = fmt.Sprintf("%.4f, %.4f", a.Length, b.Length)
	}
	size := max(a.Box[2]-a.Box[0], a.Box[3]-a.Box[1], b.Box[2]-b.Box[0], b.Box[3]-b.Box[1])
	for i := range a.Box {
		if math.Abs(a.Box[i]-b.Box[i]) > tol*size {
			out["extents"] = fmt.Sprintf("%.4f, %.4f", a.Box, b.Box)
		}
	}
	return out
}

func typeList(n map[string]int) string {
	var s []string
	for k, v := range n {
		s = append(s, fmt.Sprintf("%s %d", k, v))
	}
	slices.Sort(s)
	return strings.Join(s, " ")
}

// explained reads testdata/reading/differences.txt: "reader file figure: why".
func explained(t *testing.T) map[string]string {
	t.Helper()
	data, err := os.ReadFile("../../testdata/reading/differences.txt")
	if err != nil {
		t.Fatal(err)
	}
	why := map[string]string{}
	for _, l := range strings.Split(string(data), "\n") {
		if k, v, ok := strings.Cut(l, ": "); ok && !strings.HasPrefix(l, "#") {
			why[k] = v
		}
	}
	return why
}

// compare fails on every difference that is not explained, and on every
// explanation of a difference that is none any more.
func compare(t *testing.T, reader string, files map[string]string, theirs func(path string) figures, tol float64) {
	t.Helper()
	why := explained(t)
	for name, path := range files {
		d := differ(ours(t, path), theirs(path), tol)
		for _, what := range []string{"read", "types", "length", "extents"} {
			key := reader + " " + name + " " + what
			if got, is := d[what]; is && why[key] == "" {
				t.Errorf("%s: ours, theirs: %s", key, got)
			} else if !is && why[key] != "" {
				t.Errorf("%s: explained, but there is no difference", key)
			}
		}
	}
}

func TestAgainstEzdxf(t *testing.T) {
	files := comparedFiles(t)
	byPath := byEzdxf(t, files)
	compare(t, "ezdxf", files, func(p string) figures { return byPath[p] }, 2e-4)
}

func TestAgainstGDAL(t *testing.T) {
	outside(t, "ogr2ogr", "--version")
	compare(t, "gdal", comparedFiles(t), func(p string) figures { return byGDAL(t, p) }, 5e-4)
}
