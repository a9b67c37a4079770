package layout

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sluice/geom"
)

func TestLayoutPinned(t *testing.T) {
	items := append(randomItems(5, 8, 3), frame(120, 80))
	items[8].Count = 1
	sheets := []Sheet{{Width: 400, Height: 300, Margin: 5, Count: 4, Clamps: []geom.Box{geom.BoxOf(geom.Pt(0, 0), geom.Pt(30, 30))}}}
	pins := []Pinned{
		PinnedAt(items, 8, 0, 1, 90, geom.Pt(90.125, 70.375)),
		PinnedAt(items, 2, 0, 1, 270, geom.Pt(230, 160)),
		PinnedAt(items, 0, 0, 0, 0, geom.Pt(140, 100)),
	}
	last := 0.0
	o := Options{Gap: 3, Seconds: 0.05, Seed: 1, Pins: pins, Progress: func(p Progress) {
		if p.Share < last {
			t.Errorf("progress runs back from %g to %g", last, p.Share)
		}
		last = p.Share
		kept(t, p.Sheets(), pins)
	}}
	r, err := Layout(context.Background(), items, sheets, o)
	if err != nil {
		t.Fatal(err)
	}
	if last == 0 {
		t.Error("no progress was told")
	}
	kept(t, r.Sheets, pins)
	brute(t, items, sheets, r, o.Gap)
	if len(r.Left) > 0 {
		t.Errorf("left over: %+v", r.Left)
	}
	o.Progress = nil
	again, err := Layout(context.Background(), items, sheets, o)
	if err != nil || cmp.Diff(r, again) != "" {
		t.Errorf("another run differs: %v %s", err, cmp.Diff(r, again))
	}
}

// kept fails unless every pinned part lies where it was put, to the bit.
func kept(t *testing.T, laid []Laid, pins []Pinned) {
	t.Helper()
	for _, p := range pins {
		if !slices.ContainsFunc(laid, func(l Laid) bool {
			return l.Sheet == p.Sheet && l.Copy == p.Copy && slices.ContainsFunc(l.Placed, func(q Placed) bool {
				return q.Item == p.Item && q.Turn == p.Turn && q.Shift == p.Shift
			})
		}) {
			t.Errorf("part %d does not lie where it is pinned", p.Item)
		}
	}
}

// TestLayoutAllPinned: nothing is left to search for.
func TestLayoutAllPinned(t *testing.T) {
	items := []Item{{Outer: rect(10, 10, 40, 20), Count: 1}}
	sheets := []Sheet{{Width: 200, Height: 100, Margin: 5}}
	pin := PinnedAt(items, 0, 0, 0, 90, geom.Pt(60, 30))
	r, err := Layout(context.Background(), items, sheets, Options{Gap: 2, Seconds: 0.01, Pins: []Pinned{pin}})
	if err != nil {
		t.Fatal(err)
	}
	l := r.Sheets[0]
	box := items[0].Outer.Transform(l.Placed[0].Transform()).Box()
	if len(r.Sheets) != 1 || box.Min.Dist(geom.Pt(60, 30)) > 1e-9 || box.Max.Dist(geom.Pt(80, 70)) > 1e-9 {
		t.Errorf("lies at %v", box)
	}
	if l.Area != 800 || l.Used < 79.999 || l.Used > 80.001 {
		t.Errorf("area %g, used %g", l.Area, l.Used)
	}
}

func TestPinFaults(t *testing.T) {
	items := []Item{{Outer: rect(0, 0, 40, 20), Count: 3, Turns: []float64{0, 90}}, frame(100, 60)}
	items[1].Count = 1
	sheets := []Sheet{
		{Width: 300, Height: 200, Margin: 5, Count: 2, Clamps: []geom.Box{geom.BoxOf(geom.Pt(200, 100), geom.Pt(260, 150))}},
		{Width: 300, Height: 200},
	}
	at := func(item, sheet, copy int, turn, x, y float64) Pinned {
		return PinnedAt(items, item, sheet, copy, turn, geom.Pt(x, y))
	}
	for name, c := range map[string]struct {
		pins []Pinned
		want []FaultKind
	}{
		"well apart":         {[]Pinned{at(0, 0, 0, 0, 5, 5), at(0, 0, 0, 90, 48, 5)}, nil},
		"in a hole":          {[]Pinned{at(1, 0, 0, 0, 10, 10), at(0, 0, 0, 0, 40, 50)}, nil},
		"other sheets":       {[]Pinned{at(0, 0, 0, 0, 5, 5), at(0, 0, 1, 0, 5, 5), at(0, 1, 0, 0, 5, 5)}, nil},
		"one on the other":   {[]Pinned{at(0, 0, 0, 0, 5, 5), at(0, 0, 0, 0, 20, 10)}, []FaultKind{Overlap}},
		"same place":         {[]Pinned{at(0, 0, 0, 0, 5, 5), at(0, 0, 0, 0, 5, 5)}, []FaultKind{Overlap}},
		"too near":           {[]Pinned{at(0, 0, 0, 0, 5, 5), at(0, 0, 0, 0, 46, 5)}, []FaultKind{TooNear}},
		"in the margin":      {[]Pinned{at(0, 0, 0, 0, 4, 5)}, []FaultKind{Outside}},
		"off the sheet":      {[]Pinned{at(0, 0, 0, 0, 280, 5)}, []FaultKind{Outside}},
		"in a clamp":         {[]Pinned{at(0, 0, 0, 0, 210, 110)}, []FaultKind{Outside}},
		"turned":             {[]Pinned{at(0, 0, 0, 45, 50, 50)}, []FaultKind{Turned}},
		"no such sheet":      {[]Pinned{at(0, 0, 2, 0, 5, 5)}, []FaultKind{WrongSheet}},
		"more than are made": {[]Pinned{at(1, 0, 0, 0, 10, 10), at(1, 0, 1, 0, 10, 10)}, []FaultKind{Lost}},
	} {
		var got []FaultKind
		for _, f := range PinFaults(items, sheets, c.pins, 2) {
			got = append(got, f.Kind)
		}
		if d := cmp.Diff(c.want, got); d != "" {
			t.Errorf("%s: %s", name, d)
		}
		if c.want != nil {
			if _, err := Layout(context.Background(), items, sheets, Options{Gap: 2, Seconds: 0.01, Pins: c.pins}); err == nil {
				t.Errorf("%s: laid out all the same", name)
			}
		}
	}
}

// TestLayoutPinnedRandom pins what an earlier layout placed, here and there, and lays
// the rest anew: on sheets that stand or lie, of several kinds and prices, some of
// which some parts may not lie on.
func TestLayoutPinnedRandom(t *testing.T) {
	for seed := range uint64(12) {
		rng := rand.New(rand.NewPCG(seed, 3))
		items := randomItems(seed, 6, 1+rng.IntN(4))
		items[0].Gap = 6
		items[1].Group, items[2].Group = 1, 1
		items[3].Sheets = []int{1}
		sheets := []Sheet{{Width: 250, Height: 400, Margin: 5, Count: 3, Price: 9}, {Width: 500, Height: 250, Count: 3, Price: 5}}
		o := Options{Gap: 2, Seconds: 0.01, Seed: seed}
		first, err := Layout(context.Background(), items, sheets, o)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range first.Sheets {
			for _, q := range l.Placed {
				if rng.IntN(3) == 0 {
					o.Pins = append(o.Pins, Pinned{q.Item, l.Sheet, l.Copy, q.Turn, q.Shift})
				}
			}
		}
		r, err := Layout(context.Background(), items, sheets, o)
		if err != nil {
			t.Errorf("seed %d: %v", seed, err)
			continue
		}
		kept(t, r.Sheets, o.Pins)
		brute(t, items, sheets, r, o.Gap)
		if faults := Check(items, sheets, r, o.Gap); len(faults) > 0 {
			t.Errorf("seed %d: %v", seed, faults)
		}
		for _, l := range r.Left {
			t.Logf("seed %d: %d of part %d left: %s", seed, l.Count, l.Item+1, l.Why)
		}
	}
}
