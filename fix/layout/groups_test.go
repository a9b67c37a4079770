package layout

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"sluice/geom"
)

// A group lies on one sheet where it fits one, and is taken apart where it fits
// none.
func TestLayoutGroups(t *testing.T) {
	kit := func(group int, size float64) []Item {
		return []Item{
			{Name: "plate", Outer: rect(0, 0, size, 100), Count: 2, Group: group},
			{Name: "disc", Outer: disc(0, 0, 20), Count: 5, Group: group},
		}
	}
	for _, c := range []struct {
		name   string
		items  []Item
		sheets int
		split  bool
	}{
		{"two kits of which one and a half fit a sheet", append(kit(1, 260), kit(2, 260)...), 2, false},
		{"three small kits", slices.Concat(kit(1, 70), kit(2, 70), kit(3, 70)), 1, false},
		{"larger than a sheet", append(kit(1, 260), Item{Outer: rect(0, 0, 260, 250), Count: 1, Group: 1}), 2, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			sheets := []Sheet{{Width: 300, Height: 320, Margin: 10, Count: 5}}
			r, err := Layout(t.Context(), c.items, sheets, Options{Gap: 3, Seconds: 0.3, Seed: 1})
			if err != nil {
				t.Fatal(err)
			}
			brute(t, c.items, sheets, r, 3)
			on := map[int]map[int]bool{}
			for n, l := range r.Sheets {
				for _, p := range l.Placed {
					g := c.items[p.Item].Group
					if on[g] == nil {
						on[g] = map[int]bool{}
					}
					on[g][n] = true
				}
			}
			for g, s := range on {
				if split := len(s) > 1; split != c.split {
					t.Errorf("group %d lies on %d sheets", g, len(s))
				}
			}
			if len(r.Left) > 0 || len(r.Sheets) != c.sheets {
				t.Errorf("%d sheets, left %v", len(r.Sheets), r.Left)
			}
		})
	}
}

// Parts keep gaps of their own, lie on the sheets they may lie on, at free turns
// where they may, and off the clamps by what is asked besides.
func TestLayoutOwn(t *testing.T) {
	clamp := geom.Box{Min: geom.Pt(0, 90), Max: geom.Pt(60, 150)}
	sheets := []Sheet{
		{Name: "dear", Width: 400, Height: 300, Margin: 10, Count: 3, Price: 9, Clamps: []geom.Box{clamp}, OffClamps: 4},
		{Name: "cheap", Width: 400, Height: 300, Margin: 10, Price: 2, Clamps: []geom.Box{clamp}, OffClamps: 4},
	}
	items := []Item{
		{Name: "wide gap", Outer: rect(0, 0, 60, 40), Count: 4, Gap: 12},
		{Name: "usual gap", Outer: disc(0, 0, 22), Count: 8},
		{Name: "on the dear one", Outer: rect(0, 0, 80, 30), Count: 2, Sheets: []int{0}},
		{Name: "free", Outer: rect(0, 0, 300, 20).Transform(geom.Turn(geom.Point{}, 0.4)), Count: 1, Free: true},
	}
	r, err := Layout(t.Context(), items, sheets, Options{Gap: 2, Seconds: 0.5, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	brute(t, items, sheets, r, 2)
	if len(r.Left) > 0 {
		t.Errorf("left %v", r.Left)
	}
	if r.Sheets[0].Sheet != 1 {
		t.Errorf("begun on sheet %d", r.Sheets[0].Sheet)
	}
	for _, l := range r.Sheets {
		var paths []geom.Path
		for _, p := range l.Placed {
			paths = append(paths, items[p.Item].Outer.Transform(p.Transform()))
		}
		for i, p := range l.Placed {
			if p.Item == 2 && l.Sheet != 0 {
				t.Errorf("part 3 on sheet %d", l.Sheet)
			}
			for _, q := range paths[i].Flatten(0.01) {
				if d := math.Sqrt(clamp.PointDist2(q)); d < 4-0.01 {
					t.Fatalf("part %d lies %g mm from the clamp", p.Item, d)
				}
				for j := range paths {
					if d, _ := paths[j].Dist(q); i != j && d < max(items[p.Item].Gap, items[l.Placed[j].Item].Gap, 2)-0.02 {
						t.Fatalf("parts %d and %d are %g mm apart", p.Item, l.Placed[j].Item, d)
					}
				}
			}
		}
	}
}

// Check tells what breaks each of the options that parts and sheets have of
// their own.
func TestCheckOwn(t *testing.T) {
	sheet := Sheet{Width: 300, Height: 200, Margin: 10, Clamps: []geom.Box{{Min: geom.Pt(0, 0), Max: geom.Pt(50, 50)}}, OffClamps: 5}
	at := func(item int, x, y, turn float64) Placed { return Placed{Item: item, Turn: turn, Shift: geom.Pt(x, y)} }
	for _, c := range []struct {
		name   string
		item   Item
		placed []Placed
		want   string
	}{
		{"all well", Item{Outer: rect(0, 0, 20, 20), Count: 2, Gap: 8}, []Placed{at(0, 60, 60, 0), at(0, 88, 60, 0)}, "[]"},
		{"nearer than its own gap", Item{Outer: rect(0, 0, 20, 20), Count: 2, Gap: 8}, []Placed{at(0, 60, 60, 0), at(0, 87, 60, 0)}, "[too near]"},
		{"near a clamp", Item{Outer: rect(0, 0, 20, 20), Count: 1}, []Placed{at(0, 54, 20, 0)}, "[outside]"},
		{"off the clamp", Item{Outer: rect(0, 0, 20, 20), Count: 1}, []Placed{at(0, 55, 20, 0)}, "[]"},
		{"on a sheet it may not lie on", Item{Outer: rect(0, 0, 20, 20), Count: 1, Sheets: []int{3}}, []Placed{at(0, 60, 60, 0)}, "[on a sheet it may not lie on]"},
		{"any turn", Item{Outer: rect(0, 0, 20, 20), Count: 1, Free: true}, []Placed{at(0, 90, 90, 33)}, "[]"},
		{"not any turn", Item{Outer: rect(0, 0, 20, 20), Count: 1}, []Placed{at(0, 90, 90, 33)}, "[turned]"},
	} {
		var got []string
		for _, f := range Check([]Item{c.item}, []Sheet{sheet}, &Result{Sheets: []Laid{{Placed: c.placed}}}, 3) {
			got = append(got, f.Kind.String())
		}
		if fmt.Sprint(got) != c.want {
			t.Errorf("%s: %v, want %s", c.name, got, c.want)
		}
	}
}

// Where nothing can be placed, all is told as left over.
func TestLayoutNothingFits(t *testing.T) {
	all := []geom.Box{{Min: geom.Pt(0, 0), Max: geom.Pt(300, 300)}}
	for _, c := range []struct {
		name  string
		item  Item
		sheet Sheet
	}{
		{"larger than the sheet", Item{Outer: rect(0, 0, 400, 400), Count: 3}, Sheet{Width: 300, Height: 300}},
		{"clamps all over", Item{Outer: rect(0, 0, 40, 40), Count: 3}, Sheet{Width: 300, Height: 300, Clamps: all}},
		{"a hole all over", Item{Outer: rect(0, 0, 40, 40), Count: 3}, Sheet{Width: 300, Height: 300, Holes: []geom.Path{rect(1, 1, 298, 298)}}},
		{"no sheet is allowed", Item{Outer: rect(0, 0, 40, 40), Count: 3, Sheets: []int{7}}, Sheet{Width: 300, Height: 300}},
		{"no turn is allowed", Item{Outer: rect(0, 0, 40, 40), Count: 3, Turns: []float64{}}, Sheet{Width: 300, Height: 300}},
		{"a group larger than the sheet", Item{Outer: rect(0, 0, 400, 400), Count: 3, Group: 1}, Sheet{Width: 300, Height: 300, Count: 2}},
		{"between the clamps", Item{Outer: rect(0, 0, 200, 200), Count: 3}, Sheet{Width: 300, Height: 300, Clamps: []geom.Box{{Min: geom.Pt(140, 140), Max: geom.Pt(160, 160)}}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := Layout(t.Context(), []Item{c.item}, []Sheet{c.sheet}, Options{Gap: 3, Seconds: 0.1, Seed: 1})
			if err != nil {
				t.Fatal(err)
			}
			if len(r.Sheets) > 0 || len(r.Left) != 1 || r.Left[0].Count != 3 || r.Left[0].Why == "" {
				t.Errorf("%d sheets, left %v", len(r.Sheets), r.Left)
			}
		})
	}
}

// The end of the time by the clock leaves a whole layout, and progress runs
// forwards with all that is laid out by then.
func TestLayoutDeadline(t *testing.T) {
	items, sheets := randomItems(3, 40, 2), []Sheet{{Width: 900, Height: 500, Margin: 10, Count: 9}}
	share := 0.0
	o := Options{Gap: 3, Seconds: 1e6, Seed: 1, Progress: func(p Progress) {
		if p.Share < share {
			t.Errorf("share %g after %g", p.Share, share)
		}
		share = p.Share
		n := 0
		for _, l := range p.Sheets() {
			n += len(l.Placed)
		}
		if n != 80 {
			t.Errorf("%d of 80 parts are shown", n)
		}
	}}
	for wait := time.Second; share == 0 && wait < 2*time.Minute; wait *= 2 { // a busy machine may not come to tell progress in the first second
		o.Deadline = time.Now().Add(wait)
		r, err := Layout(t.Context(), items, sheets, o)
		if err != nil {
			t.Fatal(err)
		}
		brute(t, items, sheets, r, 3)
		if !r.Cut || len(r.Left) > 0 {
			t.Errorf("cut %v, left %v", r.Cut, r.Left)
		}
	}
	if share == 0 {
		t.Error("no progress is told")
	}
	o.Deadline, share = time.Now().Add(-time.Second), 0
	if r, err := Layout(t.Context(), items, sheets, o); err != nil || len(r.Left) > 0 {
		t.Errorf("after the end: %v, left %v", err, r.Left)
	}
}

// Equal rectangles lie in rows: their edges share few lines.
func TestLayoutRows(t *testing.T) {
	items := []Item{{Outer: rect(0, 0, 120, 40), Count: 14}, {Outer: rect(0, 0, 70, 70), Count: 5}, {Outer: disc(0, 0, 15), Count: 20}}
	sheets := []Sheet{{Width: 1000, Height: 500, Margin: 10}}
	r, err := Layout(t.Context(), items, sheets, Options{Gap: 3, Seconds: 0.5, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	lines := map[float64]bool{}
	for _, p := range r.Sheets[0].Placed {
		if p.Item == 0 {
			b := items[0].Outer.Transform(p.Transform()).Box()
			lines[math.Round(b.Min.X)], lines[-1-math.Round(b.Min.Y)] = true, true
		}
	}
	if len(lines) > 14 {
		t.Errorf("14 rectangles begin at %d lines", len(lines))
	}
}
