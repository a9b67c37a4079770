package fix

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
)

// drawn returns a drawing of n lines, one above the other and 10 mm long, with
// two texts, two notices, two curves (lines 0-1 and 2-3) and a point.
func drawn(n int) *drawing.Drawing {
	d := &drawing.Drawing{
		Layers:   []drawing.Layer{{Name: "0"}},
		Entities: []drawing.Entity{{Type: "LINE"}},
		Texts:    []drawing.Text{{Value: "one"}, {Value: "two"}},
		Notices:  []drawing.Notice{{Text: "z = 1"}, {Text: "z = 2"}},
		Curves:   []drawing.Curve{{Kind: "SPLINE", First: 0, Count: 2}, {Kind: "ELLIPSE", First: 2, Count: 2}},
		Points:   []drawing.Mark{{At: geom.Pt(1, 1)}},
	}
	for i := range n {
		d.Strokes = append(d.Strokes, at(float64(i)))
	}
	return d
}

// at returns a line of 10 mm at height y.
func at(y float64) drawing.Stroke {
	return drawing.Stroke{Piece: geom.Line(geom.Pt(0, y), geom.Pt(10, y))}
}

func one(ops ...Op) Fix { return Fix{Edits: []Edit{{Kind: "test", Ops: ops}}} }

func drop(s int32) Op                { return Op{Kind: Drop, Stroke: s} }
func moveA(s int32, x, y float64) Op { return Op{Kind: MoveA, Stroke: s, To: geom.Pt(x, y)} }
func moveB(s int32, x, y float64) Op { return Op{Kind: MoveB, Stroke: s, To: geom.Pt(x, y)} }
func add(y float64, on ...End) Op    { return Op{Kind: Add, With: []drawing.Stroke{at(y)}, On: on} }
func replace(s int32, ys ...float64) Op {
	op := Op{Kind: Replace, Stroke: s}
	for _, y := range ys {
		op.With = append(op.With, at(y))
	}
	return op
}
func take(s int32, t0, t1 float64) Op {
	return Op{Kind: Take, Stroke: s, T0: t0, T1: t1, As: drawing.AsTab}
}
func settle(k OpKind, i int32) Op { return Op{Kind: k, Index: i} }

// lines tells the strokes of a drawing by their ends, those taken with what as.
func lines(d *drawing.Drawing) []string {
	var out []string
	for i := range d.Strokes {
		s := &d.Strokes[i]
		as := ""
		if s.As != drawing.AsLayer {
			as = fmt.Sprintf(" as %d", s.As)
		}
		out = append(out, fmt.Sprintf("%g,%g-%g,%g%s", s.A.X, s.A.Y, s.B.X, s.B.Y, as))
	}
	return out
}

func TestApply(t *testing.T) {
	const (
		y0, y1, y2, y3 = "0,0-10,0", "0,1-10,1", "0,2-10,2", "0,3-10,3"
		new8, new9     = "0,8-10,8", "0,9-10,9"
	)
	a, b := End{Stroke: 1}, End{Stroke: 1, B: true}
	for _, tt := range []struct {
		name  string
		fixes []Fix
		want  []string // strokes after
		why   []string // by fix: words in why it is skipped, "" for one that lands
	}{
		{"nothing", nil, []string{y0, y1, y2, y3}, nil},
		{"a fix without changes", []Fix{{}, one()}, []string{y0, y1, y2, y3}, []string{"", ""}},
		{"drop", []Fix{one(drop(1))}, []string{y0, y2, y3}, []string{""}},
		{"replace keeps the place", []Fix{one(replace(1, 8, 9))}, []string{y0, new8, new9, y2, y3}, []string{""}},
		{"replace by nothing", []Fix{one(replace(1))}, []string{y0, y2, y3}, []string{""}},
		{"add goes last", []Fix{one(add(9)), one(add(8))}, []string{y0, y1, y2, y3, new9, new8}, []string{"", ""}},
		{"move one end", []Fix{one(moveA(1, -1, 1))}, []string{y0, "-1,1-10,1", y2, y3}, []string{""}},
		{"move both ends in one fix", []Fix{one(moveA(1, -1, 1), moveB(1, 11, 1))}, []string{y0, "-1,1-11,1", y2, y3}, []string{""}},
		{"move both ends by two fixes", []Fix{one(moveA(1, -1, 1)), one(moveB(1, 11, 1))}, []string{y0, "-1,1-11,1", y2, y3}, []string{"", ""}},

		{"drop, drop", []Fix{one(drop(1)), one(drop(1))}, []string{y0, y2, y3}, []string{"", "taken out or redrawn"}},
		{"drop, replace", []Fix{one(drop(1)), one(replace(1, 9))}, []string{y0, y2, y3}, []string{"", "taken out or redrawn"}},
		{"replace, drop", []Fix{one(replace(1, 9)), one(drop(1))}, []string{y0, new9, y2, y3}, []string{"", "taken out or redrawn"}},
		{"replace, replace", []Fix{one(replace(1, 9)), one(replace(1, 8))}, []string{y0, new9, y2, y3}, []string{"", "taken out or redrawn"}},
		{"drop, move", []Fix{one(drop(1)), one(moveA(1, 5, 5))}, []string{y0, y2, y3}, []string{"", "taken out or redrawn"}},
		{"drop, move of the other end", []Fix{one(drop(1)), one(moveB(1, 5, 5))}, []string{y0, y2, y3}, []string{"", "taken out or redrawn"}},
		{"move, drop", []Fix{one(moveA(1, -1, 1)), one(drop(1))}, []string{y0, "-1,1-10,1", y2, y3}, []string{"", "moved an end of the line"}},
		{"move of the other end, drop", []Fix{one(moveB(1, 11, 1)), one(drop(1))}, []string{y0, "0,1-11,1", y2, y3}, []string{"", "moved an end of the line"}},
		{"replace, move", []Fix{one(replace(1, 9)), one(moveB(1, 5, 5))}, []string{y0, new9, y2, y3}, []string{"", "taken out or redrawn"}},
		{"move, replace", []Fix{one(moveB(1, 11, 1)), one(replace(1, 9))}, []string{y0, "0,1-11,1", y2, y3}, []string{"", "moved an end of the line"}},
		{"one end moved by two", []Fix{one(moveA(1, -1, 1)), one(moveA(1, -2, 1))}, []string{y0, "-1,1-10,1", y2, y3}, []string{"", "moved the same end"}},
		{"the other end moved by two", []Fix{one(moveB(1, 11, 1)), one(moveB(1, 12, 1))}, []string{y0, "0,1-11,1", y2, y3}, []string{"", "moved the same end"}},

		{"one thing twice: drop", []Fix{one(drop(1), drop(1))}, []string{y0, y1, y2, y3}, []string{"twice"}},
		{"one thing twice: move", []Fix{one(moveA(1, -1, 1), moveA(1, -2, 1))}, []string{y0, y1, y2, y3}, []string{"twice"}},
		{"one thing twice: move and drop", []Fix{one(moveB(1, 11, 1), drop(1))}, []string{y0, y1, y2, y3}, []string{"twice"}},
		{"one thing twice, by two edits", []Fix{{Edits: []Edit{{Ops: []Op{replace(1, 9)}}, {Ops: []Op{drop(1)}}}}}, []string{y0, y1, y2, y3}, []string{"twice"}},

		{"whole or not at all", []Fix{one(drop(1)), one(drop(0), drop(1), drop(2))}, []string{y0, y2, y3}, []string{"", "taken out"}},
		{"what a skipped fix adds", []Fix{one(drop(1)), one(add(9), drop(1))}, []string{y0, y2, y3}, []string{"", "taken out"}},
		{"what another edit of a skipped fix adds", []Fix{one(drop(1)), {Edits: []Edit{{Ops: []Op{add(9)}}, {Ops: []Op{drop(1)}}}}}, []string{y0, y2, y3}, []string{"", "taken out"}},
		{"a skipped fix is in nobody's way", []Fix{one(drop(1)), one(drop(1), drop(2)), one(drop(2))}, []string{y0, y3}, []string{"", "taken out", ""}},
		{"what a skipped fix goes by is free", []Fix{one(drop(0)), one(drop(0), add(9, a)), one(drop(1))}, []string{y2, y3}, []string{"", "taken out", ""}},

		{"bridge to a line dropped before", []Fix{one(drop(1)), one(add(9, b))}, []string{y0, y2, y3}, []string{"", "that it goes by"}},
		{"bridge to an end moved before", []Fix{one(moveB(1, 11, 1)), one(add(9, b))}, []string{y0, "0,1-11,1", y2, y3}, []string{"", "that it goes by"}},
		{"bridge to the end that stays", []Fix{one(moveB(1, 11, 1)), one(add(9, a))}, []string{y0, "0,1-11,1", y2, y3, new9}, []string{"", ""}},
		{"drop of what a bridge ends on", []Fix{one(add(9, b)), one(drop(1))}, []string{y0, y1, y2, y3, new9}, []string{"", "goes by a line that it changes"}},
		{"move of what a bridge ends on", []Fix{one(add(9, b)), one(moveB(1, 11, 1))}, []string{y0, y1, y2, y3, new9}, []string{"", "goes by a line that it changes"}},
		{"move of a bridged line's other end", []Fix{one(add(9, b)), one(moveA(1, -1, 1))}, []string{y0, "-1,1-10,1", y2, y3, new9}, []string{"", ""}},
		{"two bridges from one end", []Fix{one(add(9, b)), one(add(8, b))}, []string{y0, y1, y2, y3, new9, new8}, []string{"", ""}},
		{"a fix moves what it goes by itself", []Fix{one(moveB(1, 11, 1), add(9, b))}, []string{y0, "0,1-11,1", y2, y3, new9}, []string{""}},

		{"take a stretch", []Fix{one(take(1, 0.2, 0.5))}, []string{y0, "0,1-2,1", "2,1-5,1 as 5", "5,1-10,1", y2, y3}, []string{""}},
		{"take a line", []Fix{one(take(1, 0, 1))}, []string{y0, "0,1-10,1 as 5", y2, y3}, []string{""}},
		{"take up to its ends", []Fix{one(take(1, 0, 0.5)), one(take(2, 0.5, 1))}, []string{y0, "0,1-5,1 as 5", "5,1-10,1", "0,2-5,2", "5,2-10,2 as 5", y3}, []string{"", ""}},
		{"two take of one line", []Fix{one(take(1, 0.7, 0.8)), one(take(1, 0.2, 0.5))}, []string{y0, "0,1-2,1", "2,1-5,1 as 5", "5,1-7,1", "7,1-8,1 as 5", "8,1-10,1", y2, y3}, []string{"", ""}},
		{"two take side by side", []Fix{one(take(1, 0.5, 1), take(1, 0, 0.5))}, []string{y0, "0,1-5,1 as 5", "5,1-10,1 as 5", y2, y3}, []string{""}},
		{"two take the same", []Fix{one(take(1, 0.2, 0.5)), one(take(1, 0.4, 0.8))}, []string{y0, "0,1-2,1", "2,1-5,1 as 5", "5,1-10,1", y2, y3}, []string{"", "the same stretch"}},
		{"one thing twice: take", []Fix{one(take(1, 0.2, 0.5), take(1, 0.4, 0.8))}, []string{y0, y1, y2, y3}, []string{"twice"}},
		{"one thing twice: take and drop", []Fix{one(take(1, 0.2, 0.5), drop(1))}, []string{y0, y1, y2, y3}, []string{"twice"}},
		{"one thing twice: move and take", []Fix{one(moveA(1, -1, 1), take(1, 0.2, 0.5))}, []string{y0, y1, y2, y3}, []string{"twice"}},
		{"take, drop", []Fix{one(take(1, 0, 1)), one(drop(1))}, []string{y0, "0,1-10,1 as 5", y2, y3}, []string{"", "taken a stretch"}},
		{"take, move", []Fix{one(take(1, 0, 1)), one(moveB(1, 11, 1))}, []string{y0, "0,1-10,1 as 5", y2, y3}, []string{"", "taken a stretch"}},
		{"drop, take", []Fix{one(drop(1)), one(take(1, 0, 1))}, []string{y0, y2, y3}, []string{"", "taken out or redrawn"}},
		{"move, take", []Fix{one(moveA(1, -1, 1)), one(take(1, 0, 1))}, []string{y0, "-1,1-10,1", y2, y3}, []string{"", "moved the same end"}},
		{"take of what a bridge ends on", []Fix{one(add(9, b)), one(take(1, 0, 0.5))}, []string{y0, y1, y2, y3, new9}, []string{"", "goes by a line that it changes"}},
		{"bridge to a line taken before", []Fix{one(take(1, 0, 0.5)), one(add(9, b))}, []string{y0, "0,1-5,1 as 5", "5,1-10,1", y2, y3}, []string{"", "that it goes by"}},
		{"no stretch", []Fix{one(take(1, 0.5, 0.5)), one(take(1, -0.1, 0.5)), one(take(1, 0.5, 1.1)), one(take(1, inf, 1)), one(take(4, 0, 1))},
			[]string{y0, y1, y2, y3}, []string{"not on its line", "not on its line", "not on its line", "not on its line", "a line that is not"}},

		{"a line that is not there", []Fix{one(drop(4)), one(drop(-1)), one(replace(4, 9)), one(moveA(4, 0, 0)), one(moveB(-1, 0, 0))},
			[]string{y0, y1, y2, y3}, []string{"a line that is not", "a line that is not", "a line that is not", "a line that is not", "a line that is not"}},
		{"the last line is there", []Fix{one(drop(3))}, []string{y0, y1, y2}, []string{""}},
		{"a bridge to a line that is not there", []Fix{one(add(9, End{Stroke: 4})), one(add(9, End{Stroke: -1, B: true}))}, []string{y0, y1, y2, y3}, []string{"goes by a line that is not", "goes by a line that is not"}},
		{"no place", []Fix{one(moveA(1, inf, 0)), one(add(inf)), one(replace(1, 9, inf))}, []string{y0, y1, y2, y3}, []string{"no place", "no place", "no place"}},
		{"an end at no place", []Fix{one(Op{Kind: Add, With: []drawing.Stroke{{Piece: geom.Line(geom.Pt(0, 0), geom.Pt(inf, 0))}}}), one(Op{Kind: Add, With: []drawing.Stroke{{Piece: geom.Line(geom.Pt(0, inf), geom.Pt(0, 0))}}})},
			[]string{y0, y1, y2, y3}, []string{"no place", "no place"}},
		{"no known change", []Fix{one(Op{Kind: SettleCurve + 1})}, []string{y0, y1, y2, y3}, []string{"not known"}},
		{"a bad change among good ones", []Fix{one(drop(0), drop(9))}, []string{y0, y1, y2, y3}, []string{"a line that is not"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := drawn(4)
			out, done, skipped := Apply(d, tt.fixes)
			if diff := gocmp.Diff(tt.want, lines(out)); diff != "" {
				t.Errorf("strokes:\n%s", diff)
			}
			if diff := gocmp.Diff(drawn(4), d); diff != "" {
				t.Errorf("the drawing itself is changed:\n%s", diff)
			}
			told(t, tt.fixes, tt.why, done, skipped)
		})
	}
}

var inf = math.Inf(1)

// told checks that every fix is either done, edit by edit, or skipped with why,
// in order.
func told(t *testing.T, fixes []Fix, why []string, done []Edit, skipped []Skipped) {
	t.Helper()
	var edits []Edit
	for i, w := range why {
		if w == "" {
			edits = append(edits, fixes[i].Edits...)
			continue
		}
		if len(skipped) == 0 {
			t.Fatalf("fix %d is not skipped", i)
		}
		if diff := gocmp.Diff(fixes[i], skipped[0].Fix); diff != "" || !strings.Contains(skipped[0].Why, w) {
			t.Errorf("fix %d: skipped since %q, want %q\n%s", i, skipped[0].Why, w, diff)
		}
		skipped = skipped[1:]
	}
	if len(skipped) > 0 {
		t.Errorf("skipped besides: %+v", skipped)
	}
	if diff := gocmp.Diff(edits, done); diff != "" {
		t.Errorf("done:\n%s", diff)
	}
}

func TestApplyTextsNoticesCurves(t *testing.T) {
	text := func(v string) Op { return Op{Kind: AddText, Text: &drawing.Text{Value: v}} }
	for _, tt := range []struct {
		name                   string
		fixes                  []Fix
		texts, notices, curves string
		why                    []string
	}{
		{"nothing", nil, "one two", "z = 1 z = 2", "SPLINE 0+2 ELLIPSE 2+2", nil},
		{"text dropped", []Fix{one(settle(DropText, 0))}, "two", "z = 1 z = 2", "SPLINE 0+2 ELLIPSE 2+2", []string{""}},
		{"text added", []Fix{one(text("new"), settle(DropText, 1))}, "one new", "z = 1 z = 2", "SPLINE 0+2 ELLIPSE 2+2", []string{""}},
		{"notice settled", []Fix{one(settle(SettleNotice, 1))}, "one two", "z = 1", "SPLINE 0+2 ELLIPSE 2+2", []string{""}},
		{"curve settled", []Fix{one(settle(SettleCurve, 0))}, "one two", "z = 1 z = 2", "ELLIPSE 2+2", []string{""}},
		{"curves keep their strokes", []Fix{one(drop(0)), one(replace(3, 7, 8, 9))}, "one two", "z = 1 z = 2", "SPLINE 0+1 ELLIPSE 1+4", []string{"", ""}},
		{"one index of each", []Fix{one(settle(DropText, 0)), one(settle(SettleNotice, 0)), one(settle(SettleCurve, 0)), one(drop(0))}, "two", "z = 2", "ELLIPSE 1+2", []string{"", "", "", ""}},

		{"text twice", []Fix{one(settle(DropText, 0)), one(settle(DropText, 0), add(9))}, "two", "z = 1 z = 2", "SPLINE 0+2 ELLIPSE 2+2", []string{"", "same text"}},
		{"text replaced", []Fix{one(Op{Kind: ReplaceText, Index: 0, Text: &drawing.Text{Value: "1"}})}, "1 two", "z = 1 z = 2", "SPLINE 0+2 ELLIPSE 2+2", []string{""}},
		{"text replaced, dropped", []Fix{one(Op{Kind: ReplaceText, Index: 0, Text: &drawing.Text{Value: "1"}}), one(settle(DropText, 0))}, "1 two", "z = 1 z = 2", "SPLINE 0+2 ELLIPSE 2+2", []string{"", "same text"}},
		{"text that is not there replaced", []Fix{one(Op{Kind: ReplaceText, Index: 2, Text: &drawing.Text{Value: "1"}}), one(Op{Kind: ReplaceText, Index: 1})}, "one two", "z = 1 z = 2", "SPLINE 0+2 ELLIPSE 2+2", []string{"a text that", "says nothing"}},
		{"text at no place", []Fix{one(Op{Kind: AddText, Text: &drawing.Text{At: geom.Pt(0, inf)}})}, "one two", "z = 1 z = 2", "SPLINE 0+2 ELLIPSE 2+2", []string{"no place"}},
		{"notice twice", []Fix{one(settle(SettleNotice, 0)), one(settle(SettleNotice, 0))}, "one two", "z = 2", "SPLINE 0+2 ELLIPSE 2+2", []string{"", "settled the same"}},
		{"curve twice", []Fix{one(settle(SettleCurve, 1)), one(settle(SettleCurve, 1))}, "one two", "z = 1 z = 2", "SPLINE 0+2", []string{"", "settled the same"}},
		{"text twice in one", []Fix{one(settle(DropText, 0), settle(DropText, 0))}, "one two", "z = 1 z = 2", "SPLINE 0+2 ELLIPSE 2+2", []string{"twice"}},

		{"not there", []Fix{one(settle(DropText, 2)), one(settle(DropText, -1)), one(settle(SettleNotice, 2)), one(settle(SettleNotice, -1)), one(settle(SettleCurve, 2)), one(settle(SettleCurve, -1))},
			"one two", "z = 1 z = 2", "SPLINE 0+2 ELLIPSE 2+2", []string{"a text that", "a text that", "a remark that", "a remark that", "a curve that", "a curve that"}},
		{"a text that says nothing", []Fix{one(Op{Kind: AddText})}, "one two", "z = 1 z = 2", "SPLINE 0+2 ELLIPSE 2+2", []string{"says nothing"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := drawn(4)
			out, done, skipped := Apply(d, tt.fixes)
			var texts, notices, curves []string
			for _, x := range out.Texts {
				texts = append(texts, x.Value)
			}
			for _, x := range out.Notices {
				notices = append(notices, x.Text)
			}
			for _, x := range out.Curves {
				curves = append(curves, fmt.Sprintf("%s %d+%d", x.Kind, x.First, x.Count))
			}
			got := []string{strings.Join(texts, " "), strings.Join(notices, " "), strings.Join(curves, " ")}
			if diff := gocmp.Diff([]string{tt.texts, tt.notices, tt.curves}, got); diff != "" {
				t.Error(diff)
			}
			if diff := gocmp.Diff(drawn(4), d); diff != "" {
				t.Errorf("the drawing itself is changed:\n%s", diff)
			}
			told(t, tt.fixes, tt.why, done, skipped)
		})
	}
}

// TestApplyPoints moves, drops and copies points.
func TestApplyPoints(t *testing.T) {
	op := func(k OpKind, i int32, x float64) Op { return Op{Kind: k, Index: i, To: geom.Pt(x, 0)} }
	for _, tt := range []struct {
		name  string
		fixes []Fix
		want  []float64 // x of the points
		why   []string
	}{
		{"moved", []Fix{one(op(MovePoint, 0, 5))}, []float64{5}, []string{""}},
		{"dropped", []Fix{one(op(DropPoint, 0, 0))}, nil, []string{""}},
		{"copied", []Fix{one(op(AddPoint, 0, 5)), one(op(AddPoint, 0, 6))}, []float64{1, 5, 6}, []string{"", ""}},
		{"copied elsewhere", []Fix{one(op(DropPoint, 0, 0), op(AddPoint, 0, 5))}, []float64{5}, []string{""}},
		{"moved twice", []Fix{one(op(MovePoint, 0, 5)), one(op(MovePoint, 0, 6))}, []float64{5}, []string{"", "same point"}},
		{"not there", []Fix{one(op(MovePoint, 1, 5)), one(op(DropPoint, -1, 0)), one(op(AddPoint, 1, 5))}, []float64{1}, []string{"a point that", "a point that", "a point that"}},
		{"to no place", []Fix{one(op(MovePoint, 0, inf))}, []float64{1}, []string{"no place"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			out, done, skipped := Apply(drawn(1), tt.fixes)
			var got []float64
			for _, p := range out.Points {
				got = append(got, p.At.X)
			}
			if diff := gocmp.Diff(tt.want, got); diff != "" {
				t.Error(diff)
			}
			told(t, tt.fixes, tt.why, done, skipped)
		})
	}
}

// TestTakePiece makes stretches of a circle, wherever it starts, of what lies along
// pieces of it.
func TestTakePiece(t *testing.T) {
	whole := geom.Circle(geom.Pt(0, 0), 10)
	for _, tt := range []struct {
		name   string
		t0, t1 float64 // of the circle, past its start where t1 > 1
		want   []string
	}{
		{"all", 0, 1, []string{"0 1"}},
		{"a stretch", 0.25, 0.5, []string{"0.25 0.5"}},
		{"from its start", 0, 0.25, []string{"0 0.25"}},
		{"up to its start", 0.75, 1, []string{"0.75 1"}},
		{"over its start, more before", 0.7, 1.1, []string{"0 0.1", "0.7 1"}},
		{"over its start, more after", 0.9, 1.3, []string{"0 0.3", "0.9 1"}},
		{"a hair over its start", 0.5, 1.000001, []string{"0.5 1"}},
		{"all but a hair", 0.000005, 1, []string{"0 1"}},
	} {
		for _, back := range [2]bool{false, true} {
			p := geom.Arc(geom.Pt(0, 0), 10, 2*math.Pi*tt.t0, 2*math.Pi*(tt.t1-tt.t0))
			if back {
				p = p.Reverse()
			}
			d := &drawing.Drawing{Strokes: []drawing.Stroke{{Piece: whole}}}
			var got []string
			for _, op := range TakePiece(d, 0, &p, drawing.AsTab, 0.001) {
				got = append(got, fmt.Sprintf("%.6g %.6g", op.T0, op.T1))
			}
			slices.Sort(got)
			if diff := gocmp.Diff(tt.want, got); diff != "" {
				t.Errorf("%s, back %v:\n%s", tt.name, back, diff)
			}
		}
	}
}

// TestApplyMarksEdited: what is moved is told from what is as drawn.
func TestApplyMarksEdited(t *testing.T) {
	out, _, _ := Apply(drawn(3), []Fix{one(moveB(1, 11, 1))})
	var got []drawing.Made
	for i := range out.Strokes {
		got = append(got, out.Strokes[i].Made)
	}
	if diff := gocmp.Diff([]drawing.Made{drawing.Drawn, drawing.Edited, drawing.Drawn}, got); diff != "" {
		t.Error(diff)
	}
}

// TestApplyShares: writing to what came out does not reach what went in.
func TestApplyShares(t *testing.T) {
	d := drawn(4)
	out, _, _ := Apply(d, nil)
	for i := range out.Strokes {
		out.Strokes[i].A = geom.Pt(99, 99)
	}
	out.Layers[0].Name, out.Texts[0].Value, out.Notices[0].Text = "x", "x", "x"
	out.Curves[0].Kind, out.Points[0].At = "x", geom.Pt(99, 99)
	if diff := gocmp.Diff(drawn(4), d); diff != "" {
		t.Error(diff)
	}
}

// randomFix changes some of the strokes from..from+3 of a drawing, its own.
func randomFix(r *rand.Rand, from int32) Fix {
	var f Fix
	for s := from; s < from+4; s++ {
		y := 1000 + float64(s)
		var op Op
		switch r.IntN(8) {
		case 0:
			op = drop(s)
		case 1:
			op = replace(s, y, y+0.5)
		case 2:
			op = moveA(s, -1, y)
		case 3:
			op = moveB(s, 11, y)
		case 4:
			op = add(y, Ends(s)...)
		case 5:
			t0 := r.Float64() / 2
			op = take(s, t0, t0+0.01+r.Float64()*0.4)
		default:
			continue
		}
		f.Edits = append(f.Edits, Edit{Kind: "test", Ops: []Op{op}})
	}
	return f
}

// TestApplyOrder: where no fix is in the way of another, their order changes
// nothing but that of the strokes added.
func TestApplyOrder(t *testing.T) {
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 1))
		const n = 8
		d := drawn(4 * n)
		var fixes []Fix
		for i := range int32(n) {
			f := randomFix(r, 4*i)
			if i < 2 {
				f.Edits = append(f.Edits, Edit{Kind: "test", Ops: []Op{settle(DropText, i), settle(SettleNotice, i), settle(SettleCurve, i)}})
			}
			fixes = append(fixes, f)
		}
		all := func() *drawing.Drawing {
			out, done, skipped := Apply(d, fixes)
			if len(skipped) > 0 {
				t.Fatalf("seed %d: skipped since %s", seed, skipped[0].Why)
			}
			edits := 0
			for _, f := range fixes {
				edits += len(f.Edits)
			}
			if len(done) != edits {
				t.Fatalf("seed %d: %d edits done of %d", seed, len(done), edits)
			}
			added := 0
			for _, e := range done {
				for _, op := range e.Ops {
					if op.Kind == Add {
						added += len(op.With)
					}
				}
			}
			tail := out.Strokes[len(out.Strokes)-added:]
			slices.SortFunc(tail, func(x, y drawing.Stroke) int { return cmp.Compare(x.A.Y, y.A.Y) })
			return out
		}
		want := all()
		for range 5 {
			r.Shuffle(len(fixes), func(i, k int) { fixes[i], fixes[k] = fixes[k], fixes[i] })
			if diff := gocmp.Diff(want, all()); diff != "" {
				t.Fatalf("seed %d: another order gives another drawing:\n%s", seed, diff)
			}
		}
	}
}

// TestApplyWhole: of fixes that are in each other's way each lands whole or not at
// all, the first one always, and what was skipped lands once it is alone.
func TestApplyWhole(t *testing.T) {
	skips := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 2))
		d := drawn(8)
		var fixes []Fix
		for range 4 {
			if f := randomFix(r, int32(r.IntN(5))); len(f.Edits) > 0 {
				fixes = append(fixes, f)
			}
		}
		out, done, skipped := Apply(d, fixes)
		var landed []Fix
		for _, f := range fixes {
			if !slices.ContainsFunc(skipped, func(s Skipped) bool { return &s.Fix.Edits[0] == &f.Edits[0] }) {
				landed = append(landed, f)
			}
		}
		alone, again, none := Apply(d, landed)
		if len(none) > 0 || !gocmp.Equal(out, alone) || !gocmp.Equal(done, again) {
			t.Fatalf("seed %d: skipped fixes leave a trace", seed)
		}
		for i, s := range skipped {
			skips++
			if &s.Fix.Edits[0] == &fixes[0].Edits[0] {
				t.Fatalf("seed %d: the first fix is skipped since %s", seed, s.Why)
			}
			if _, _, no := Apply(d, []Fix{s.Fix}); len(no) > 0 {
				t.Fatalf("seed %d: skip %d does not land alone: %s", seed, i, no[0].Why)
			}
		}
	}
	if skips < 100 {
		t.Errorf("only %d fixes were skipped: the test tries too little", skips)
	}
}
