package dxf

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
)

func TestArcTurn(t *testing.T) {
	for _, c := range []struct {
		start, end, turn float64
		same             bool
	}{
		{30, 100, 70, false},
		{350, 20, 30, false},
		{-90, -45, 45, false},
		{100, 30, 290, false},
		{0, 360, 360, false},
		{-180, 180, 360, false},
		{90, 450, 360, false},
		{0, 720, 360, false},
		{0, 359.99999, 360, false}, // 2 pi with few decimals
		{0, 360.0003, 360, false},
		{0, 359.9, 359.9, false}, // a ring with a slit
		{0, 370, 10, false},
		{180, 180, 0, true},
		{180, 180.0000001, 1e-7, true},
		{180.0000001, 180, -1e-7, true},
		{180.001, 180, -0.001, true}, // three decimals
		{360, 0, 0, true},
		{359.9999999, 0, 1e-7, true},
		{0, -0.0000001, -1e-7, true},
		{180, 180.01, 0.01, false}, // short, but an arc
		{180.01, 180, 359.99, false},
	} {
		turn, same := arcTurn(c.start, c.end)
		if abs(turn-c.turn) > 1e-9 || same != c.same {
			t.Errorf("from %g to %g: %g, same %v; want %g, %v", c.start, c.end, turn, same, c.turn, c.same)
		}
	}
}

// An arc whose angles are equal is a speck where another piece ends, else told
// and left out; never a circle.
func TestEqualAngles(t *testing.T) {
	const (
		chain = " 0 LINE 8 A 10 0 20 0 11 9 21 0 0 LINE 8 A 10 9 20 0 11 9 21 5"
		arc   = "0 ARC 8 A 10 4 20 0 40 5 50 0 51 " // begins at 9,0
		told  = ", start and end angle equal: a full circle or nothing? Draw a CIRCLE if it is to be cut"
	)
	late := func(s string) string { // tables behind entities
		return strings.Replace(file("", "", s), "0\nEOF", "0\nSECTION\n2\nTABLES\n0\nLAYER\n2\nB\n62\n-1\n0\nENDSEC\n0\nEOF", 1)
	}
	for name, c := range map[string]struct {
		file     string
		specks   int
		told     []string
		outlines bool // of hatches
	}{
		"alone":                            {file: file("", "", arc+"0"), told: []string{"unread: ARC" + told}},
		"alone, end ahead":                 {file: file("", "", arc+"0.0000001"), told: []string{"unread: ARC" + told}},
		"alone, end behind":                {file: file("", "", arc+"-0.0000001"), told: []string{"unread: ARC" + told}},
		"in a chain":                       {file: file("", "", arc+"0"+chain), specks: 1},
		"in a chain, ahead":                {file: file("", "", arc+"0.0000001"+chain), specks: 1},
		"in a chain, behind":               {file: file("", "", arc+"-0.0000001"+chain), specks: 1},
		"beside a circle":                  {file: file("", "", arc+"0 0 CIRCLE 8 A 10 4 20 0 40 5"), told: []string{"unread: ARC" + told}},
		"too small to matter":              {file: file("", "", "0 ARC 8 A 10 4 20 0 40 0.005 50 0 51 0"), specks: 1},
		"in a block":                       {file: file("", "0 BLOCK 2 L 10 0 20 0 "+arc+"0 0 ENDBLK", "0 INSERT 8 A 2 L 10 1 20 2 41 2"), told: []string{"unread: ARC" + told}},
		"in a block, squeezed, in a chain": {file: file("", "0 BLOCK 2 L 10 0 20 0 "+arc+"0"+chain+" 0 ENDBLK", "0 INSERT 8 A 2 L 10 1 20 2 41 2 50 30"), specks: 1},
		"in paper space":                   {file: file("", "", strings.ReplaceAll(arc+"0"+chain, "8 A", "8 A 67 1")), specks: 1},
		"from below":                       {file: file("", "", arc+"0 210 0 220 0 230 -1"), told: []string{"flat: extrusion 0,0,-1", "unread: ARC" + told}},
		"on a layer off":                   {file: late(strings.ReplaceAll(arc, "8 A", "8 B") + "0"), told: []string{"hidden: layer off or frozen"}},
		"ellipse": {file: file("", "", "0 ELLIPSE 8 A 10 0 20 0 11 5 21 0 40 0.5 41 1 42 1"),
			told: []string{"unread: ELLIPSE, start and end equal: a whole ellipse or nothing? Draw it from 0 to a full turn if it is to be cut"}},
		"ellipse in a chain": {file: file("", "", "0 ELLIPSE 8 A 10 4 20 0 11 5 21 0 40 0.5 41 0 42 0"+chain), specks: 1},
		"edge of a hatch": {file: file("", "", "0 HATCH 8 A 10 0 20 0 30 0 91 1 92 1 93 1 72 2 10 0 20 0 40 5 50 90 51 90 73 1 97 0 75 0"), outlines: true,
			told: []string{"unread: ARC" + told}},
	} {
		for form, data := range map[string][]byte{"": []byte(c.file), " binary": toBinary(t, c.file, false), " binary R12": toBinary(t, c.file, true)} {
			d, err := Read(t.Context(), bytes.NewReader(data), Options{HatchOutlines: c.outlines})
			if err != nil {
				t.Fatal(err)
			}
			checkDrawing(t, d)
			if err := d.Resolve("mm", "flag", drawing.UnitHints{}, 0.02); err != nil {
				t.Fatal(err)
			}
			checkDrawing(t, d)
			specks := 0
			for i := range d.Strokes {
				s := &d.Strokes[i]
				if s.IsCircle() && d.Entities[s.Entity].Type != "CIRCLE" {
					t.Errorf("%s%s: a circle %+v", name, form, s.Piece)
				}
				if s.Length() < 1e-6 {
					specks++
				}
			}
			if diff := cmp.Diff(c.told, noticeTexts(d)); diff != "" || specks != c.specks {
				t.Errorf("%s%s: %d specks, want %d; told (-want +got):\n%s", name, form, specks, c.specks, diff)
			}
		}
	}
}

// A very flat arc turns by little and is still drawn as it is.
func TestFlatArc(t *testing.T) {
	d := read1(t, file("", "", "0 ARC 8 A 10 0 20 -1e9 40 1e9 50 90 51 90.00001"))
	if err := d.Resolve("mm", "flag", drawing.UnitHints{}, 0.02); err != nil {
		t.Fatal(err)
	}
	if len(d.Strokes) != 1 || len(d.Notices) != 0 || abs(d.Strokes[0].Length()-1e9*1e-5*math.Pi/180) > 1e-3 {
		t.Errorf("%+v, %v", d.Strokes, noticeTexts(d))
	}
}

// Polylines through equal points draw nothing between them, whatever the bulge.
func TestEqualVertices(t *testing.T) {
	for body, want := range map[string][]geom.Piece{
		"0 LWPOLYLINE 8 A 90 2 70 1 10 1 20 1 42 1 10 1 20 1 42 1":                          {geom.Line(pt(1, 1), pt(1, 1))},
		"0 LWPOLYLINE 8 A 90 1 70 1 10 1 20 1 42 1":                                         {geom.Line(pt(1, 1), pt(1, 1))},
		"0 LWPOLYLINE 8 A 90 3 70 0 10 0 20 0 42 1 10 0 20 0 10 4 20 0":                     {geom.Line(pt(0, 0), pt(4, 0))},
		"0 POLYLINE 8 A 66 1 70 1 0 VERTEX 10 1 20 1 42 1 0 VERTEX 10 1 20 1 42 1 0 SEQEND": {geom.Line(pt(1, 1), pt(1, 1))},
	} {
		samePieces(t, want, pieces(read1(t, file("", "", body))))
	}
}
