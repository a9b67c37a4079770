package curve

import (
	"bufio"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"sluice/geom"
)

// group is one tag of a DXF file.
type group struct {
	code  int
	value string
}

// realEntities returns the groups of each SPLINE and ELLIPSE of a drawing.
func realEntities(path string) (out [][]group) {
	f, err := os.Open(path)
	if err != nil {
		return nil
	}
	defer f.Close()
	sc := bufio.NewScanner(f)
	sc.Buffer(nil, 1<<20)
	var cur []group
	for sc.Scan() {
		code, err := strconv.Atoi(strings.TrimSpace(sc.Text()))
		if err != nil || !sc.Scan() {
			return out
		}
		g := group{code, strings.TrimSpace(sc.Text())}
		if code == 0 {
			if cur != nil {
				out = append(out, cur)
			}
			cur = nil
			if g.value != "SPLINE" && g.value != "ELLIPSE" {
				continue
			}
		}
		if code == 0 || cur != nil {
			cur = append(cur, g)
		}
	}
	return out
}

func realSpline(gs []group) *Spline {
	s := &Spline{}
	num := func(g group) float64 { v, _ := strconv.ParseFloat(g.value, 64); return v }
	for _, g := range gs {
		v := num(g)
		switch g.code {
		case 70:
			s.Closed, s.Periodic = int(v)&1 != 0, int(v)&2 != 0
		case 71:
			s.Degree = int(v)
		case 40:
			s.Knots = append(s.Knots, v)
		case 41:
			s.Weights = append(s.Weights, v)
		case 10:
			s.Ctrl = append(s.Ctrl, geom.Pt(v, 0))
		case 20:
			if n := len(s.Ctrl); n > 0 {
				s.Ctrl[n-1].Y = v
			}
		case 11:
			s.Fit = append(s.Fit, geom.Pt(v, 0))
		case 21:
			if n := len(s.Fit); n > 0 {
				s.Fit[n-1].Y = v
			}
		}
	}
	return s
}

// TestRealSplines fits every spline of the sample drawings where they are at
// hand and measures a share of them by sampling.
func TestRealSplines(t *testing.T) {
	dir := os.Getenv("SLUICE_SAMPLES")
	if dir == "" {
		dir = "../../../shared/samples"
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*.dxf"))
	if len(files) == 0 {
		t.Skip("no sample drawings here")
	}
	const tol = 0.02
	for _, file := range files {
		count, pieces, kinked, measured := 0, 0, 0, 0
		for i, gs := range realEntities(file) {
			if gs[0].value != "SPLINE" {
				continue
			}
			s := realSpline(gs)
			arcs, dev, err := FitSpline(s, tol)
			if err != nil {
				t.Errorf("%s, spline %d: %v", filepath.Base(file), i, err)
				continue
			}
			count++
			pieces += len(arcs)
			if c, rest := cornersOf(arcs); rest > 1e-6 || c > 0 {
				kinked++
			}
			if len(s.Ctrl) < 60 && measured < 40 {
				measured++
				checkFit(t, filepath.Base(file), arcs, samplesOf(s, 24), dev, tol)
			}
		}
		if count > 0 {
			t.Logf("%s: %d splines, %d pieces, %d with corners", filepath.Base(file), count, pieces, kinked)
		}
	}
}
