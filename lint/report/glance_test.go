package report

import (
	"bytes"
	"strings"
	"testing"

	"sluice/geom"
	"sluice/geom/drawing"
)

// TestGlance draws a cross and a circle about a place.
func TestGlance(t *testing.T) {
	d := &drawing.Drawing{}
	for _, p := range []geom.Piece{geom.Line(geom.Pt(-50, 10), geom.Pt(50, 10)), geom.Line(geom.Pt(0, -50), geom.Pt(0, 50)), geom.Circle(geom.Pt(0, 10), 4)} {
		d.Strokes = append(d.Strokes, drawing.Stroke{Piece: p})
	}
	var b bytes.Buffer
	Glance(&b, d, geom.Pt(0, 10), geom.BoxOf(geom.Pt(0, 10)), true)
	rows := strings.Split(strings.TrimRight(b.String(), "\n"), "\n")
	if len(rows) != glanceRows+1 || !strings.Contains(rows[glanceRows/2], "X") {
		t.Fatalf("%s", b.String())
	}
	up, along := 0, strings.Count(rows[glanceRows/2]+rows[glanceRows/2-1], "*")
	for _, r := range rows[:glanceRows] {
		if mid := []rune(r)[5+glanceCols/2 : 5+glanceCols/2+1]; mid[0] == '*' || mid[0] == 'X' {
			up++
		}
		if n := len([]rune(r)); n != glanceCols+6 {
			t.Errorf("%d characters in %q", n, r)
		}
	}
	if up != glanceRows || along < glanceCols-1 {
		t.Errorf("%d of %d rows, %d of %d columns:\n%s", up, glanceRows, along, glanceCols, b.String())
	}
	b.Reset()
	Glance(&b, d, geom.Pt(0, 10), geom.BoxOf(geom.Pt(0, 10)), false)
	if s := b.String(); !strings.ContainsFunc(s, func(r rune) bool { return r > 0x2800 && r <= 0x28ff }) || strings.Count(s, "\n") != glanceRows+1 {
		t.Errorf("%s", s)
	}
	b.Reset()
	if Glance(&b, d, geom.Pt(1000, 1000), geom.NoBox(), true); b.Len() != 0 {
		t.Errorf("where nothing is: %s", b.String())
	}
}
