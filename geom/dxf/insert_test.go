package dxf

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
)

const blockL = "0 BLOCK 8 0 2 L 70 0 10 0 20 0 0 LINE 8 0 10 0 20 0 11 2 21 0 0 ARC 8 0 10 2 20 1 40 1 50 270 51 360 0 ENDBLK 8 0 "

// shapeL is what blockL draws, moved by t.
func shapeL(t geom.Transform) []geom.Piece {
	return []geom.Piece{
		geom.Line(pt(0, 0), pt(2, 0)).Transform(t),
		geom.Arc(pt(2, 1), 1, -math.Pi/2, math.Pi/2).Transform(t),
	}
}

func TestInsert(t *testing.T) {
	turn := func(deg float64) geom.Transform { return geom.Turn(geom.Point{}, deg*math.Pi/180) }
	shift := func(x, y float64) geom.Transform { return geom.Shift(pt(x, y)) }
	for _, c := range []struct {
		name, blocks, body string
		want               []geom.Piece
	}{
		{"plain", blockL, "0 INSERT 8 A 2 L 10 5 20 6", shapeL(shift(5, 6))},
		{"any case of the name", blockL, "0 INSERT 8 A 2 l 10 5 20 6", shapeL(shift(5, 6))},
		{"turned and scaled", blockL, "0 INSERT 8 A 2 L 10 5 20 6 41 3 42 3 43 3 50 30", shapeL(geom.Scaling(3).Then(turn(30)).Then(shift(5, 6)))},
		{"mirrored", blockL, "0 INSERT 8 A 2 L 10 5 20 6 41 -1", shapeL(geom.MirrorX(0).Then(shift(5, 6)))},
		{"mirrored twice is a half turn", blockL, "0 INSERT 8 A 2 L 10 5 20 6 41 -1 42 -1", shapeL(turn(180).Then(shift(5, 6)))},
		{"from below", blockL, "0 INSERT 8 A 2 L 10 5 20 6 210 0 220 0 230 -1", shapeL(shift(5, 6).Then(geom.MirrorX(0)))},
		{"base point", strings.Replace(blockL, "10 0 20 0 0 LINE", "10 1 20 2 0 LINE", 1), "0 INSERT 8 A 2 L 10 5 20 6 41 2 42 2", shapeL(shift(-1, -2).Then(geom.Scaling(2)).Then(shift(5, 6)))},
		{"scale 0 counts as 1", blockL, "0 INSERT 8 A 2 L 10 5 20 6 41 0 42 0 43 0", shapeL(shift(5, 6))},
		// Steps of an array follow its turn but not its scale.
		{"array", blockL, "0 INSERT 8 A 2 L 10 5 20 6 41 2 42 2 50 90 70 2 71 2 44 10 45 20", func() []geom.Piece {
			var p []geom.Piece
			for _, d := range []geom.Point{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 0, Y: 20}, {X: 10, Y: 20}} {
				p = append(p, shapeL(geom.Scaling(2).Then(geom.Shift(d)).Then(turn(90)).Then(shift(5, 6)))...)
			}
			return p
		}()},
		{"nested, both mirrored", blockL + "0 BLOCK 8 0 2 M 70 0 10 0 20 0 0 INSERT 8 0 2 L 10 1 20 0 41 -2 42 2 50 90 0 ENDBLK 8 0",
			"0 INSERT 8 A 2 M 10 5 20 6 41 1 42 -1 50 45",
			shapeL(geom.Transform{XX: -2, YY: 2}.Then(turn(90)).Then(shift(1, 0)).Then(geom.Transform{XX: 1, YY: -1}).Then(turn(45)).Then(shift(5, 6)))},
		{"bulges mirrored", "0 BLOCK 8 0 2 L 70 0 10 0 20 0 0 LWPOLYLINE 8 0 90 2 70 0 10 0 20 0 42 0.5 10 10 20 0 0 ENDBLK 8 0",
			"0 INSERT 8 A 2 L 10 0 20 0 41 -1", []geom.Piece{geom.Bulge(pt(0, 0), pt(-10, 0), -0.5)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := read1(t, file("", c.blocks, c.body))
			samePieces(t, c.want, pieces(d))
			// The same with the blocks behind the entities.
			late := file("", "", c.body)
			late = strings.Replace(late, "0\nEOF\n", "", 1) + strings.Replace(file("", c.blocks, ""), "0\nSECTION\n2\nENTITIES\n0\nENDSEC\n", "", 1)
			samePieces(t, c.want, pieces(read1(t, late)))
		})
	}
}

// Unevenly scaled circles and bulges become ellipses with the right axes.
func TestInsertUneven(t *testing.T) {
	blocks := "0 BLOCK 2 B 70 0 10 0 20 0 0 CIRCLE 8 0 10 1 20 0 40 1 0 LWPOLYLINE 8 0 90 2 10 0 20 0 42 1 10 2 20 0 0 SPLINE 8 0 71 1 40 0 40 0 40 1 40 1 10 1 20 1 10 2 20 2 0 ENDBLK"
	d := read1(t, file("", blocks, "0 INSERT 8 A 2 B 10 10 20 20 41 3 42 2 50 30"))
	if len(d.Curves) != 3 {
		t.Fatalf("%d curves", len(d.Curves))
	}
	e := d.Curves[0].Ellipse
	at := geom.Turn(geom.Point{}, math.Pi/6).Then(geom.Shift(pt(10, 20)))
	if e.Center.Dist(at.Apply(pt(3, 0))) > 1e-12 || abs(e.Major.Norm()-3) > 1e-12 || abs(e.Ratio-2.0/3) > 1e-12 ||
		abs(e.Major.Cross(pt(3, 0).Rotate(math.Pi/6))) > 1e-12 || abs(e.End-e.Start-2*math.Pi) > 1e-12 {
		t.Errorf("circle -> %+v", e)
	}
	// The half circle from (0,0) to (2,0) below the chord: its ends stay ends.
	h := d.Curves[1].Ellipse
	end := func(t float64) geom.Point {
		minor := h.Major.Left().Mul(h.Ratio)
		if h.Mirrored {
			minor = minor.Mul(-1)
		}
		return h.Center.Add(h.Major.Mul(math.Cos(t))).Add(minor.Mul(math.Sin(t)))
	}
	if end(h.Start).Dist(at.Apply(pt(0, 0))) > 1e-12 || end(h.End).Dist(at.Apply(pt(6, 0))) > 1e-12 ||
		end((h.Start+h.End)/2).Dist(at.Apply(pt(3, -2))) > 1e-12 {
		t.Errorf("half circle -> %+v", h)
	}
	want := []geom.Point{at.Apply(pt(3, 2)), at.Apply(pt(6, 4))}
	if diff := cmp.Diff(want, d.Curves[2].Spline.Ctrl, near); diff != "" {
		t.Error(diff)
	}
}

func TestInsertInheritance(t *testing.T) {
	tables := "0 TABLE 2 LAYER 0 LAYER 2 0 70 0 62 7 0 LAYER 2 CUT 70 0 62 3 0 LAYER 2 OFF 70 0 62 -1 0 LAYER 2 COLD 70 1 62 4 0 ENDTAB"
	blocks := `0 BLOCK 2 B 70 0 10 0 20 0
		0 LINE 8 0 10 0 20 0 11 1 21 0
		0 LINE 8 0 62 0 10 0 20 1 11 1 21 1
		0 LINE 8 own 62 5 10 0 20 2 11 1 21 2
		0 LINE 8 OFF 10 0 20 3 11 1 21 3
		0 LINE 8 COLD 10 0 20 3 11 1 21 3
		0 LINE 8 own 62 0 10 0 20 4 11 1 21 4 0 ENDBLK`
	d := read1(t, file(tables, blocks, "0 INSERT 8 CUT 62 6 2 B 10 0 20 0 70 2 44 5 0 INSERT 8 OFF 2 B 10 0 20 9 0 INSERT 8 COLD 2 B 10 0 20 9 0 LINE 8 OFF 10 0 20 0 11 1 21 1"))
	type got struct {
		Layer string
		Color int16
	}
	var have []got
	for _, s := range d.Strokes[:4] {
		have = append(have, got{d.LayerName(s.Layer), s.Color})
	}
	if diff := cmp.Diff([]got{{"CUT", 3}, {"CUT", 6}, {"own", 5}, {"own", 6}}, have); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"hidden: layer off", "hidden: layer frozen", "hidden: layer off", "hidden: layer frozen", "hidden: layer frozen", "hidden: layer off"}, noticeTexts(d)); diff != "" {
		t.Error(diff)
	}
	if len(d.Strokes) != 10 { // 2 x 4, and what the INSERT on OFF draws on other layers
		t.Errorf("%d strokes", len(d.Strokes))
	}
}

func TestAttributes(t *testing.T) {
	blocks := "0 BLOCK 2 B 70 2 10 0 20 0 0 LINE 8 0 10 0 20 0 11 1 21 0 0 ATTDEF 8 0 10 0 20 0 40 1 1 def 2 TAG 0 ENDBLK"
	d := read1(t, file("", blocks, "0 INSERT 8 A 66 1 2 B 10 5 20 5 0 ATTRIB 8 A 10 6 20 7 40 2 1 no.~5 2 TAG 70 0 0 ATTRIB 8 A 10 6 20 7 40 2 1 hid 2 TAG 70 1 0 SEQEND 8 A 0 LINE 8 A 10 0 20 0 11 1 21 0"))
	if len(d.Entities) != 2 || len(d.Texts) != 1 || d.Texts[0].Value != "no. 5" || d.Texts[0].At != pt(6, 7) || d.Texts[0].Height != 2 {
		t.Errorf("%d entities, texts %+v", len(d.Entities), d.Texts)
	}
}

func TestExternalAndMissing(t *testing.T) {
	d := read1(t, file("", "0 BLOCK 2 X 70 4 1 frame.dwg 10 0 20 0 0 ENDBLK", "0 INSERT 8 A 2 X 10 0 20 0 0 INSERT 8 A 2 Y 10 0 20 0"))
	want := []string{`unread: INSERT of an external drawing "frame.dwg": bind it before export`, `unread: INSERT of a missing block "Y"`}
	if diff := cmp.Diff(want, noticeTexts(d)); diff != "" {
		t.Error(diff)
	}
}

func TestPaperSpace(t *testing.T) {
	paper := "0 LINE 8 A 67 1 10 0 20 0 11 1 21 0 "
	d := read1(t, file("", "", paper+"0 LINE 8 A 10 0 20 5 11 1 21 5 "+paper))
	if len(d.Strokes) != 1 || len(d.Notices) != 2 {
		t.Errorf("%d strokes, notices %v", len(d.Strokes), noticeTexts(d))
	}
	d = read1(t, file("", "", paper+paper+"0 VIEWPORT 8 A 67 1 10 0 20 0"))
	if len(d.Strokes) != 2 || d.Problems[0].Code != "paper-space" {
		t.Errorf("%d strokes, problems %v", len(d.Strokes), problemCodes(d))
	}
}

func TestLateLayers(t *testing.T) {
	f := strings.Replace(file("", "", "0 LINE 8 OFF 10 0 20 0 11 1 21 0 0 LINE 8 ON 10 0 20 0 11 1 21 0"), "0\nEOF\n", "", 1) +
		strings.Replace(file("0 LAYER 2 OFF 70 0 62 -1 0 LAYER 2 ON 70 0 62 4", "", ""), "0\nSECTION\n2\nENTITIES\n0\nENDSEC\n", "", 1)
	d := read1(t, f)
	if len(d.Strokes) != 1 || d.Strokes[0].Color != 4 || d.Entities[0].Kept || d.Notices[0].Kind != drawing.Hidden {
		t.Errorf("%+v %v", d.Strokes, noticeTexts(d))
	}
}

func TestBombs(t *testing.T) {
	nested := ""
	for i := range 70 {
		nested += "0 BLOCK 2 N" + itoa(i) + " 70 0 10 0 20 0 0 INSERT 8 0 2 N" + itoa(i+1) + " 10 0 20 0 0 ENDBLK "
	}
	doubling := ""
	for i := range 40 {
		doubling += "0 BLOCK 2 D" + itoa(i) + " 70 0 10 0 20 0 0 INSERT 8 0 2 D" + itoa(i+1) + " 10 0 20 0 70 10 71 10 44 1 45 1 0 ENDBLK "
	}
	for name, c := range map[string]struct{ blocks, body, want string }{
		"array":    {blockL, "0 INSERT 5 AB 8 A 2 L 10 0 20 0 70 30000 71 30000 44 1 45 1", "line 53: INSERT AB: block \"L\" drawn 9e+08 times"},
		"empty":    {"0 BLOCK 2 E 70 0 10 0 20 0 0 ENDBLK", "0 INSERT 8 A 2 E 10 0 20 0 70 30000 71 30000", "drawn 9e+08 times"},
		"loop":     {"0 BLOCK 2 A 70 0 10 0 20 0 0 INSERT 8 0 2 B 10 0 20 0 0 ENDBLK 0 BLOCK 2 B 70 0 10 0 20 0 0 INSERT 8 0 2 A 10 0 20 0 0 ENDBLK", "0 INSERT 8 A 2 A 10 0 20 0", "contains itself"},
		"itself":   {"0 BLOCK 2 A 70 0 10 0 20 0 0 INSERT 8 0 2 A 10 0 20 0 0 ENDBLK", "0 INSERT 8 A 2 A 10 0 20 0", "contains itself"},
		"deep":     {nested, "0 INSERT 8 A 2 N0 10 0 20 0", "64 deep"},
		"doubling": {doubling + blockL, "0 INSERT 8 A 2 D0 10 0 20 0", "more than 250"},
	} {
		_, err := Read(context.Background(), strings.NewReader(file("", c.blocks, c.body)), Options{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
		if e, ok := err.(*Error); err != nil && (!ok || e.Line == 0) {
			t.Errorf("%s: the error names no line: %v", name, err)
		}
	}
	// Many references that are each within bounds are not together.
	_, err := Read(context.Background(), strings.NewReader(file("", blockL, strings.Repeat("0 INSERT 8 A 2 L 10 0 20 0 70 10 71 10 44 1 45 1 ", 20))), Options{MaxExpanded: 5000})
	if err == nil {
		t.Error("2000 references under a bound of 5000 pieces were read")
	}
	for name, o := range map[string]Options{"entities": {MaxEntities: 3}, "vertices": {MaxVertices: 10}} {
		body := "0 LWPOLYLINE 8 A 90 9 10 0 20 0 10 1 20 0 10 2 20 0 10 0 20 0 10 1 20 0 10 2 20 0 "
		if _, err := Read(context.Background(), strings.NewReader(file("", "", body+body)), o); err == nil {
			t.Errorf("%s: no bound", name)
		}
	}
}

func TestCancel(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Read(ctx, strings.NewReader(string(mixedFile(2000))), Options{})
	if err != context.Canceled {
		t.Errorf("err %v", err)
	}
}
