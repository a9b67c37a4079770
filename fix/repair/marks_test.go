package repair

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/curve"
	"sluice/geom/drawing"
	"sluice/geom/dxf"
	"sluice/geom/outline"
)

// TestDrillMarkDropsOnce: a hole whose path begins in the middle of a line, where
// another touches it, loses each of its lines once.
func TestDrillMarkDropsOnce(t *testing.T) {
	c := [4]geom.Point{geom.Pt(0, 0), geom.Pt(1, 0), geom.Pt(1, 1), geom.Pt(0, 1)}
	d := &drawing.Drawing{Layers: []drawing.Layer{{Name: EtchLayer}}}
	var hole outline.Path
	for i := range c {
		d.Strokes = append(d.Strokes, drawing.Stroke{Piece: geom.Line(c[i], c[(i+1)%4])})
	}
	first := d.Strokes[0].Piece
	hole.Pieces = geom.Path{first.Sub(0.5, 1), d.Strokes[1].Piece, d.Strokes[2].Piece, d.Strokes[3].Piece, first.Sub(0, 0.5)}
	hole.Src = []int32{0, 1, 2, 3, 0}
	e := DrillMark(d, &hole, geom.Pt(0.5, 0.5), 3)
	out, _, skipped := fix.Apply(d, []fix.Fix{{Edits: []fix.Edit{e}}})
	if len(skipped) > 0 {
		t.Fatalf("skipped, since %s", skipped[0].Why)
	}
	var got []geom.Piece
	for i := range out.Strokes {
		got = append(got, out.Strokes[i].Piece)
	}
	want := []geom.Piece{geom.Line(geom.Pt(-1, 0.5), geom.Pt(2, 0.5)), geom.Line(geom.Pt(0.5, -1), geom.Pt(0.5, 2))}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// span is a stretch of the line from 0 to 100 on the x axis.
type span struct{ from, to float64 }

// left applies ops to a drawing of that line and returns what there is afterwards
// and how it is taken.
func left(t *testing.T, d *drawing.Drawing, ops []fix.Op) (spans []span, as []drawing.As) {
	t.Helper()
	out, _, skipped := fix.Apply(d, []fix.Fix{{Edits: []fix.Edit{{Ops: ops}}}})
	if len(skipped) > 0 {
		t.Fatalf("skipped, since %s", skipped[0].Why)
	}
	for i := range out.Strokes {
		s := &out.Strokes[i]
		spans, as = append(spans, span{math.Round(s.A.X*1e6) / 1e6, math.Round(s.B.X*1e6) / 1e6}), append(as, s.As)
	}
	return spans, as
}

// TestMarkStretches: of a line of which some is a mark only that is taken, but for
// rests at its ends that are no longer than a gap.
func TestMarkStretches(t *testing.T) {
	const cut, note = drawing.AsLayer, drawing.AsNote
	for _, tt := range []struct {
		name  string
		marks []span
		want  []span
		as    []drawing.As
	}{
		{"all", []span{{0, 100}}, []span{{0, 100}}, []drawing.As{note}},
		{"drawn the other way", []span{{100, 0}}, []span{{0, 100}}, []drawing.As{note}},
		{"in the middle", []span{{20, 50}}, []span{{0, 20}, {20, 50}, {50, 100}}, []drawing.As{cut, note, cut}},
		{"two, the second first", []span{{60, 70}, {20, 50}}, []span{{0, 20}, {20, 50}, {50, 60}, {60, 70}, {70, 100}}, []drawing.As{cut, note, cut, note, cut}},
		{"two that follow on", []span{{20, 50}, {50, 70}}, []span{{0, 20}, {20, 70}, {70, 100}}, []drawing.As{cut, note, cut}},
		{"two that overlap", []span{{20, 60}, {30, 50}}, []span{{0, 20}, {20, 60}, {60, 100}}, []drawing.As{cut, note, cut}},
		{"a rest of a gap at the start", []span{{0.4, 50}}, []span{{0, 50}, {50, 100}}, []drawing.As{note, cut}},
		{"a rest of more at the start", []span{{0.6, 50}}, []span{{0, 0.6}, {0.6, 50}, {50, 100}}, []drawing.As{cut, note, cut}},
		{"a rest of a gap at the end", []span{{50, 99.6}}, []span{{0, 50}, {50, 100}}, []drawing.As{cut, note}},
		{"a rest of more at the end", []span{{50, 99.4}}, []span{{0, 50}, {50, 99.4}, {99.4, 100}}, []drawing.As{cut, note, cut}},
		{"a short rest between two", []span{{20, 50}, {50.1, 70}}, []span{{0, 20}, {20, 50}, {50, 50.1}, {50.1, 70}, {70, 100}}, []drawing.As{cut, note, cut, note, cut}},
	} {
		d := &drawing.Drawing{Strokes: []drawing.Stroke{{Piece: geom.Line(geom.Pt(0, 0), geom.Pt(100, 0))}}}
		var o outline.Open
		for _, s := range tt.marks {
			o.Pieces, o.Src = append(o.Pieces, geom.Line(geom.Pt(s.from, 0), geom.Pt(s.to, 0))), append(o.Src, 0)
		}
		e, ok := Mark(d, &o, MarkAsk, false, 0.5)
		got, as := left(t, d, e.Ops)
		if !ok || !slices.Equal(got, tt.want) || !slices.Equal(as, tt.as) {
			t.Errorf("%s: %v as %v, want %v as %v", tt.name, got, as, tt.want, tt.as)
		}
	}
}

// TestMarkChoices: what each choice makes of a mark, drawn or carried on NOTE already.
func TestMarkChoices(t *testing.T) {
	const none = drawing.As(99)
	for _, tt := range []struct {
		choice string
		noted  bool
		as     drawing.As // none: left out
		layer  int32
		ok     bool
	}{
		{MarkAsk, false, drawing.AsNote, 0, true}, {MarkAsk, true, 0, 0, false},
		{MarkNote, false, drawing.AsNote, 0, true}, {MarkNote, true, 0, 0, false},
		{MarkEtch, false, drawing.AsEtch, 1, true}, {MarkEtch, true, drawing.AsEtch, 1, true},
		{MarkCut, false, 0, 0, false}, {MarkCut, true, drawing.AsLayer, 2, true},
		{MarkDrop, false, none, 0, true}, {MarkDrop, true, none, 0, true},
		{MarkIgnore, false, none, 0, true}, {MarkIgnore, true, none, 0, true},
	} {
		line := geom.Line(geom.Pt(0, 0), geom.Pt(100, 0))
		d := &drawing.Drawing{
			Layers:  []drawing.Layer{{Name: "0"}, {Name: EtchLayer}, {Name: dxf.LayerInside}},
			Strokes: []drawing.Stroke{{Piece: line}},
		}
		o := outline.Open{Path: outline.Path{Pieces: geom.Path{line}, Src: []int32{0}}}
		e, ok := Mark(d, &o, tt.choice, tt.noted, 0.5)
		if ok != tt.ok {
			t.Errorf("%s, noted %t: changes %t, want %t", tt.choice, tt.noted, ok, tt.ok)
		}
		if !ok {
			continue
		}
		out, _, _ := fix.Apply(d, []fix.Fix{{Edits: []fix.Edit{e}}})
		switch {
		case tt.as == none:
			if len(out.Strokes) > 0 {
				t.Errorf("%s: still there", tt.choice)
			}
		case !strings.HasSuffix(e.Kind, "-mark"):
			t.Errorf("%s: told as %q", tt.choice, e.Kind)
		case len(out.Strokes) != 1 || out.Strokes[0].As != tt.as || out.Strokes[0].Layer != tt.layer || out.Strokes[0].Piece != line:
			t.Errorf("%s, noted %t: %+v", tt.choice, tt.noted, out.Strokes)
		}
	}
}

// TestLayer: a layer is found by its name, or added once.
func TestLayer(t *testing.T) {
	d := &drawing.Drawing{Layers: []drawing.Layer{{Name: "0"}, {Name: "A"}}}
	if a, b := FindLayer(d, "A"), FindLayer(d, EtchLayer); a != 1 || b != -1 {
		t.Errorf("found at %d and %d", a, b)
	}
	for range 2 {
		if a, b, c := Layer(d, "A"), Layer(d, EtchLayer), FindLayer(d, EtchLayer); a != 1 || b != 2 || c != 2 || len(d.Layers) != 3 {
			t.Errorf("at %d, %d, %d of %d", a, b, c, len(d.Layers))
		}
	}
}

// TestDropRepeats: of a line just the stretches that repeat another go.
func TestDropRepeats(t *testing.T) {
	for _, tt := range []struct {
		name string
		drop []span // shares
		want []span
	}{
		{"all", []span{{0, 1}}, nil},
		{"all in two", []span{{0, 0.4}, {0.4, 1}}, nil},
		{"start", []span{{0, 0.4}}, []span{{40, 100}}},
		{"end", []span{{0.4, 1}}, []span{{0, 40}}},
		{"middle", []span{{0.4, 0.5}}, []span{{0, 40}, {50, 100}}},
		{"two", []span{{0.1, 0.2}, {0.4, 0.5}}, []span{{0, 10}, {20, 40}, {50, 100}}},
		{"two that overlap", []span{{0.1, 0.5}, {0.2, 0.3}}, []span{{0, 10}, {50, 100}}},
		{"all but less than a thousandth", []span{{0.000009, 1}}, nil},
		{"all but more than that", []span{{0.00002, 1}}, []span{{0, 0.002}}},
	} {
		d := &drawing.Drawing{Strokes: []drawing.Stroke{{Piece: geom.Line(geom.Pt(0, 0), geom.Pt(100, 0))}}}
		var list []outline.Overlap
		for _, s := range tt.drop {
			list = append(list, outline.Overlap{T0: s.from, T1: s.to})
		}
		if got, _ := left(t, d, DropRepeats(d, list)); !slices.Equal(got, tt.want) {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}

// TestRefitRun: one arc takes the place of its lines, wherever the outline starts;
// lines that stand for more than they draw, or less, are left.
func TestRefitRun(t *testing.T) {
	arc := geom.Arc(geom.Pt(0, 0), 10, 0, 1)
	flat := func() (*drawing.Drawing, *outline.Path) {
		d, p := &drawing.Drawing{}, &outline.Path{}
		for k := range 4 {
			s := geom.Line(arc.At(float64(k)/4), arc.At(float64(k+1)/4))
			if k == 2 {
				s = s.Reverse() // drawn the other way
			}
			d.Strokes = append(d.Strokes, drawing.Stroke{Piece: s})
		}
		d.Strokes = append(d.Strokes, drawing.Stroke{Piece: geom.Line(arc.B, arc.A)})
		for _, k := range []int32{2, 3, 4, 0, 1} {
			q := d.Strokes[k].Piece
			if k == 2 {
				q = q.Reverse()
			}
			p.Pieces, p.Src, p.Flags = append(p.Pieces, q), append(p.Src, k), append(p.Flags, 0)
		}
		return d, p
	}
	run := curve.Run{First: 3, Count: 4, Arc: arc, Deviation: 0.01}
	d, p := flat()
	e, ok := RefitRun(d, p, run)
	if !ok || e.Was != 4 || e.Now != 1 || e.Moved != 0.01 {
		t.Fatalf("%t, %+v", ok, e)
	}
	out, _, _ := fix.Apply(d, []fix.Fix{{Edits: []fix.Edit{e}}})
	if len(out.Strokes) != 2 || out.Strokes[0].Piece != arc || out.Strokes[1].Piece != d.Strokes[4].Piece {
		t.Errorf("%+v", out.Strokes)
	}
	for name, change := range map[string]func(*drawing.Drawing, *outline.Path){
		"a bridge":              func(_ *drawing.Drawing, p *outline.Path) { p.Src[0] = -1 },
		"flagged":               func(_ *drawing.Drawing, p *outline.Path) { p.Flags[4] = outline.IsTwin },
		"drawn further on":      func(d *drawing.Drawing, _ *outline.Path) { d.Strokes[3].B = geom.Pt(20, 20) },
		"drawn from further on": func(d *drawing.Drawing, _ *outline.Path) { d.Strokes[1].A = geom.Pt(20, 20) },
	} {
		d, p := flat()
		change(d, p)
		if e, ok := RefitRun(d, p, run); ok {
			t.Errorf("%s: %+v", name, e)
		}
	}
}

// TestStrokeText: letters take the place of a text: as high as it, on ETCH, turned
// with it, centred where it is, lines below each other.
func TestStrokeText(t *testing.T) {
	for _, tt := range []struct {
		name string
		text drawing.Text
		box  geom.Box // of the letters; 6 mm high
	}{
		{"one line", drawing.Text{At: geom.Pt(100, 50), Height: 6, Value: "HI"}, geom.Box{Min: geom.Pt(100, 50), Max: geom.Pt(0, 56)}},
		{"two lines", drawing.Text{At: geom.Pt(100, 50), Height: 6, Value: "HI\nH"}, geom.Box{Min: geom.Pt(100, 40), Max: geom.Pt(0, 56)}},
		{"standing up", drawing.Text{At: geom.Pt(100, 50), Height: 6, Value: "HI", Angle: math.Pi / 2}, geom.Box{Min: geom.Pt(94, 50), Max: geom.Pt(100, 0)}},
		{"centred", drawing.Text{At: geom.Pt(100, 50), Height: 6, Value: "HI", Centered: true}, geom.Box{Min: geom.Pt(0, 47), Max: geom.Pt(0, 53)}},
	} {
		d := &drawing.Drawing{Layers: []drawing.Layer{{Name: "0"}, {Name: EtchLayer}}, Texts: []drawing.Text{tt.text}}
		out, _, _ := fix.Apply(d, []fix.Fix{{Edits: []fix.Edit{StrokeText(d, 0)}}})
		box := geom.NoBox()
		for i := range out.Strokes {
			if s := &out.Strokes[i]; s.Layer != 1 || s.As != drawing.AsEtch {
				t.Errorf("%s: %+v", tt.name, s)
			}
			box = box.Union(out.Strokes[i].Box())
		}
		// Letters may stand in a little from where they start.
		if len(out.Texts) > 0 || len(out.Strokes) < 4 {
			t.Errorf("%s: %d texts, %d lines", tt.name, len(out.Texts), len(out.Strokes))
		}
		for _, x := range [][2]float64{{box.Min.X, tt.box.Min.X}, {box.Min.Y, tt.box.Min.Y}, {box.Max.X, tt.box.Max.X}, {box.Max.Y, tt.box.Max.Y}} {
			if x[1] != 0 && math.Abs(x[0]-x[1]) > 1 {
				t.Errorf("%s: letters in %v, want %v", tt.name, box, tt.box)
			}
		}
		if c := box.Center(); tt.text.Centered && c.Dist(tt.text.At) > 1 {
			t.Errorf("%s: about %v", tt.name, c)
		}
	}
}
