package mend_test

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"github.com/yofu/dxf"
	ydrawing "github.com/yofu/dxf/drawing"
	"github.com/yofu/dxf/entity"

	"sluice/geom"
	"sluice/lint/job"
)

const python = "/usr/bin/python3"

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

// corrected writes the corrected drawings of the demo, and of the samples where
// they are at hand, into a folder.
func corrected(t *testing.T) map[string]geom.Box {
	t.Helper()
	files := []string{filepath.Join(fixtures, "harbour-crane.dxf"), filepath.Join(fixtures, "harbour-crane-clean.dxf")}
	dir := os.Getenv("SLUICE_SAMPLES")
	if dir == "" {
		dir = "../../../shared/samples"
	}
	more, _ := filepath.Glob(filepath.Join(dir, "*.dxf"))
	out := map[string]geom.Box{}
	tmp := t.TempDir()
	for _, f := range append(files, more...) {
		rep, data := repair(t, f, readFile(t, f), job.Default())
		name := filepath.Join(tmp, filepath.Base(f))
		if err := os.WriteFile(name, data, 0o644); err != nil {
			t.Fatal(err)
		}
		b := rep.After.Extents
		u := rep.After.Drawing.Unit.Factor
		out[name] = geom.Box{Min: b.Min.Mul(1 / u), Max: b.Max.Mul(1 / u)}
	}
	return out
}

const ezdxfScript = `
import json, sys, ezdxf
from ezdxf import bbox
res = {}
for name in sys.argv[2:]:
    doc = ezdxf.readfile(name)
    audit = doc.audit()
    msp = doc.modelspace()
    shapes = [e for e in msp if e.dxftype() not in ("TEXT", "POINT")]
    ext = bbox.extents(shapes, flatten=1e-5)
    res[name] = {"errors": [str(e.message) for e in audit.errors], "count": len(msp),
                 "min": [ext.extmin.x, ext.extmin.y], "max": [ext.extmax.x, ext.extmax.y],
                 "kinds": sorted(set(e.dxftype() for e in msp)), "units": doc.header.get("$INSUNITS", -1)}
json.dump(res, open(sys.argv[1], "w"))
`

// TestReadByEzdxf has ezdxf (Debian's python3-ezdxf) audit every corrected
// drawing, and compares counts and extents with ours.
func TestReadByEzdxf(t *testing.T) {
	outside(t, python, "-c", "import ezdxf")
	files := corrected(t)
	report := filepath.Join(t.TempDir(), "report.json")
	args := []string{"-c", ezdxfScript, report}
	for name := range files {
		args = append(args, name)
	}
	if msg, err := exec.Command(python, args...).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, msg)
	}
	var got map[string]struct {
		Errors   []string
		Count    int
		Min, Max [2]float64
		Kinds    []string
		Units    int
	}
	if err := json.Unmarshal(readFile(t, report), &got); err != nil {
		t.Fatal(err)
	}
	allowed := map[string]bool{"LINE": true, "ARC": true, "CIRCLE": true, "LWPOLYLINE": true, "TEXT": true, "POINT": true}
	for name, want := range files {
		g := got[name]
		if len(g.Errors) > 0 {
			t.Errorf("%s: audit: %v", filepath.Base(name), g.Errors)
		}
		if n := countEntities(readFile(t, name)); n != g.Count {
			t.Errorf("%s: %d entities, ezdxf %d", filepath.Base(name), n, g.Count)
		}
		for _, k := range g.Kinds {
			if !allowed[k] {
				t.Errorf("%s: %s in a corrected drawing", filepath.Base(name), k)
			}
		}
		if g.Units <= 0 {
			t.Errorf("%s: no unit stated", filepath.Base(name))
		}
		near(t, name, want, g.Min, g.Max, 1e-4)
	}
}

// countEntities counts the group-0 records between ENTITIES and its ENDSEC.
func countEntities(data []byte) int {
	_, rest, _ := bytes.Cut(data, []byte("\nENTITIES\n"))
	body, _, _ := bytes.Cut(rest, []byte("\nENDSEC"))
	lines := bytes.Split(body, []byte("\n"))
	n := 0
	for i := 0; i+1 < len(lines); i += 2 {
		if string(bytes.TrimSpace(lines[i])) == "0" {
			n++
		}
	}
	return n
}

func near(t *testing.T, name string, want geom.Box, lo, hi [2]float64, tol float64) {
	t.Helper()
	for _, d := range []float64{want.Min.X - lo[0], want.Min.Y - lo[1], want.Max.X - hi[0], want.Max.Y - hi[1]} {
		if math.Abs(d) > tol*max(1, want.Diagonal()/100) {
			t.Errorf("%s: extents %v, outside %v %v", filepath.Base(name), want, lo, hi)
			return
		}
	}
}

var (
	featureCount = regexp.MustCompile(`Feature Count: (\d+)`)
	extentLine   = regexp.MustCompile(`Extent: \(([-\d.e+]+), ([-\d.e+]+)\) - \(([-\d.e+]+), ([-\d.e+]+)\)`)
)

// TestReadByGDAL has GDAL's ogrinfo (Debian's gdal-bin) read every corrected
// drawing. GDAL draws arcs as chords, so extents are compared loosely.
func TestReadByGDAL(t *testing.T) {
	outside(t, "ogrinfo", "--version")
	for name, want := range corrected(t) {
		msg, err := exec.Command("ogrinfo", "-ro", "-al", "-so", name).CombinedOutput()
		if err != nil {
			t.Errorf("%s: %v\n%s", filepath.Base(name), err, msg)
			continue
		}
		m := featureCount.FindSubmatch(msg)
		if m == nil {
			t.Errorf("%s: no feature count in\n%s", filepath.Base(name), msg)
			continue
		}
		n, _ := strconv.Atoi(string(m[1]))
		if c := countEntities(readFile(t, name)); c != n {
			t.Errorf("%s: %d entities, GDAL %d", filepath.Base(name), c, n)
		}
		e := extentLine.FindSubmatch(msg)
		if e == nil {
			t.Errorf("%s: no extent", filepath.Base(name))
			continue
		}
		var v [4]float64
		for i := range v {
			v[i], _ = strconv.ParseFloat(string(e[i+1]), 64)
		}
		// Notes may lie outside what is drawn: GDAL must cover us, no more is asked.
		const slack = 0.05
		if v[0] > want.Min.X+slack || v[1] > want.Min.Y+slack || v[2] < want.Max.X-slack || v[3] < want.Max.Y-slack {
			t.Errorf("%s: extents %v, GDAL %v", filepath.Base(name), want, v)
		}
	}
}

// TestReadByYofu reads every corrected drawing with yofu/dxf. Its reader keeps
// each LWPOLYLINE bulge one vertex late, so that only vertices are compared.
func TestReadByYofu(t *testing.T) {
	for name, want := range corrected(t) {
		d, err := dxf.FromReader(bytes.NewReader(readFile(t, name)))
		if err != nil {
			t.Errorf("%s: %v", filepath.Base(name), err)
			continue
		}
		if n := countEntities(readFile(t, name)); n != len(d.Entities()) {
			t.Errorf("%s: %d entities, yofu/dxf %d", filepath.Base(name), n, len(d.Entities()))
		}
		for _, p := range vertices(d) {
			if !want.Inflate(1e-6 * (1 + want.Diagonal())).Contains(p) {
				t.Errorf("%s: vertex %v lies outside %v", filepath.Base(name), p, want)
				break
			}
		}
	}
}

func vertices(d *ydrawing.Drawing) (ps []geom.Point) {
	for _, e := range d.Entities() {
		switch e := e.(type) {
		case *entity.Line:
			ps = append(ps, geom.Pt(e.Start[0], e.Start[1]), geom.Pt(e.End[0], e.End[1]))
		case *entity.LwPolyline:
			for _, v := range e.Vertices {
				ps = append(ps, geom.Pt(v[0], v[1]))
			}
		}
	}
	return ps
}
