package report

import (
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/figures"
)

// readPath reads back what pathData writes: absolute M, L, A, h and Z.
func readPath(t interface{ Fatalf(string, ...any) }, d string, origin geom.Point) geom.Path {
	var out geom.Path
	var at, start geom.Point
	for _, m := range regexp.MustCompile(`([MLAhZ])([^MLAhZ]*)`).FindAllStringSubmatch(d, -1) {
		var n []float64
		for f := range strings.FieldsSeq(m[2]) {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatalf("%q: %v", m[0], err)
			}
			n = append(n, v)
		}
		to := func(i int) geom.Point { return geom.Pt(n[i]+origin.X, origin.Y-n[i+1]) }
		switch m[1] {
		case "M":
			at = to(0)
			start = at
		case "L":
			out = append(out, geom.Line(at, to(0)))
			at = to(0)
		case "A":
			// Endpoint form with the small arc: half the chord over the radius
			// is the sine of half the sweep (SVG 2, appendix B.2.4).
			b, r := to(5), n[0]
			if n[3] != 0 {
				t.Fatalf("large arc in %q", m[0])
			}
			half := math.Asin(min(1, at.Dist(b)/2/r))
			sweep := 2 * half
			if n[4] == 1 {
				sweep = -sweep // clockwise once y points up again
			}
			out = append(out, geom.Bulge(at, b, math.Tan(sweep/4)))
			at = b
		case "Z":
			at = start
		}
	}
	return out
}

func TestPathsReadBackTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coord := rapid.Float64Range(-1000, 1000)
		var p geom.Piece
		a := geom.Pt(coord.Draw(t, "x"), coord.Draw(t, "y"))
		if rapid.Bool().Draw(t, "arc") {
			sweep := rapid.Float64Range(-2*math.Pi, 2*math.Pi).Draw(t, "sweep")
			p = geom.Arc(a, rapid.Float64Range(.1, 500).Draw(t, "r"), rapid.Float64Range(0, 6).Draw(t, "start"), sweep)
		} else {
			p = geom.Line(a, geom.Pt(coord.Draw(t, "x2"), coord.Draw(t, "y2")))
		}
		d := pathData{origin: geom.Pt(-1200, 1300)}
		d.add(&p)
		back := readPath(t, string(d.buf), d.origin)
		// Both run the same way along the same curve. Places are written to
		// 1e-4 mm; on a flat arc that moves the middle by as much again, and
		// lines stand for arcs of less than 5e-5 mm sagitta.
		for i := range back {
			for _, s := range []float64{0, .3, .5, 1} {
				if dist := p.Dist(back[i].At(s)); dist > 1e-3 {
					t.Fatalf("%+v: %s strays by %g", p, d.buf, dist)
				}
			}
		}
		if l := back.Length(); math.Abs(l-p.Length()) > 2e-3+1e-4*p.Length() {
			t.Fatalf("%+v: length %g, read back %g", p, p.Length(), l)
		}
	})
}

func TestFullCircleIsDrawn(t *testing.T) {
	c := geom.Circle(geom.Pt(10, 20), 5)
	var d pathData
	d.add(&c)
	if a := readPath(t, string(d.buf), geom.Point{}).Area(); math.Abs(a-25*math.Pi) > 1e-2 {
		t.Errorf("area %g, want %g", a, 25*math.Pi)
	}
}

func TestPictureGroupsManyPieces(t *testing.T) {
	s := grid(100)
	pic := newPicture(geom.Box{Max: geom.Pt(1000, 1000)})
	pic.sheet(s, nil)
	// 10^4 squares are 4·10^4 pieces: the elements must be fewer by far.
	if n := strings.Count(pic.String(), "<path"); n > 4*len(s.Outlines)*2/piecesPerPath+10 {
		t.Errorf("%d path elements for %d outlines", n, len(s.Outlines))
	}
}

// grid is a sheet of n by n squares.
func grid(n int) *outline.Sheet {
	m := newMaker()
	for i := range n * n {
		m.closed(-1, box(float64(i%n)*10, float64(i/n)*10, 8, 8))
	}
	return &m.sheet
}

func TestSVGStandsAlone(t *testing.T) {
	for name, s := range map[string]*outline.Sheet{"sample": craneLint().Sheet, "empty": {}, "none": nil, "broken": brokenNumbers().Sheet} {
		b := write(t, func(w io.Writer) error { return sheetSVG(w, s, geom.NoBox(), nil, 300, "a & b") })
		if err := wellFormed(b); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if m := regexp.MustCompile(`(href|src|url\()`).Find(b); m != nil {
			t.Errorf("%s: refers to something: %s", name, m)
		}
	}
}

func TestLabelsAreClearOfEdges(t *testing.T) {
	r := craneLint()
	s := r.Sheet
	labels := checked(r).Files[0].Page().Before.Labels
	if len(labels) != len(s.Parts) {
		t.Fatalf("%d labels on %d parts", len(labels), len(s.Parts))
	}
	for i, l := range labels {
		p := &s.Parts[i]
		for k, o := range append([]int32{p.Outer}, p.Holes...) {
			path := s.Outlines[o].Pieces
			if d, _ := path.Dist(l.At); d < 1 || path.Contains(l.At) != (k == 0) {
				t.Errorf("the label of part %d is %g mm from an edge", i, d)
			}
		}
	}
}

func BenchmarkLintHTML(b *testing.B) {
	// 10^5 pieces in 2.5·10^4 parts, 2,000 findings.
	s := grid(158)
	r := craneLint()
	r.Sheet, r.Extents = s, figures.BoxOf(s)
	r.Findings = manyFindings(2000, 1580)
	for b.Loop() {
		if err := lintHTML(io.Discard, checked(r)); err != nil {
			b.Fatal(err)
		}
	}
}

func manyFindings(n int, size float64) []lint.Finding {
	fs := make([]lint.Finding, n)
	for i := range fs {
		f := craneFindings()[i%7]
		f.At = geom.Pt(math.Mod(float64(i)*37.3, size), math.Mod(float64(i)*91.7, size))
		f.Box, f.Message = geom.BoxOf(f.At), fmt.Sprintf("%s (%d)", f.Message, i)
		fs[i] = f
	}
	return fs
}

func TestFillHoldsAcrossSmallGaps(t *testing.T) {
	square := box(0, 0, 100, 80)
	square[1].A = square[1].A.Add(geom.Pt(0.0006, 0)) // within joining, above what is written
	var d pathData
	d.closed(square)
	if n := strings.Count(string(d.buf), "M"); n != 1 {
		t.Errorf("the fill falls into %d runs: %s", n, d.buf)
	}
}

func TestTanglesAreDrawn(t *testing.T) {
	s := &outline.Sheet{Tangles: []outline.Path{{Pieces: geom.Path{geom.Line(geom.Pt(3, 5), geom.Pt(7, 9))}}}}
	b := write(t, func(w io.Writer) error { return sheetSVG(w, s, geom.NoBox(), nil, 300, "x") })
	if !regexp.MustCompile(`class="ly outside"><path d="M\S+ \S+L\S+ \S+"`).Match(b) {
		t.Errorf("a tangle is not drawn: %s", b)
	}
}
