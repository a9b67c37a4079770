package layout

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"sluice/geom"
)

// shelf counts the sheets that a skyline of boxes takes: largest first, each box
// in the first sheet that has room for it, upright or turned by a quarter, where
// it reaches the least far. It keeps the line by tenths of mm across the
// sheet and shares no code with the layout.
func shelf(items []Item, s Sheet, gap float64, less func(a, b [2]float64) int) int {
	const tenth = 10
	var boxes [][2]float64
	for _, it := range items {
		b := it.Outer.Box()
		for range it.Count {
			boxes = append(boxes, [2]float64{b.W() + gap, b.H() + gap})
		}
	}
	slices.SortStableFunc(boxes, less)
	length, across := s.Width-2*s.Margin+gap, s.Height-2*s.Margin+gap
	var sheets [][]float64
	put := func(line []float64, b [2]float64) bool {
		best, at, w, n := length+1, -1, 0.0, 0
		for _, q := range [2][2]float64{b, {b[1], b[0]}} {
			cells := int(q[1]*tenth) + 1
			for y := 0; y+cells <= len(line); y++ {
				// Only where the line steps can a place reach less far than its neighbours.
				if y > 0 && line[y] == line[y-1] && y+cells < len(line) {
					continue
				}
				x := slices.Max(line[y : y+cells])
				if x+q[0] <= length && x+q[0] < best {
					best, at, w, n = x+q[0], y, x+q[0], cells
				}
			}
		}
		if at < 0 {
			return false
		}
		for y := at; y < at+n; y++ {
			line[y] = w
		}
		return true
	}
	for _, b := range boxes {
		done := false
		for _, line := range sheets {
			if done = put(line, b); done {
				break
			}
		}
		if !done {
			sheets = append(sheets, make([]float64, int(across*tenth)))
			put(sheets[len(sheets)-1], b)
		}
	}
	return len(sheets)
}

// shelves returns the fewest sheets of several orders.
func shelves(items []Item, s Sheet, gap float64) int {
	least := 1 << 30
	for _, size := range []func(b [2]float64) float64{
		func(b [2]float64) float64 { return b[0] * b[1] },
		func(b [2]float64) float64 { return max(b[0], b[1]) },
	} {
		least = min(least, shelf(items, s, gap, func(a, b [2]float64) int { return cmp.Compare(size(b), size(a)) }))
	}
	return least
}

// No layout takes more sheets than a skyline of boxes, be the time ever so short.
func TestNoMoreSheetsThanSkyline(t *testing.T) {
	clamps := []geom.Box{{Min: geom.Pt(0, 200), Max: geom.Pt(50, 260)}, {Min: geom.Pt(0, 700), Max: geom.Pt(50, 760)}}
	for _, c := range []struct {
		parts   int
		seconds float64
		sheet   Sheet
	}{
		{18, 0.001, Sheet{Width: 600, Height: 400, Margin: 8, Count: 40}},
		{100, 0.001, Sheet{Width: 1000, Height: 600, Margin: 10, Count: 40}},
		{100, 1, Sheet{Width: 1000, Height: 600, Margin: 10, Count: 40, Clamps: clamps, OffClamps: 3}},
		{1000, 0.5, Sheet{Width: 2500, Height: 1250, Margin: 10, Count: 40}},
	} {
		for seed := range uint64(2) {
			t.Run(fmt.Sprint(c.parts, "/", c.seconds, "/", seed), func(t *testing.T) {
				items, sheets := randomItems(seed+40, c.parts, 1), []Sheet{c.sheet}
				start := time.Now()
				r, err := Layout(t.Context(), items, sheets, Options{Gap: 3, Seconds: c.seconds, Seed: 1})
				if err != nil {
					t.Fatal(err)
				}
				took := time.Since(start)
				brute(t, items, sheets, r, 3)
				most := shelves(items, c.sheet, 3)
				if len(r.Left) > 0 || len(r.Sheets) > most {
					t.Errorf("%d sheets, a skyline takes %d; left %v", len(r.Sheets), most, r.Left)
				}
				last := r.Sheets[len(r.Sheets)-1]
				t.Logf("%d sheets, skyline %d, first %.1f %% full, last used to %.0f mm; %.1f s", len(r.Sheets), most, 100*r.Sheets[0].Share, last.Used, took.Seconds())
			})
		}
	}
}

// BenchmarkSheets lays 3,000 different parts out within 0.1 s of steps; with
// SLUICE_LAYOUT_PARTS set ("1000 20"), as many as that, in as many seconds.
func BenchmarkSheets(b *testing.B) {
	n, seconds := 3000, 0.1
	if s := os.Getenv("SLUICE_LAYOUT_PARTS"); s != "" {
		fmt.Sscan(s, &n, &seconds)
	}
	items, sheet := randomItems(41, n, 1), Sheet{Width: 2500, Height: 1250, Margin: 10, Count: 60}
	last := 0.0
	for b.Loop() {
		r, err := Layout(b.Context(), items, []Sheet{sheet}, Options{Gap: 3, Seconds: seconds, Seed: 1})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(r.Sheets)), "sheets")
		last = r.Sheets[len(r.Sheets)-1].Used
	}
	b.ReportMetric(last, "mm-of-last")
	b.ReportMetric(float64(shelves(items, sheet, 3)), "skyline-sheets")
}

// Rectangles, which a skyline lays best, take no more sheets than with it either.
func TestRectanglesLikeSkyline(t *testing.T) {
	for seed := range uint64(30) {
		rng := rand.New(rand.NewPCG(seed, 3))
		var items []Item
		for range 20 + rng.IntN(60) {
			items = append(items, Item{Outer: rect(0, 0, 10+90*rng.Float64(), 10+40*rng.Float64()), Count: 1 + rng.IntN(3)})
		}
		s := Sheet{Width: 300 + 200*rng.Float64(), Height: 200 + 200*rng.Float64(), Margin: 5, Count: 60}
		r, err := Layout(t.Context(), items, []Sheet{s}, Options{Gap: 2, Seconds: 0.001, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		if most := shelves(items, s, 2); len(r.Left) > 0 || len(r.Sheets) > most {
			t.Errorf("seed %d: %d sheets, a skyline takes %d; left %v", seed, len(r.Sheets), most, r.Left)
		}
	}
}
