package layout

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

// The check finds each way of spoiling a good layout, and only that.
func TestCheck(t *testing.T) {
	items := []Item{
		{Outer: rect(0, 0, 40, 20), Count: 2, Turns: []float64{0, 180}, Grained: true},
		{Outer: rect(0, 0, 60, 60), Holes: []geom.Path{rect(10, 10, 40, 40).Reverse()}, Count: 1},
		{Outer: disc(0, 0, 6), Count: 1},
	}
	sheets := []Sheet{{
		Width: 200, Height: 110, Margin: 10, Grained: true, Holes: []geom.Path{disc(150, 70, 5)},
		Clamps: []geom.Box{{Min: geom.Pt(90, 90), Max: geom.Pt(110, 110)}},
	}}
	good := func() *Result {
		return &Result{Sheets: []Laid{{Placed: []Placed{
			{Item: 0, Shift: geom.Pt(10, 10)},
			{Item: 0, Copy: 1, Turn: 180, Shift: geom.Pt(93, 30)}, // from 53,10 to 93,30
			{Item: 1, Turn: 0, Shift: geom.Pt(10, 33)},            // its hole from 20,43 to 60,83
			{Item: 2, Shift: geom.Pt(40, 63)},
		}}}}
	}
	at := func(k int, p Placed) func(*Result) {
		return func(r *Result) { p.Item = r.Sheets[0].Placed[k].Item; r.Sheets[0].Placed[k] = p }
	}
	type fault struct {
		Kind FaultKind
		A, B int
	}
	for _, c := range []struct {
		name  string
		spoil func(*Result)
		want  []fault
	}{
		{"good", func(*Result) {}, nil},
		{"a hair too near", at(1, Placed{Turn: 180, Shift: geom.Pt(92.999, 30)}), []fault{{TooNear, 0, 1}}},
		{"touching", at(1, Placed{Turn: 180, Shift: geom.Pt(90, 30)}), []fault{{Overlap, 0, 1}}},
		{"crossing", at(1, Placed{Turn: 180, Shift: geom.Pt(80, 30)}), []fault{{Overlap, 0, 1}}},
		{"on top", at(1, Placed{Turn: 0, Shift: geom.Pt(10, 10)}), []fault{{Overlap, 0, 1}}},
		{"in the material of another", at(3, Placed{Shift: geom.Pt(28, 20)}), []fault{{Overlap, 0, 3}}},
		{"too near the edge of the hole it lies in", at(3, Placed{Shift: geom.Pt(52, 63)}), []fault{{TooNear, 2, 3}}},
		{"beyond the margin", at(0, Placed{Shift: geom.Pt(9.99, 10)}), []fault{{Outside, 0, -1}}},
		{"off the sheet", at(3, Placed{Shift: geom.Pt(500, 50)}), []fault{{Outside, 3, -1}}},
		{"near a hole of the stock", at(3, Placed{Shift: geom.Pt(150, 50)}), []fault{{Outside, 3, -1}}},
		{"over a hole of the stock", at(3, Placed{Shift: geom.Pt(150, 70)}), []fault{{Outside, 3, -1}}},
		{"into a clamp", at(3, Placed{Shift: geom.Pt(100, 86)}), []fault{{Outside, 3, -1}}},
		{"against the grain", at(1, Placed{Turn: 90, Shift: geom.Pt(120, 12)}), []fault{{Turned, 1, -1}}},
		{"along the grain, turn not allowed", at(2, Placed{Turn: 45, Shift: geom.Pt(150, 12)}), []fault{{Turned, 2, -1}, {Outside, 2, -1}}},
		{"lost", func(r *Result) { r.Sheets[0].Placed = r.Sheets[0].Placed[:3] }, []fault{{Lost, 2, -1}}},
		{"left over and told", func(r *Result) {
			r.Sheets[0].Placed = r.Sheets[0].Placed[:3]
			r.Left = []Left{{Item: 2, Count: 1}}
		}, nil},
		{"one too many", func(r *Result) {
			r.Sheets[0].Placed = append(r.Sheets[0].Placed, Placed{Item: 2, Copy: 1, Shift: geom.Pt(110, 50)})
		}, []fault{{Lost, 2, -1}}},
		{"a sheet that is not there", func(r *Result) { r.Sheets[0].Copy = 1 }, []fault{{Outside, -1, -1}, {Lost, 0, -1}, {Lost, 1, -1}, {Lost, 2, -1}}},
	} {
		r := good()
		c.spoil(r)
		var got []fault
		for _, f := range Check(items, sheets, r, 3) {
			got = append(got, fault{f.Kind, f.A, f.B})
			if f.String() == "" {
				t.Errorf("%s: fault without words", c.name)
			}
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}

// A remnant's own edge counts, margin and all.
func TestCheckRemnant(t *testing.T) {
	items := []Item{{Outer: rect(0, 0, 20, 20), Count: 1}}
	l := geom.Path{
		geom.Line(geom.Pt(0, 0), geom.Pt(100, 0)), geom.Line(geom.Pt(100, 0), geom.Pt(100, 50)), geom.Line(geom.Pt(100, 50), geom.Pt(50, 50)),
		geom.Line(geom.Pt(50, 50), geom.Pt(50, 100)), geom.Line(geom.Pt(50, 100), geom.Pt(0, 100)), geom.Line(geom.Pt(0, 100), geom.Pt(0, 0)),
	}
	sheets := []Sheet{{Width: 100, Height: 100, Margin: 5, Outline: l}}
	for _, c := range []struct {
		at geom.Point
		ok bool
	}{{geom.Pt(5, 5), true}, {geom.Pt(25, 75), true}, {geom.Pt(75, 25), true}, {geom.Pt(75, 26), false}, {geom.Pt(70, 70), false}, {geom.Pt(40, 40), false}} {
		r := &Result{Sheets: []Laid{{Placed: []Placed{{Shift: c.at}}}}}
		if f := Check(items, sheets, r, 3); (len(f) == 0) != c.ok {
			t.Errorf("at %v: %v", c.at, f)
		}
	}
}
