package dxf

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

// kitPath is one outline of lines and arcs, for the drawing in many forms.
func kitPath() geom.Path {
	p := []geom.Point{{X: 10, Y: 20}, {X: 60, Y: 20}, {X: 60, Y: 45}, {X: 35, Y: 70}, {X: 10, Y: 70}}
	bulge := []float64{0, 0.25, math.Sqrt2 - 1, 0, -0.5}
	var path geom.Path
	for i := range p {
		path = append(path, geom.Bulge(p[i], p[(i+1)%len(p)], bulge[i]))
	}
	return path
}

func num(v float64) string { return fmt.Sprintf("%.15g", v) }

// loose writes each piece as LINE or ARC.
func loose(p geom.Path) string {
	var b strings.Builder
	for _, q := range p {
		if q.IsLine() {
			b.WriteString("0 LINE 8 A 10 " + num(q.A.X) + " 20 " + num(q.A.Y) + " 11 " + num(q.B.X) + " 21 " + num(q.B.Y) + " ")
			continue
		}
		if q.Sweep < 0 {
			q = q.Reverse()
		}
		a := q.StartAngle() * 180 / math.Pi
		b.WriteString("0 ARC 8 A 10 " + num(q.C.X) + " 20 " + num(q.C.Y) + " 40 " + num(q.R) + " 50 " + num(a) + " 51 " + num(a+q.Sweep*180/math.Pi) + " ")
	}
	return b.String()
}

func light(p geom.Path, layer string) string {
	s := "0 LWPOLYLINE 8 " + layer + " 90 " + itoa(len(p)) + " 70 1 "
	for _, q := range p {
		s += "10 " + num(q.A.X) + " 20 " + num(q.A.Y) + " 42 " + num(q.BulgeValue()) + " "
	}
	return s
}

func heavy(p geom.Path) string {
	s := "0 POLYLINE 8 A 66 1 70 1 10 0 20 0 30 0 "
	for _, q := range p {
		s += "0 VERTEX 8 A 10 " + num(q.A.X) + " 20 " + num(q.A.Y) + " 42 " + num(q.BulgeValue()) + " "
	}
	return s + "0 SEQEND 8 A"
}

// inBlock defines block B as the path under the inverse of t.
func inBlock(p geom.Path, back geom.Transform) string {
	return "0 BLOCK 8 0 2 B 70 0 10 0 20 0 " + light(p.Transform(back), "0") + " 0 ENDBLK 8 0"
}

// shape describes pieces without regard to order, direction and rounding.
func shape(p []geom.Piece) []string {
	var s []string
	for _, q := range p {
		a, b := q.A, q.B
		if a.X > b.X || a.X == b.X && a.Y > b.Y {
			a, b = b, a
		}
		m := q.Mid()
		s = append(s, strings.ReplaceAll(fmt.Sprintf("%.6f,%.6f - %.6f,%.6f - %.6f,%.6f", a.X, a.Y, m.X, m.Y, b.X, b.Y), "-0.000000", "0.000000"))
	}
	slices.Sort(s)
	return s
}

// One outline in every form a drawing may hold it in is one shape.
func TestForms(t *testing.T) {
	p := kitPath()
	want := shape(p)
	quarter := geom.Turn(geom.Point{}, -math.Pi/2) // undoes 90 degrees
	plain := file("", "", light(p, "A"))
	for name, f := range map[string]string{
		"loose lines and arcs": file("", "", loose(p)),
		"LWPOLYLINE":           plain,
		"POLYLINE":             file("", "", heavy(p)),
		"block scaled":         file("", inBlock(p, geom.Scaling(0.25)), "0 INSERT 8 A 2 B 10 0 20 0 41 4 42 4 43 4"),
		"block turned":         file("", inBlock(p, quarter), "0 INSERT 8 A 2 B 10 0 20 0 50 90"),
		"block mirrored":       file("", inBlock(p, geom.MirrorX(0)), "0 INSERT 8 A 2 B 10 0 20 0 41 -1"),
		"block from below":     file("", inBlock(p, geom.MirrorX(0)), "0 INSERT 8 A 2 B 10 0 20 0 210 0 220 0 230 -1"),
		"block in an array":    file("", inBlock(p, geom.Shift(geom.Pt(-100, 0))), "0 INSERT 8 A 2 B 10 100 20 0 70 1 71 1 44 5 45 5"),
		"binary":               string(toBinary(t, plain, false)),
		"binary of R12":        string(toBinary(t, plain, true)),
		"CRLF":                 strings.ReplaceAll(plain, "\n", "\r\n"),
		"BOM":                  "\xef\xbb\xbf" + plain,
		"bare":                 tags(light(p, "A")),
	} {
		if name == "bare" {
			f += "0\nEOF\n"
		}
		if diff := cmp.Diff(want, shape(pieces(read1(t, f)))); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}
