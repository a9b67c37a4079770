package layout

import (
	"cmp"
	"context"
	"math/rand/v2"
	"slices"
	"sync"

	"sluice/fix/layout/raster"
	"sluice/fix/layout/skyline"
	"sluice/geom"
)

// filler puts parts into one room, one after the other.
type filler interface {
	place(item int) (laidPart, bool)
	mark() // remember what is there
	undo() // back to the mark
}

// boxes fills a room by the skyline of the parts' boxes.
type boxes struct {
	d     *driver
	sheet int
	room  *skyline.Room
	was   *skyline.Room
}

func (d *driver) newBoxes(sheet int) filler {
	r := d.rooms[sheet]
	var barred []geom.Box
	for k, f := range r.fixed {
		for _, p := range f.Pieces {
			barred = append(barred, p.Box().Inflate(r.clear[k]))
		}
	}
	return &boxes{d: d, sheet: sheet, room: skyline.New(r.length, r.width, d.widest, barred)}
}

func (b *boxes) mark() { b.was = b.room.Clone() }
func (b *boxes) undo() { b.room = b.was }

func (b *boxes) place(i int) (out laidPart, ok bool) {
	var at geom.Point
	var box geom.Box
	for _, t := range b.d.turns(i, b.sheet) {
		v := b.d.view(i, t).exact
		q, fits := b.room.Find(v.W(), v.H())
		if fits && (!ok || q.X+v.W() < at.X+box.W()-1e-9) {
			at, box, ok = q, v, true
			out = laidPart{i, q.Sub(v.Min), t}
		}
	}
	if ok {
		b.room.Put(at, box.W(), box.H())
	}
	return out, ok
}

// cells fills a room by true shapes on a board.
type cells struct {
	d      *driver
	sheet  int
	board  *raster.Board
	full   map[int]bool   // kinds that find no room any more
	from   map[[2]int]int // by kind and number of the turn: no room before this x
	was    *raster.Board
	wasMap map[[2]int]int
	halt   func() bool // once it says so nothing finds room any more; may be nil
}

func (d *driver) newCells(sheet int) *cells {
	r := d.rooms[sheet]
	b := raster.NewBoard(r.length, r.width, d.cell, d.widest)
	for k, f := range r.fixed {
		// Parts bring the rest of the clearance themselves.
		b.Cover(raster.Grow(f.Pieces, max(0, r.clear[k]-d.least)), geom.Point{})
	}
	return &cells{d: d, sheet: sheet, board: b, full: map[int]bool{}, from: map[[2]int]int{}}
}

func (c *cells) mark() {
	c.was, c.wasMap = c.board.Clone(), map[[2]int]int{}
	for k, x := range c.from {
		c.wasMap[k] = x
	}
}

func (c *cells) undo() {
	c.board, c.from = c.was, c.wasMap
	clear(c.full)
}

// take covers a part where it lies.
func (c *cells) take(p laidPart) { c.board.Cover(c.d.view(p.item, p.turn).grown, p.at) }

func (c *cells) place(i int) (out laidPart, ok bool) {
	kind := c.d.kinds[i]
	if c.full[kind] || c.halt != nil && c.halt() {
		return out, false
	}
	r, cell := c.d.rooms[c.sheet], c.board.Cell
	var mask *raster.Mask
	var bx, by int
	far := 0.0
	for n, t := range c.d.turns(i, c.sheet) {
		v := c.d.view(i, t)
		w, h := v.box.W(), v.box.H()
		if w > r.length || h > r.width {
			continue
		}
		x1, y1 := int((r.length-w)/cell), int((r.width-h)/cell)
		if ok {
			x1 = min(x1, int((far-w)/cell))
		}
		key := [2]int{kind, n}
		x, y, fits := c.board.Find(v.mask, c.from[key], x1, 0, y1, &c.d.spent)
		if !fits {
			continue
		}
		c.from[key] = x
		if reach := float64(x)*cell + w; !ok || reach < far-1e-9 {
			mask, bx, by, far, ok = v.mask, x, y, reach, true
			out = laidPart{i, geom.Pt(float64(x)*cell, float64(y)*cell).Sub(v.box.Min), t}
		}
	}
	if !ok {
		c.full[kind] = true
		return out, false
	}
	c.board.Put(mask, bx, by)
	return out, true
}

// mostParts is the largest number of parts laid out at once, for the sake of time
// and memory; more are told as left over.
const mostParts = 20000

// units lists what is to be placed, and what is more than can be.
func (d *driver) units() (out, over []unit) {
	groups := map[int]int{}
	count := 0
	for i := range d.items {
		g := d.items[i].Group
		for range d.items[i].Count {
			if count++; count > mostParts {
				over = append(over, unit{[]int{i}})
				continue
			}
			at, ok := groups[g]
			if g == 0 || !ok {
				at = len(out)
				out = append(out, unit{})
				groups[g] = at
			}
			out[at].items = append(out[at].items, i)
		}
	}
	return out, over
}

// sizes are the measures by which parts are laid, largest first.
var sizes = [...]func(b geom.Box, area float64) float64{
	func(b geom.Box, _ float64) float64 { return b.W() * b.H() },
	func(b geom.Box, _ float64) float64 { return max(b.W(), b.H()) },
	func(b geom.Box, _ float64) float64 { return b.W() + b.H() },
	func(_ geom.Box, area float64) float64 { return area },
	func(b geom.Box, _ float64) float64 { return min(b.W(), b.H()) },
}

// sorted returns the units by one of the measures.
func (d *driver) sorted(units []unit, by int) []unit {
	size := make([]float64, len(d.items))
	for i := range d.items {
		size[i] = sizes[by](d.items[i].Outer.Box(), d.stock[i].area)
	}
	order := func(a, b int) int {
		return cmp.Or(cmp.Compare(size[b], size[a]), cmp.Compare(d.kinds[a], d.kinds[b]), cmp.Compare(a, b))
	}
	out := make([]unit, len(units))
	sum := func(u unit) (s float64) {
		for _, i := range u.items {
			s += size[i]
		}
		return s
	}
	for k, u := range units {
		out[k] = unit{slices.Clone(u.items)}
		slices.SortStableFunc(out[k].items, order)
	}
	slices.SortStableFunc(out, func(a, b unit) int {
		return cmp.Or(cmp.Compare(sum(b), sum(a)), order(a.items[0], b.items[0]))
	})
	return out
}

// fill puts units into one sheet, in their order, and returns those that found
// no place.
func fill(f filler, units []unit) (parts []laidPart, rest []unit) {
	for _, u := range units {
		if len(u.items) == 1 {
			if p, ok := f.place(u.items[0]); ok {
				parts = append(parts, p)
			} else {
				rest = append(rest, u)
			}
			continue
		}
		f.mark()
		n := len(parts)
		for _, i := range u.items {
			p, ok := f.place(i)
			if !ok {
				f.undo()
				parts, rest = parts[:n], append(rest, u)
				break
			}
			parts = append(parts, p)
		}
	}
	return parts, rest
}

// lay fills sheet after sheet.
func (d *driver) lay(units []unit, fresh func(sheet int) filler) *plan {
	p := &plan{left: units}
	for _, k := range d.order {
		for c := range max(1, d.sheets[k].Count) {
			if len(p.left) == 0 {
				return p
			}
			parts, rest := fill(fresh(k), p.left)
			if len(parts) == 0 {
				break // the next copy of it would do no better
			}
			p.sheets = append(p.sheets, filled{k, c, parts})
			p.left = rest
		}
	}
	return p
}

// parted returns the units with those groups taken apart that fit no sheet.
func (d *driver) parted(units []unit) (out []unit) {
	for _, u := range units {
		whole := len(u.items) == 1
		for k := 0; k < len(d.sheets) && !whole; k++ {
			s := d.sorted([]unit{u}, 0)
			_, rest := fill(d.newCells(k), s)
			if len(rest) > 0 {
				_, rest = fill(d.newBoxes(k), s)
			}
			whole = len(rest) == 0
		}
		if whole {
			out = append(out, u)
			continue
		}
		for _, i := range u.items {
			out = append(out, unit{[]int{i}})
		}
	}
	return out
}

// startShare is the share of the budget up to which further ways to begin are
// tried, on boards that become finer; one by true shapes is always made.
const startShare = 0.1

// Bounds on the orders tried besides, and the work counted for a part that is
// laid, whatever it takes to find its place.
const (
	mostTries = 60
	stepsEach = 2000
)

// start returns the best of several quick layouts: by the skyline of boxes, and by
// true shapes on a board, each in several orders. None of them takes more sheets
// than a skyline does.
func (d *driver) start(ctx context.Context, budget int64) *plan {
	units, over := d.units()
	if slices.ContainsFunc(units, func(u unit) bool { return len(u.items) > 1 }) {
		units = d.parted(units)
	}
	var best *plan
	order := 0
	weigh := func(by int, p *plan) {
		if best == nil || d.better(p, best) {
			best, order = p, by
			d.tellStart(best, budget)
		}
	}
	onBoard := func(sheet int) filler { return d.newCells(sheet) }
	most := int64(startShare * float64(budget))
	// The skylines and the first by true shapes are made side by side.
	var lines [len(sizes)]*plan
	var beside sync.WaitGroup
	beside.Go(func() {
		for by := range sizes {
			lines[by] = d.lay(d.sorted(units, by), d.newBoxes)
		}
	})
	from := d.spent
	first := d.lay(d.sorted(units, 0), func(sheet int) filler {
		c := d.newCells(sheet)
		c.halt = func() bool { return ctx.Err() != nil }
		return c
	})
	beside.Wait()
	for by, p := range lines {
		weigh(by, p)
	}
	if ctx.Err() != nil && len(best.left) > 0 { // halted, but parts are without a place
		first = d.lay(d.sorted(units, 0), onBoard)
	}
	weigh(0, first)
	cost := d.spent - from
	for by := 1; by < len(sizes) && d.spent+cost <= most && (ctx.Err() == nil || len(best.left) > 0); by++ {
		from = d.spent
		weigh(by, d.lay(d.sorted(units, by), onBoard))
		cost = d.spent - from
	}
	if !d.searchable(best) {
		most = budget // nothing else will want it
	}
	for cost *= 3; d.cell > leastCell && d.spent+cost < most && ctx.Err() == nil; cost *= 3 {
		d.cell = max(leastCell, d.cell/2)
		clear(d.views)
		weigh(order, d.lay(d.sorted(units, order), onBoard))
	}
	rng := rand.New(rand.NewPCG(d.o.Seed, 0))
	for tries := 0; tries < mostTries && d.spent+cost < most && ctx.Err() == nil; tries++ {
		from := d.spent
		d.spent += int64(len(units)) * stepsEach
		units := d.sorted(units, order)
		for k := range units { // what is of about one size goes in another order
			n := k + rng.IntN(1+min(len(units)-1-k, len(units)/20))
			units[k], units[n] = units[n], units[k]
		}
		weigh(order, d.lay(units, onBoard))
		cost = d.spent - from
	}
	best.left = append(best.left, over...)
	d.topUp(ctx, best)
	return best
}

// tellStart reports a layout to begin with.
func (d *driver) tellStart(p *plan, budget int64) {
	if n := len(p.sheets); n > 0 {
		d.tell(p, n-1, d.used(&p.sheets[n-1]), float64(d.spent)/float64(budget))
	}
}

// searchable reports whether the last sheet of a plan can be searched.
func (d *driver) searchable(p *plan) bool {
	if len(p.sheets) == 0 {
		return true
	}
	_, ok := d.loadOf(&p.sheets[len(p.sheets)-1])
	return ok
}

// topUp puts what is left over, and parts of the last sheets, into what is free on
// the sheets before.
func (d *driver) topUp(ctx context.Context, p *plan) {
	for j := 0; j < len(p.sheets); j++ {
		if j == len(p.sheets)-1 && len(p.left) == 0 {
			break
		}
		c := d.newCells(p.sheets[j].sheet)
		for _, q := range p.sheets[j].parts {
			c.take(q)
		}
		p.left = slices.DeleteFunc(p.left, func(u unit) bool {
			if len(u.items) > 1 || d.items[u.items[0]].Group != 0 || ctx.Err() != nil {
				return false
			}
			to, ok := c.place(u.items[0])
			if ok {
				p.sheets[j].parts = append(p.sheets[j].parts, to)
			}
			return ok
		})
		for k := len(p.sheets) - 1; k > j; k-- {
			from := &p.sheets[k]
			slices.SortStableFunc(from.parts, func(a, b laidPart) int {
				return cmp.Compare(d.stock[b.item].area, d.stock[a.item].area)
			})
			from.parts = slices.DeleteFunc(from.parts, func(q laidPart) bool {
				if d.items[q.item].Group != 0 || ctx.Err() != nil {
					return false
				}
				to, ok := c.place(q.item)
				if ok {
					p.sheets[j].parts = append(p.sheets[j].parts, to)
				}
				return ok
			})
		}
		p.sheets = slices.DeleteFunc(p.sheets, func(f filled) bool { return len(f.parts) == 0 })
	}
}
