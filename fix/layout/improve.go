package layout

import (
	"cmp"
	"context"
	"math"
	"slices"

	"sluice/fix/layout/search"
)

// Bounds on one search, for the sake of memory and time: parts, and the square of
// the convex pieces of all forms times the turns, which is what tables grow with
// (some 100 bytes each, measured with 1,000 different parts).
const (
	mostItems  = 2000
	mostTables = 6e6
)

// load is what the tables of a search grow with.
type load struct {
	forms  map[int]bool
	pieces int
	turns  int
}

// with returns the load with one more form, and whether it is within bounds.
func (l *load) with(class, pieces, turns int) (load, bool) {
	out := *l
	if !l.forms[class] {
		out.pieces += pieces
	}
	out.turns = max(l.turns, turns)
	return out, float64(out.pieces)*float64(out.pieces)*float64(out.turns) <= mostTables
}

// loadOf returns the load of the parts of a sheet, and whether they can be
// searched.
func (d *driver) loadOf(s *filled) (load, bool) {
	l, ok := load{forms: map[int]bool{}}, len(s.parts) <= mostItems
	for _, q := range s.parts {
		c := d.stock[q.item].class
		var fits bool
		l, fits = l.with(c, len(d.stock[q.item].Pieces), len(d.turns(q.item, s.sheet)))
		l.forms[c] = true
		ok = ok && fits
	}
	return l, ok
}

// A search that saves less than these shares of the used length does not take the
// place of what was laid in rows: the second where half the area and more is
// rectangles, whose rows a person looks for.
const (
	neat     = 0.004
	neatRows = 0.03
	boxed    = 0.95 // of its box that the outline of a rectangle takes, at the least
)

// worth returns the share of the used length that a search of a sheet must save.
func (d *driver) worth(s *filled) float64 {
	var rects, all float64
	for _, p := range s.parts {
		it := &d.items[p.item]
		b, a := it.Outer.Box(), math.Abs(it.Outer.Area())
		if all += a; a > boxed*b.W()*b.H() {
			rects += a
		}
	}
	if rects > all/2 {
		return neatRows
	}
	return neat
}

// offer is a part that may go on a sheet, and where it is now.
type offer struct {
	item, sheet, index int // index in the parts of the sheet; sheet -1: in what is left
}

// improve searches sheet after sheet for room for what lies on the last ones,
// and draws the parts of the last one together.
func (d *driver) improve(ctx context.Context, p *plan, budget int64) {
	for j := 0; j < len(p.sheets); j++ {
		share := (budget - d.spent) / int64(len(p.sheets)-j)
		if share <= 0 || ctx.Err() != nil {
			break
		}
		last := j == len(p.sheets)-1
		offers := d.offers(p, j)
		if len(offers) == 0 && !last {
			continue
		}
		d.search(ctx, p, j, offers, share, float64(budget))
		p.sheets = slices.DeleteFunc(p.sheets, func(f filled) bool { return len(f.parts) == 0 })
	}
	d.topUp(ctx, p)
}

// offers lists what may be moved to sheet j: what is left over, then the parts of
// the last sheets, largest first, for as much as could go in; or, where parts
// belong together, the smallest group of the last sheet.
func (d *driver) offers(p *plan, j int) []offer {
	r := d.rooms[p.sheets[j].sheet]
	free := r.free()
	l, ok := d.loadOf(&p.sheets[j])
	if !ok {
		return nil
	}
	count := len(p.sheets[j].parts)
	for _, q := range p.sheets[j].parts {
		free -= d.stock[q.item].area
	}
	var out []offer
	want := 2 * free
	add := func(o offer) {
		turns := d.turns(o.item, p.sheets[j].sheet)
		area := d.stock[o.item].area
		if want <= 0 || area > free || count >= mostItems || !r.takes(d.stock[o.item], turns) {
			return
		}
		c := d.stock[o.item].class
		with, ok := l.with(c, len(d.stock[o.item].Pieces), len(turns))
		if !ok {
			return
		}
		l = with
		l.forms[c] = true
		want -= area
		count++
		out = append(out, o)
	}
	for k, u := range p.left {
		if len(u.items) == 1 && d.items[u.items[0]].Group == 0 {
			add(offer{u.items[0], -1, k})
		}
	}
	for k := len(p.sheets) - 1; k > j; k-- {
		var list []offer
		for n, q := range p.sheets[k].parts {
			if d.items[q.item].Group == 0 {
				list = append(list, offer{q.item, k, n})
			}
		}
		slices.SortStableFunc(list, func(a, b offer) int { return cmp.Compare(d.stock[b.item].area, d.stock[a.item].area) })
		for _, o := range list {
			add(o)
		}
	}
	if len(out) > 0 || j+1 >= len(p.sheets) {
		return out
	}
	return d.groupOffer(p, j, free)
}

// groupOffer lists the parts of the smallest group of the last sheet, if all of
// them might go on sheet j.
func (d *driver) groupOffer(p *plan, j int, free float64) []offer {
	groups, areas := map[int][]offer{}, map[int]float64{}
	k := len(p.sheets) - 1
	for n, q := range p.sheets[k].parts {
		g := d.items[q.item].Group
		groups[g] = append(groups[g], offer{q.item, k, n})
		areas[g] += d.stock[q.item].area
	}
	best, least := 0, math.Inf(1)
	for g, a := range areas {
		if a < least || a == least && g < best {
			best, least = g, a
		}
	}
	if best == 0 || least > free {
		return nil
	}
	for _, o := range groups[best] {
		s := p.sheets[j].sheet
		if !d.rooms[s].takes(d.stock[o.item], d.turns(o.item, s)) {
			return nil
		}
	}
	return groups[best]
}

// search looks for a layout of sheet j with as many of the offers as go in. The
// parts that are on it stay on it.
func (d *driver) search(ctx context.Context, p *plan, j int, offers []offer, share int64, budget float64) {
	s := &p.sheets[j]
	if _, ok := d.loadOf(s); !ok || len(s.parts)+len(offers) > mostItems {
		return
	}
	prob := d.problem(s, offers)
	told, at := 0.0, 0.0
	var seen *search.Filled // the best of those that were looked at
	o := search.Options{
		Seed: d.o.Seed, Workers: d.o.Workers, Work: share,
		Progress: func(length, spent float64) { told, at = max(told, min(1, spent)), length },
	}
	if d.o.Progress != nil {
		o.Look = func(now func() search.Filled) {
			d.tellPlan((float64(d.spent)+told*float64(share))/budget, j, at+d.sheets[s.sheet].Margin, func() *plan {
				if f := now(); seen == nil || f.Better(seen) {
					seen = &f
				}
				if !d.accepts(s, offers, seen) {
					return p
				}
				shown := p.clone()
				shown.apply(j, offers, seen)
				return shown
			})
		}
	}
	f := search.Fill(ctx, prob, o)
	d.spent += f.Most
	d.steps += f.Work
	if d.accepts(s, offers, &f) {
		p.apply(j, offers, &f)
	}
}

// accepts reports whether what a search of a sheet came to takes the place of what lies
// there.
func (d *driver) accepts(s *filled, offers []offer, f *search.Filled) bool {
	if !f.Kept {
		return false
	}
	whole := len(offers) > 0 && d.items[offers[0].item].Group != 0
	moved := 0
	for k := range offers {
		if f.Placed[len(s.parts)+k] {
			moved++
		}
	}
	return !(whole && moved < len(offers) || moved == 0 && f.Length > d.used(s)*(1-d.worth(s)))
}

// apply puts on sheet j what a search came to.
func (p *plan) apply(j int, offers []offer, f *search.Filled) {
	s := &p.sheets[j]
	var parts []laidPart
	for k := range s.parts {
		parts = append(parts, laidPart{s.parts[k].item, f.Places[k].At, f.Places[k].Turn})
	}
	gone := map[[2]int]bool{}
	for k, o := range offers {
		if q := f.Places[len(s.parts)+k]; f.Placed[len(s.parts)+k] {
			parts = append(parts, laidPart{o.item, q.At, q.Turn})
			gone[[2]int{o.sheet, o.index}] = true
		}
	}
	s.parts = parts
	for k := j + 1; k < len(p.sheets); k++ {
		var stay []laidPart
		for n, q := range p.sheets[k].parts {
			if !gone[[2]int{k, n}] {
				stay = append(stay, q)
			}
		}
		p.sheets[k].parts = stay
	}
	var left []unit
	for k, u := range p.left {
		if !gone[[2]int{-1, k}] {
			left = append(left, u)
		}
	}
	p.left = left
}

// problem states a sheet with its parts where they lie, and the offers.
func (d *driver) problem(s *filled, offers []offer) *search.Problem {
	r := d.rooms[s.sheet]
	p := &search.Problem{Length: r.length, Height: r.width, Clear: d.o.Gap}
	index := map[int]int{}
	add := func(i int) {
		at, ok := index[d.stock[i].class]
		if !ok {
			at = len(p.Shapes)
			index[d.stock[i].class] = at
			p.Shapes = append(p.Shapes, d.stock[i].Shape)
		}
		p.Items = append(p.Items, search.Item{Shape: at, Turns: d.turns(i, s.sheet), Clear: d.gap(i)})
	}
	for _, q := range s.parts {
		add(q.item)
		p.Start = append(p.Start, search.Place{At: q.at, Turn: q.turn})
	}
	for _, o := range offers {
		add(o.item)
	}
	for i := range r.fixed {
		p.Fixed = append(p.Fixed, search.Fixed{Shape: len(p.Shapes), Clear: r.clear[i]})
		p.Shapes = append(p.Shapes, r.fixed[i])
	}
	return p
}

// tell reports progress, forwards only.
func (d *driver) tell(p *plan, j int, length, share float64) {
	d.tellPlan(share, j, length+d.sheets[p.sheets[j].sheet].Margin, func() *plan { return p })
}

// tellPlan reports progress on sheet j; now makes the plan so far.
func (d *driver) tellPlan(share float64, j int, length float64, now func() *plan) {
	if d.o.Progress == nil {
		return
	}
	d.share = max(d.share, min(1, share))
	d.o.Progress(Progress{Sheet: j + 1, Length: length, Share: d.share, Sheets: func() []Laid {
		p := now().clone()
		p.sheets = slices.DeleteFunc(p.sheets, func(f filled) bool { return len(f.parts) == 0 })
		return d.laid(p)
	}})
}
