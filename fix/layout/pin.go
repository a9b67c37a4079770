package layout

import (
	"context"
	"fmt"
	"math"
	"slices"

	"sluice/fix/layout/region"
	"sluice/geom"
)

// Pinned is a part that stays where a person has put it.
type Pinned struct {
	Item  int
	Sheet int // index in the sheets
	Copy  int // of the sheet, from 0
	Turn  float64
	Shift geom.Point // as in Placed
}

// PinnedAt returns a part pinned with the lower left corner of its box, once
// it is turned, at a place of a sheet.
func PinnedAt(items []Item, item, sheet, copy int, turn float64, at geom.Point) Pinned {
	p := Pinned{Item: item, Sheet: sheet, Copy: copy, Turn: norm(turn)}
	p.Shift = at.Sub(items[item].Outer.Transform(p.placed(0).Transform()).Box().Min)
	return p
}

// settled returns a part with the lower left corner of its box at a place that can be
// written down: PinnedAt puts it just there.
func (p Placed) settled(it *Item) Placed {
	on := func(v float64) float64 { return math.Round(v*1e9) / 1e9 }
	from := Placed{Turn: p.Turn}
	low := it.Outer.Transform(from.Transform()).Box().Min
	at := low.Add(p.Shift)
	p.Shift = geom.Pt(on(at.X), on(at.Y)).Sub(low)
	return p
}

func (p *Pinned) placed(copy int) Placed {
	return Placed{Item: p.Item, Copy: copy, Turn: p.Turn, Shift: p.Shift}
}

// PinFaults returns what is wrong with pinned parts by themselves: beyond the
// margin, in a clamp zone, too near to each other, turned as they may not be.
// Indices of parts are those of the pins, of sheets those of the sheets.
func PinFaults(items []Item, sheets []Sheet, pins []Pinned, gap float64) []Fault {
	var out []Fault
	count := make([]int, len(items))
	for i := range pins {
		p := &pins[i]
		if p.Item < 0 || p.Item >= len(items) {
			return []Fault{{Kind: Lost, Sheet: -1, A: p.Item, B: -1, By: 1}}
		}
		if p.Sheet < 0 || p.Sheet >= len(sheets) || p.Copy < 0 || p.Copy >= max(1, sheets[p.Sheet].Count) {
			return []Fault{{Kind: WrongSheet, Sheet: p.Sheet, A: i, B: -1, At: p.Shift}}
		}
		if count[p.Item]++; count[p.Item] > items[p.Item].Count {
			out = append(out, Fault{Kind: Lost, Sheet: -1, A: p.Item, B: -1, By: 1})
		}
	}
	for _, on := range pinnedSheets(pins) {
		r := &Result{Sheets: []Laid{{Sheet: on[0], Copy: on[1]}}}
		var of []int
		for i := range pins {
			if pins[i].Sheet == on[0] && pins[i].Copy == on[1] {
				r.Sheets[0].Placed = append(r.Sheets[0].Placed, pins[i].placed(0))
				of = append(of, i)
			}
		}
		for _, f := range Check(items, sheets, r, gap) {
			if f.Kind == Lost {
				continue // what is not pinned is placed later
			}
			f.Sheet = on[0]
			if f.A = of[f.A]; f.B >= 0 {
				f.B = of[f.B]
			}
			out = append(out, f)
		}
	}
	return out
}

// pinnedSheets lists the sheets, and which of them, that have pinned parts.
func pinnedSheets(pins []Pinned) [][2]int {
	var on [][2]int
	for i := range pins {
		on = append(on, [2]int{pins[i].Sheet, pins[i].Copy})
	}
	slices.SortFunc(on, func(a, b [2]int) int { return slices.Compare(a[:], b[:]) })
	return slices.Compact(on)
}

// around is a layout around pinned parts: the same items less those that are
// pinned, on sheets of which each with pinned parts is one of its own.
type around struct {
	items  []Item
	sheets []Sheet
	of     [][]int // by sheet: the sheet given, and which copies of it
	whole  []Item
	given  []Sheet
	o      Options
}

// layAround lays out what is not pinned.
func layAround(ctx context.Context, items []Item, sheets []Sheet, o Options) (*Result, error) {
	if faults := PinFaults(items, sheets, o.Pins, o.Gap); len(faults) > 0 {
		return nil, fmt.Errorf("layout: a pinned part cannot stay: %s", faults[0])
	}
	a := &around{whole: items, given: sheets, o: o, items: slices.Clone(items)}
	for _, p := range o.Pins {
		a.items[p.Item].Count--
	}
	if err := a.split(); err != nil {
		return nil, err
	}
	free := o
	free.Pins, free.Begin = nil, a.begun(o.Begin)
	if o.Progress != nil {
		free.Progress = func(p Progress) {
			got := p.Sheets
			p.Sheets = func() []Laid { return a.joined(got()) }
			o.Progress(p)
		}
	}
	res := &Result{}
	if slices.ContainsFunc(a.items, func(it Item) bool { return it.Count > 0 }) {
		var err error
		if res, err = Layout(ctx, a.items, a.sheets, free); err != nil {
			return nil, err
		}
	}
	res.Sheets = a.joined(res.Sheets)
	if faults := Check(items, sheets, res, o.Gap); len(faults) > 0 {
		return res, fmt.Errorf("layout: the result does not pass its check: %s (and %d more)", faults[0], len(faults)-1)
	}
	return res, nil
}

// split makes each sheet with pinned parts one of its own, before the others and
// without a price, since it is taken anyway.
func (a *around) split() error {
	gap := 0.0
	for i := range a.whole {
		gap = max(gap, a.whole[i].gap(a.o.Gap))
	}
	on := pinnedSheets(a.o.Pins)
	for _, at := range on {
		s := a.given[at[0]]
		s.Count, s.Price = 1, 0
		for _, p := range a.o.Pins {
			if p.Sheet != at[0] || p.Copy != at[1] {
				continue
			}
			it, t := &a.whole[p.Item], p.placed(0).Transform()
			var holes []geom.Path
			for _, h := range it.Holes {
				holes = append(holes, h.Transform(t))
			}
			outward := a.o.Outward
			if outward <= 0 {
				outward = 0.1
			}
			g, err := toRegion(it.Outer.Transform(t), holes, outward)
			if err != nil {
				return fmt.Errorf("part %s: %w", itemName(a.whole, p.Item), err)
			}
			s.taken = append(s.taken, taken{g, gap})
		}
		a.sheets, a.of = append(a.sheets, s), append(a.of, []int{at[0], at[1]})
	}
	for k := range a.given {
		of := []int{k}
		for c := range max(1, a.given[k].Count) {
			if !slices.Contains(on, [2]int{k, c}) {
				of = append(of, c)
			}
		}
		if s := a.given[k]; len(of) > 1 {
			s.Count = len(of) - 1
			a.sheets, a.of = append(a.sheets, s), append(a.of, of)
		}
	}
	for i := range a.items {
		if it := &a.items[i]; len(it.Sheets) > 0 {
			was := it.Sheets
			it.Sheets = nil
			for k := range a.of {
				if slices.Contains(was, a.of[k][0]) {
					it.Sheets = append(it.Sheets, k)
				}
			}
		}
	}
	return nil
}

// taken is a place on a sheet where a part is pinned, and how far others keep off.
type taken struct {
	region *region.Region
	clear  float64
}

// joined returns the sheets as they were given, with the pinned parts on them,
// those with pinned parts first.
func (a *around) joined(laid []Laid) []Laid {
	next := make([]int, len(a.whole))
	var out []Laid
	for _, at := range pinnedSheets(a.o.Pins) {
		l := Laid{Sheet: at[0], Copy: at[1]}
		for _, p := range a.o.Pins {
			if p.Sheet == at[0] && p.Copy == at[1] {
				l.Placed = append(l.Placed, p.placed(next[p.Item]))
				next[p.Item]++
			}
		}
		out = append(out, l)
	}
	pinned := len(out)
	for _, l := range laid {
		of := a.of[l.Sheet]
		to := -1
		if l.Sheet < pinned {
			to = l.Sheet
		} else {
			out = append(out, Laid{Sheet: of[0], Copy: of[1+l.Copy]})
			to = len(out) - 1
		}
		for _, q := range l.Placed {
			q.Copy = next[q.Item]
			next[q.Item]++
			out[to].Placed = append(out[to].Placed, q)
		}
	}
	for i := range out {
		out[i].measure(a.whole, &a.given[out[i].Sheet], a.o)
	}
	return out
}
