package layout

import (
	"context"
	"math"
	"slices"
	"testing"

	"sluice/geom"
)

// lying returns where the parts of a layout lie, each once.
func lying(r *Result) (all []Pinned) {
	for _, l := range r.Sheets {
		for _, q := range l.Placed {
			all = append(all, Pinned{q.Item, l.Sheet, l.Copy, q.Turn, q.Shift})
		}
	}
	return all
}

// stays reports whether a part lies there too, but for rounding.
func stays(p Pinned, in []Pinned) bool {
	return slices.ContainsFunc(in, func(q Pinned) bool {
		return q.Item == p.Item && q.Sheet == p.Sheet && q.Copy == p.Copy && math.Abs(q.Turn-p.Turn) < 1e-9 && q.Shift.Dist(p.Shift) < 1e-9
	})
}

// TestBegin begins with a layout: nothing moves that need not, what a pinned part lies on
// makes room, and going on makes nothing worse.
func TestBegin(t *testing.T) {
	for _, tt := range []struct {
		name  string
		sheet Sheet
	}{
		{"long", Sheet{Width: 500, Height: 300, Margin: 5, Count: 3}},
		{"high", Sheet{Width: 300, Height: 500, Margin: 5, Count: 3, Clamps: []geom.Box{geom.BoxOf(geom.Pt(0, 0), geom.Pt(30, 30))}}},
	} {
		items, sheets := randomItems(7, 9, 3), []Sheet{tt.sheet}
		o := Options{Gap: 3, Seconds: 0.05, Seed: 1}
		first, err := Layout(context.Background(), items, sheets, o)
		if err != nil {
			t.Fatal(tt.name, err)
		}
		o.Begin, o.Still = first.Sheets, true
		same, err := Layout(context.Background(), items, sheets, o)
		if err != nil {
			t.Fatal(tt.name, err)
		}
		was := lying(first)
		for _, p := range was {
			if !stays(p, lying(same)) {
				t.Errorf("%s: part %d moves though nothing asks for it", tt.name, p.Item)
			}
		}
		// One is put upon another.
		p := was[len(was)-1]
		on := items[was[0].Item].Outer.Transform(was[0].placed(0).Transform()).Box().Center()
		box := items[p.Item].Outer.Transform(p.placed(0).Transform()).Box()
		p.Sheet, p.Copy = was[0].Sheet, was[0].Copy
		p.Shift = p.Shift.Add(on.Sub(box.Center()))
		o.Pins = []Pinned{p}
		if PinFaults(items, sheets, o.Pins, o.Gap) != nil {
			o.Pins[0] = SpotOn(items, sheets, p, nil, nil, o.Gap, 20).Pinned
		}
		o.Begin = slices.Clone(first.Sheets)
		last := &o.Begin[len(o.Begin)-1]
		last.Placed = last.Placed[:len(last.Placed)-1]
		around, err := Layout(context.Background(), items, sheets, o)
		if err != nil {
			t.Fatal(tt.name, err)
		}
		kept(t, around.Sheets, o.Pins)
		brute(t, items, sheets, around, o.Gap)
		if len(around.Left) > 0 {
			t.Errorf("%s: left over: %+v", tt.name, around.Left)
		}
		moved := 0
		for _, q := range was[:len(was)-1] {
			if !stays(q, lying(around)) {
				moved++
			}
		}
		if moved == 0 || moved > 5 {
			t.Errorf("%s: %d of %d parts make room for one", tt.name, moved, len(was))
		}
		// Going on from there.
		o.Begin, o.Still = around.Sheets, false
		on2, err := Layout(context.Background(), items, sheets, o)
		if err != nil {
			t.Fatal(tt.name, err)
		}
		kept(t, on2.Sheets, o.Pins)
		brute(t, items, sheets, on2, o.Gap)
		if len(on2.Sheets) > len(around.Sheets) || len(on2.Left) > 0 {
			t.Errorf("%s: %d sheets after %d", tt.name, len(on2.Sheets), len(around.Sheets))
		}
	}
}

// TestBeginUnsound: what a layout to begin with has of parts that there are not, or that
// may not lie so, finds a place anew.
func TestBeginUnsound(t *testing.T) {
	items := []Item{{Outer: rect(0, 0, 40, 20), Count: 3}, {Outer: rect(0, 0, 30, 30), Count: 1}}
	sheets := []Sheet{{Width: 200, Height: 100, Margin: 5}}
	at := func(item int, x, y float64) Placed { return Placed{Item: item, Shift: geom.Pt(x, y)} }
	begin := []Laid{
		{Sheet: 0, Placed: []Placed{at(0, 50, 50), at(0, 60, 60), at(0, 2, 2), at(0, 120, 50), at(0, 120, 10), at(7, 9, 9), {Item: 1, Turn: 30, Shift: geom.Pt(60, 10)}}},
		{Sheet: 0, Placed: []Placed{at(1, 10, 10)}}, {Sheet: 3, Placed: []Placed{at(1, 10, 10)}}, {Sheet: 0, Copy: 1, Placed: []Placed{at(1, 10, 10)}},
	}
	r, err := Layout(context.Background(), items, sheets, Options{Gap: 3, Seconds: 0.01, Begin: begin, Still: true})
	if err != nil {
		t.Fatal(err)
	}
	brute(t, items, sheets, r, 3)
	if len(r.Left) > 0 {
		t.Errorf("left over: %+v", r.Left)
	}
	if !stays(Pinned{Item: 0, Shift: geom.Pt(50, 50)}, lying(r)) {
		t.Error("the one that may lie there moves")
	}
}

// TestSpotOn puts a part by hand.
func TestSpotOn(t *testing.T) {
	items := []Item{{Outer: rect(10, 10, 40, 20), Count: 1}, {Outer: rect(0, 0, 30, 30), Count: 2}, {Outer: rect(0, 0, 30, 30), Count: 1, Turns: []float64{0, 180}}}
	sheets := []Sheet{{Width: 200, Height: 100, Margin: 5, Clamps: []geom.Box{geom.BoxOf(geom.Pt(80, 0), geom.Pt(100, 12))}}}
	others := []Placed{{Item: 1, Shift: geom.Pt(50, 50)}, {Item: 1, Shift: geom.Pt(150, 50)}}
	pinned := []bool{false, true}
	for _, tt := range []struct {
		name   string
		x, y   float64 // asked for: the lower left corner
		turn   float64
		wx, wy float64 // where it comes to lie
		way    []int
		fault  string
	}{
		{"free", 6.004, 60, 0, 6, 60, nil, ""},
		{"beyond the corner", -30, 300, 0, 5, 75, nil, ""},
		{"turned", 5, 5, 90, 5, 5, nil, ""},
		{"as it may not be", 104, 15, 45, 104, 15, nil, "turned"},
		{"a little too near", 81.5, 55, 0, 83, 55, nil, ""},
		{"on another", 60, 55, 0, 60, 55, []int{0}, ""},
		{"on a pinned one", 150, 55, 0, 150, 55, nil, "overlap"},
		{"in a clamp zone", 70, 5, 0, 70, 5, nil, "outside"},
		{"a little in a clamp zone", 70, 11, 0, 70, 12, nil, ""},
	} {
		at := geom.Pt(tt.x, tt.y)
		p := PinnedAt(items, 0, 0, 0, tt.turn, at)
		got := SpotOn(items, sheets, p, others, pinned, 3, 4)
		box := items[0].Outer.Transform(got.placed(0).Transform()).Box()
		if tt.turn == 45 {
			tt.wx, tt.wy = box.Min.X, box.Min.Y // the box is what is asked for
		}
		if box.Min.Dist(geom.Pt(tt.wx, tt.wy)) > 0.6 || !slices.Equal(got.Way, tt.way) {
			t.Errorf("%s: lies at %v, and %v must make room; want %g, %g and %v", tt.name, box.Min, got.Way, tt.wx, tt.wy, tt.way)
		}
		kind := ""
		if len(got.Faults) > 0 {
			kind = got.Faults[0].Kind.String()
		}
		if kind != tt.fault {
			t.Errorf("%s: refused for %q, want %q", tt.name, kind, tt.fault)
		}
		if kind == "" && tt.way == nil { // what is said to be free is
			r := &Result{Sheets: []Laid{{Placed: append(slices.Clone(others), got.placed(0))}}, Left: []Left{{Item: 2, Count: 1}}}
			if f := Check(items, sheets, r, 3); f != nil {
				t.Errorf("%s: %v", tt.name, f)
			}
		}
	}
	if got := Turns(&items[2], &sheets[0]); !slices.Equal(got, []float64{0, 180}) {
		t.Errorf("turns %v", got)
	}
	if got := Turns(&items[0], &Sheet{Grained: true}); !slices.Equal(got, []float64{0, 90, 180, 270}) {
		t.Errorf("turns %v", got)
	}
}
