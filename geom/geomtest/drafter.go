package geomtest

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"strconv"

	"sluice/geom"
)

// Drafter writes a small drawing in mm as tagged text: LINE, ARC, CIRCLE, SPLINE
// and ELLIPSE entities with handles. The zero value is ready.
type Drafter struct {
	Layer  string // of what is drawn next; "" for PARTS
	body   bytes.Buffer
	handle int
}

func (d *Drafter) tag(code int, value any) {
	switch v := value.(type) {
	case float64:
		fmt.Fprintf(&d.body, "%d\n%s\n", code, strconv.FormatFloat(v, 'f', 12, 64))
	default:
		fmt.Fprintf(&d.body, "%d\n%v\n", code, v)
	}
}

func (d *Drafter) head(kind string, subclasses ...string) {
	d.handle++
	d.tag(0, kind)
	d.tag(5, strconv.FormatInt(int64(0xFF+d.handle), 16))
	d.tag(100, "AcDbEntity")
	d.tag(8, cmp.Or(d.Layer, "PARTS"))
	for _, s := range subclasses {
		d.tag(100, s)
	}
}

func (d *Drafter) point(code int, p geom.Point, z float64) {
	d.tag(code, p.X)
	d.tag(code+10, p.Y)
	d.tag(code+20, z)
}

// Piece draws a line or an arc at height z.
func (d *Drafter) Piece(p geom.Piece, z float64) {
	switch {
	case p.IsLine():
		d.head("LINE", "AcDbLine")
		d.point(10, p.A, z)
		d.point(11, p.B, z)
	case p.IsCircle():
		d.head("CIRCLE", "AcDbCircle")
		d.point(10, p.C, z)
		d.tag(40, p.R)
	default:
		a, b := p.A, p.B
		if p.Sweep < 0 {
			a, b = b, a
		}
		deg := func(q geom.Point) float64 { return q.Sub(p.C).Angle() * 180 / math.Pi }
		d.head("ARC", "AcDbCircle")
		d.point(10, p.C, z)
		d.tag(40, p.R)
		d.tag(100, "AcDbArc")
		d.tag(50, deg(a))
		d.tag(51, deg(b))
	}
}

// CircleSpline draws a circle as the rational quadratic spline of nine control
// points that equals it (Piegl & Tiller, The NURBS Book, 2nd ed., ex. 7.1; from
// memory).
func (d *Drafter) CircleSpline(c geom.Point, r float64) {
	d.head("SPLINE", "AcDbSpline")
	d.tag(70, 13) // closed, rational, planar
	d.tag(71, 2)
	knots := []float64{0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4}
	d.tag(72, len(knots))
	d.tag(73, 9)
	d.tag(74, 0)
	for _, k := range knots {
		d.tag(40, k)
	}
	at := [9][2]float64{{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}, {1, 0}}
	for i := range at {
		w := 1.0
		if i%2 == 1 {
			w = math.Sqrt2 / 2
		}
		d.tag(41, w)
	}
	for _, p := range at {
		d.point(10, c.Add(geom.Pt(p[0], p[1]).Mul(r)), 0)
	}
}

// Spline draws a clamped cubic spline with evenly spaced knots.
func (d *Drafter) Spline(ctrl ...geom.Point) {
	d.head("SPLINE", "AcDbSpline")
	d.tag(70, 8)
	d.tag(71, 3)
	n := len(ctrl)
	d.tag(72, n+4)
	d.tag(73, n)
	d.tag(74, 0)
	for i := range n + 4 {
		d.tag(40, float64(min(max(i-3, 0), n-3)))
	}
	for _, p := range ctrl {
		d.point(10, p, 0)
	}
}

// Text draws a line of text.
func (d *Drafter) Text(at geom.Point, height float64, value string) {
	d.head("TEXT", "AcDbText")
	d.point(10, at, 0)
	d.tag(40, height)
	d.tag(1, value)
	d.tag(100, "AcDbText")
}

// CircleEllipse draws a circle as an ellipse of equal axes.
func (d *Drafter) CircleEllipse(c geom.Point, r float64) { d.Ellipse(c, geom.Pt(r, 0), 1) }

// Ellipse draws a whole ellipse with the given half axis and ratio of axes.
func (d *Drafter) Ellipse(c, major geom.Point, ratio float64) {
	d.head("ELLIPSE", "AcDbEllipse")
	d.point(10, c, 0)
	d.point(11, major, 0)
	d.tag(40, ratio)
	d.tag(41, 0.0)
	d.tag(42, 2*math.Pi)
}

// Bytes returns the drawing.
func (d *Drafter) Bytes() []byte {
	var b bytes.Buffer
	b.WriteString("0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n4\n9\n$MEASUREMENT\n70\n1\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n")
	b.Write(d.body.Bytes())
	b.WriteString("0\nENDSEC\n0\nEOF\n")
	return b.Bytes()
}
