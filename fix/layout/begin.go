package layout

import (
	"cmp"
	"context"
	"slices"
)

// sound returns what of Options.Begin may be cut beside the pinned parts: parts beyond
// the count, on a sheet that there is not, beyond the margin, or too near to a pinned
// part or to one before them are taken out, to find a place anew.
func sound(items []Item, sheets []Sheet, o Options) []Laid {
	count := make([]int, len(items))
	for _, p := range o.Pins {
		if p.Item >= 0 && p.Item < len(items) {
			count[p.Item]++
		}
	}
	var out []Laid
	for _, l := range o.Begin {
		if l.Sheet < 0 || l.Sheet >= len(sheets) || l.Copy < 0 || l.Copy >= max(1, sheets[l.Sheet].Count) ||
			slices.ContainsFunc(out, func(x Laid) bool { return x.Sheet == l.Sheet && x.Copy == l.Copy }) {
			continue
		}
		l.Placed = slices.DeleteFunc(slices.Clone(l.Placed), func(q Placed) bool {
			if q.Item < 0 || q.Item >= len(items) || count[q.Item] >= items[q.Item].Count {
				return true
			}
			count[q.Item]++
			return false
		})
		out = append(out, l)
	}
	for i := range out {
		out[i].clear(items, sheets, o)
	}
	return slices.DeleteFunc(out, func(l Laid) bool { return len(l.Placed) == 0 })
}

// clear takes out what of a sheet is in the way of what is pinned there, or of what
// stands before it, or may not lie where it does.
func (l *Laid) clear(items []Item, sheets []Sheet, o Options) {
	var all []Placed // what is pinned first
	for i := range o.Pins {
		if p := &o.Pins[i]; p.Sheet == l.Sheet && p.Copy == l.Copy {
			all = append(all, p.placed(0))
		}
	}
	pinned := len(all)
	all = append(all, l.Placed...)
	for len(all) > pinned {
		out := map[int]bool{}
		for _, f := range Check(items, sheets, &Result{Sheets: []Laid{{Sheet: l.Sheet, Copy: l.Copy, Placed: all}}}, o.Gap) {
			if k := max(f.A, f.B); f.Kind != Lost && k >= pinned && !out[min(f.A, f.B)] {
				out[k] = true
			}
		}
		if len(out) == 0 {
			break
		}
		n := 0
		all = slices.DeleteFunc(all, func(Placed) bool { n++; return out[n-1] })
	}
	l.Placed = all[pinned:]
}

// begun returns a layout to begin with on the sheets as they are split, without the
// pinned parts.
func (a *around) begun(begin []Laid) (out []Laid) {
	for _, l := range begin {
		for k, of := range a.of {
			if n := slices.Index(of[1:], l.Copy); of[0] == l.Sheet && n >= 0 {
				l.Sheet, l.Copy = k, n
				out = append(out, l)
				break
			}
		}
	}
	return out
}

// begin returns the plan that is improved on: that of Options.Begin with what has no
// place in it put where there is room, else the best of several quick ones.
func (d *driver) begin(ctx context.Context, budget int64) *plan {
	if len(d.o.Begin) == 0 {
		return d.start(ctx, budget)
	}
	p := &plan{}
	missing := make([]int, len(d.items))
	for i := range d.items {
		missing[i] = d.items[i].Count
	}
	for i := range d.o.Begin {
		l := &d.o.Begin[i]
		r := d.rooms[l.Sheet]
		f := filled{sheet: l.Sheet, copy: l.Copy}
		for _, q := range l.Placed {
			at := r.in(q.Transform().Apply(d.stock[q.Item].middle))
			f.parts = append(f.parts, laidPart{q.Item, at, norm(q.Turn + r.quarter())})
			missing[q.Item]--
		}
		p.sheets = append(p.sheets, f)
	}
	units, over := d.units()
	d.fillIn(ctx, p, d.waiting(units, missing), false)
	d.squeeze(ctx, p, budget)
	waiting := p.left
	p.left = nil
	opened := d.fillIn(ctx, p, waiting, true)
	p.left = append(p.left, over...)
	if len(p.left) > len(over) || opened {
		if anew := d.start(ctx, budget); d.fewer(anew, p) {
			return anew
		}
	}
	return p
}

// squeeze has the sheets of a plan searched for room for what has none, one after the
// other, so that as few as can be are laid otherwise.
func (d *driver) squeeze(ctx context.Context, p *plan, budget int64) {
	for j := 0; j < len(p.sheets) && len(p.left) > 0 && ctx.Err() == nil; j++ {
		r := d.rooms[p.sheets[j].sheet]
		free := r.free()
		for _, q := range p.sheets[j].parts {
			free -= d.stock[q.item].area
		}
		var offers []offer
		for k, u := range p.left {
			if i := u.items[0]; d.stock[i].area <= free && r.takes(d.stock[i], d.turns(i, p.sheets[j].sheet)) {
				free -= d.stock[i].area
				offers = append(offers, offer{i, -1, k})
			}
		}
		if len(offers) > 0 {
			d.search(ctx, p, j, offers, max(1, (budget-d.spent)/int64(len(p.sheets)-j)), float64(budget))
		}
	}
}

// fewer reports whether plan a leaves less over than plan b, or takes less sheet.
func (d *driver) fewer(a, b *plan) bool {
	return cmp.Or(cmp.Compare(d.leftArea(a), d.leftArea(b)), cmp.Compare(d.cost(a), d.cost(b)), cmp.Compare(len(a.sheets), len(b.sheets))) < 0
}

// waiting returns the parts that have no place, the largest first.
func (d *driver) waiting(units []unit, missing []int) (out []unit) {
	for _, u := range units {
		for _, i := range u.items {
			if missing[i] > 0 {
				missing[i]--
				out = append(out, unit{[]int{i}})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b unit) int {
		return cmp.Compare(d.stock[b.items[0]].area, d.stock[a.items[0]].area)
	})
	return out
}

// fillIn puts single parts where there is room on the sheets of a plan, those of a
// group first where others of it lie, and, if further sheets may be taken, there what
// finds none.
func (d *driver) fillIn(ctx context.Context, p *plan, waiting []unit, further bool) (opened bool) {
	boards := map[int]*cells{}
	on := func(j int) *cells {
		if boards[j] == nil {
			boards[j] = d.newCells(p.sheets[j].sheet)
			for _, q := range p.sheets[j].parts {
				boards[j].take(q)
			}
		}
		return boards[j]
	}
	put := func(i, j int) bool {
		to, ok := on(j).place(i)
		if ok {
			p.sheets[j].parts = append(p.sheets[j].parts, to)
		}
		return ok
	}
	for _, u := range waiting {
		i := u.items[0]
		if ctx.Err() != nil && len(p.sheets) > 0 {
			p.left = append(p.left, u)
			continue
		}
		placed := false
		for _, j := range d.sheetsFor(p, i) {
			if placed = put(i, j); placed {
				break
			}
		}
		for tried := map[int]bool{}; further && !placed; {
			k, c, ok := d.next(p, i, tried)
			if !ok {
				break
			}
			tried[k] = true
			p.sheets = append(p.sheets, filled{sheet: k, copy: c})
			j := len(p.sheets) - 1
			if placed = put(i, j); !placed {
				p.sheets = p.sheets[:j]
				delete(boards, j)
			}
			opened = opened || placed
		}
		if !placed {
			p.left = append(p.left, u)
		}
	}
	return opened
}

// sheetsFor returns the sheets of a plan in the order in which an item is offered to
// them: in theirs, but those first on which others of its group lie.
func (d *driver) sheetsFor(p *plan, item int) (order []int) {
	g := d.items[item].Group
	home := make([]bool, len(p.sheets))
	for j := range p.sheets {
		order = append(order, j)
		home[j] = g != 0 && slices.ContainsFunc(p.sheets[j].parts, func(q laidPart) bool { return d.items[q.item].Group == g })
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case home[a] == home[b]:
			return 0
		case home[a]:
			return -1
		}
		return 1
	})
	return order
}

// next returns the cheapest sheet that a plan does not take yet and that takes an item,
// but for kinds that were tried.
func (d *driver) next(p *plan, item int, tried map[int]bool) (sheet, copy int, ok bool) {
	for _, k := range d.order {
		if tried[k] || !d.rooms[k].takes(d.stock[item], d.turns(item, k)) {
			continue
		}
		for c := range max(1, d.sheets[k].Count) {
			if !slices.ContainsFunc(p.sheets, func(f filled) bool { return f.sheet == k && f.copy == c }) {
				return k, c, true
			}
		}
	}
	return 0, 0, false
}
