package diff

import (
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
	"sluice/geom/drawing"
)

// tabbed draws the bracket with a tab of the given gap in its lower edge, its
// middle at x, laid by t.
func tabbed(x, gap float64, t geom.Transform) []drawing.Stroke {
	b := bracket()
	l := b.rings[0][0]
	t0, t1 := (x-gap/2)/40, (x+gap/2)/40
	var out []drawing.Stroke
	add := func(layer int32, p geom.Piece) {
		out = append(out, drawing.Stroke{Piece: p.Transform(t), Layer: layer})
	}
	add(onCut, l.Sub(0, t0))
	add(onTab, l.Sub(t0, t1))
	add(onCut, l.Sub(t1, 1))
	for _, p := range append(b.rings[0][1:], b.rings[1]...) {
		add(onCut, p)
	}
	return out
}

func TestTabs(t *testing.T) {
	id := geom.Identity()
	away := geom.Turn(geom.Point{}, 1).Then(geom.Shift(geom.Pt(30, 90)))
	plain := strokesOf([]item{bracket()})
	tests := map[string]struct {
		before, after []drawing.Stroke
		want          []string
	}{
		"kept":                       {tabbed(20, 1.8, id), tabbed(20, 1.8, id), nil},
		"kept on a part turned away": {tabbed(20, 1.8, id), tabbed(20, 1.8, away), nil},
		"added":                      {plain, tabbed(20, 1.8, id), []string{"added 0.0 1.8 at 20.0,0.0 by 0.0,0.0"}},
		"removed":                    {tabbed(20, 1.8, id), plain, []string{"removed 1.8 0.0 at 20.0,0.0 by 0.0,0.0"}},
		"moved":                      {tabbed(20, 1.8, id), tabbed(25, 1.8, id), []string{"moved 1.8 1.8 at 25.0,0.0 by 5.0,0.0"}},
		"widened":                    {tabbed(20, 1.8, id), tabbed(20, 2.8, id), []string{"changed 1.8 2.8 at 20.0,0.0 by 0.0,0.0"}},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			d := Compare(&Side{Sheet: sheetOf(t, tt.before)}, &Side{Sheet: sheetOf(t, tt.after)}, tol)
			var got []string
			for _, c := range d.Tabs {
				got = append(got, fmt.Sprintf("%s %.1f %.1f at %.1f,%.1f by %.1f,%.1f", c.Change, c.GapBefore, c.GapAfter, c.At.X, c.At.Y, c.Shift.X, c.Shift.Y))
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			if name != "kept on a part turned away" && !d.Same {
				t.Error("tabs are told apart from shapes, but the shapes differ")
			}
		})
	}
}

func TestTexts(t *testing.T) {
	kit := []item{bracket(), bracket().shift(0, 40)}
	moved := []item{bracket(), bracket().shift(50, 40)}
	num := func(v string, part int, x, y float64) Text {
		return Text{Value: v, Part: part, At: geom.Pt(x, y), Height: 4, Number: true}
	}
	// Part 0 is the upper one.
	tests := map[string]struct {
		before, after []Text
		kit           []item
		want          []string
	}{
		"kept":                  {[]Text{num("1", 0, 25, 45)}, []Text{num("1", 0, 25, 45)}, kit, nil},
		"kept on a part moved":  {[]Text{num("1", 0, 25, 45)}, []Text{num("1", 0, 75, 45)}, moved, nil},
		"moved on its part":     {[]Text{num("1", 0, 25, 45)}, []Text{num("1", 0, 28, 45)}, kit, []string{`moved "1" "1" number at 28,45`}},
		"added":                 {nil, []Text{num("1", 0, 25, 45)}, kit, []string{`added "" "1" number at 25,45`}},
		"removed":               {[]Text{num("1", 0, 25, 45)}, nil, kit, []string{`removed "1" "" number at 25,45`}},
		"changed":               {[]Text{num("1", 0, 25, 45)}, []Text{num("7", 0, 25, 45)}, kit, []string{`changed "1" "7" number at 25,45`}},
		"swapped":               {[]Text{num("1", 0, 25, 45), num("2", 1, 25, 5)}, []Text{num("2", 0, 25, 45), num("1", 1, 25, 5)}, kit, []string{`changed "1" "2" number at 25,45`, `changed "2" "1" number at 25,5`}},
		"other lettering":       {[]Text{{Value: "3 mm", Part: -1, At: geom.Pt(0, 99)}}, []Text{{Value: "5 mm", Part: -1, At: geom.Pt(0, 99)}}, kit, []string{`changed "3 mm" "5 mm" text at 0,99`}},
		"lettering elsewhere":   {[]Text{{Value: "a", Part: -1, At: geom.Pt(0, 99)}}, []Text{{Value: "b", Part: -1, At: geom.Pt(50, 99)}}, kit, []string{`removed "a" "" text at 0,99`, `added "" "b" text at 50,99`}},
		"the same letter often": {[]Text{{Value: "a", Part: -1}, {Value: "a", Part: -1, At: geom.Pt(1, 0)}}, []Text{{Value: "a", Part: -1, At: geom.Pt(1, 0)}}, kit, []string{`removed "a" "" text at 0,0`}},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			a, b := sideOf(t, kit), sideOf(t, tt.kit)
			a.Texts, b.Texts = tt.before, tt.after
			d := Compare(a, b, tol)
			var got []string
			for _, c := range d.Texts {
				kind := "text"
				if c.Number {
					kind = "number"
				}
				got = append(got, fmt.Sprintf("%s %q %q %s at %.0f,%.0f", c.Change, c.Was, c.Is, kind, c.At.X, c.At.Y))
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func TestLines(t *testing.T) {
	b := bracket()
	line := func(layer int32, x0, y0, x1, y1 float64) drawing.Stroke {
		return drawing.Stroke{Piece: geom.Line(geom.Pt(x0, y0), geom.Pt(x1, y1)), Layer: layer}
	}
	arcs := func(n int) (out []drawing.Stroke) {
		a := geom.Arc(geom.Pt(25, 6), 4, 0, math.Pi)
		for k := range n {
			out = append(out, drawing.Stroke{Piece: a.Sub(float64(k)/float64(n), float64(k+1)/float64(n)), Layer: onEtch})
		}
		return out
	}
	draw := func(kit []item, extra ...drawing.Stroke) *Side {
		return &Side{Sheet: sheetOf(t, append(strokesOf(kit), extra...))}
	}
	moved := []item{b.shift(100, 0)}
	kit := []item{b}
	tests := map[string]struct {
		before, after *Side
		want          []string
		same          bool
	}{
		"etched arc in pieces": {draw(kit, arcs(1)...), draw(kit, arcs(5)...), nil, true},
		"etched line added":    {draw(kit), draw(kit, line(onEtch, 15, 3, 35, 3)), []string{"added etched part 0: 1, 20.0 mm at 25.0,3.0"}, true},
		"etched line grown":    {draw(kit, line(onEtch, 15, 3, 30, 3)), draw(kit, line(onEtch, 15, 3, 35, 3)), []string{"added etched part 0: 1, 20.0 mm at 25.0,3.0"}, true},
		"moves with its part":  {draw(kit, line(onEtch, 15, 3, 35, 3)), draw(moved, line(onEtch, 115, 3, 135, 3)), nil, false},
		"stays where its part was": {draw(kit, line(onEtch, 15, 3, 35, 3)), draw(moved, line(onEtch, 15, 3, 35, 3)),
			[]string{"removed etched part 0: 1, 20.0 mm at 25.0,3.0", "added etched part -1: 1, 20.0 mm at 25.0,3.0"}, false},
		"open cut added in the scrap": {draw(kit), draw(kit, line(onCut, 0, 60, 30, 60)), []string{"added open part -1: 1, 30.0 mm at 15.0,60.0"}, false},
		"cut turned into a mark": {draw(kit, line(onCut, 15, 3, 35, 3)), draw(kit, line(onEtch, 15, 3, 35, 3)),
			[]string{"removed open part 0: 1, 20.0 mm at 25.0,3.0", "added etched part 0: 1, 20.0 mm at 25.0,3.0"}, false},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			d := Compare(tt.before, tt.after, tol)
			var got []string
			for _, c := range d.Lines {
				kind := "etched"
				if c.Open {
					kind = "open"
				}
				got = append(got, fmt.Sprintf("%s %s part %d: %d, %.1f mm at %.1f,%.1f", c.Change, kind, max(c.Before, c.After), c.Paths, c.Length, c.At.X, c.At.Y))
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			if d.Same != tt.same {
				t.Errorf("Same is %v", d.Same)
			}
		})
	}
}

// The strokes of a number that came are told as lettering.
func TestLettering(t *testing.T) {
	stroke := func(x0, y0, x1, y1 float64) drawing.Stroke {
		return drawing.Stroke{Piece: geom.Line(geom.Pt(x0, y0), geom.Pt(x1, y1)), Layer: onEtch}
	}
	before := sideOf(t, []item{bracket()})
	after := &Side{Sheet: sheetOf(t, append(strokesOf([]item{bracket()}), stroke(24, 4, 25, 6), stroke(25, 6, 25, 2), stroke(15, 1, 38, 1)))}
	after.Texts = []Text{{Value: "1", Part: 0, Number: true, At: geom.Pt(25, 4), Height: 4}}
	d := Compare(before, after, tol)
	var got []string
	for _, c := range d.Lines {
		got = append(got, fmt.Sprintf("%s lettering %v: %d, %.1f mm", c.Change, c.Lettering, c.Paths, c.Length))
	}
	want := []string{"added lettering true: 1, 6.2 mm", "added lettering false: 1, 23.0 mm"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestLayersAndSums(t *testing.T) {
	kit := []item{bracket(), bracket().shift(50, 0), gear(12).shift(150, 0)}
	a, b := sideOf(t, kit), sideOf(t, kit)
	a.Layers = [][]string{{"0"}, {"0"}, {"cut"}}
	b.Layers = [][]string{{"INSIDE", "OUTSIDE"}, {"INSIDE", "OUTSIDE"}, {"cut"}}
	d := Compare(a, b, tol)
	n := 0
	for _, c := range d.Layers {
		n += len(c.Parts)
	}
	if len(d.Layers) == 0 || !d.Same {
		t.Errorf("layers %+v, same %v", d.Layers, d.Same)
	}
	if diff := cmp.Diff(d.Sums[0], d.Sums[1]); diff != "" {
		t.Errorf("sums (-before +after):\n%s", diff)
	}
	want := 0.0
	for _, m := range kit {
		for i, r := range m.rings {
			want += math.Abs(r.Area()) * []float64{1, -1}[min(i, 1)]
		}
	}
	if s := d.Sums[0]; math.Abs(s.Area-want) > 1e-6*want || s.Parts != 3 || s.Holes != 3 {
		t.Errorf("sums %+v, want an area of %.3f", s, want)
	}
	if n < 1 || n > 2 {
		t.Errorf("%d parts changed layers", n)
	}
}
