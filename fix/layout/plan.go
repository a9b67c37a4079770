package layout

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"sluice/fix/layout/raster"
	"sluice/fix/layout/region"
	"sluice/fix/layout/search"
	"sluice/geom"
)

// laidPart is a part in a room: turned about the middle of its box, which lies at
// at.
type laidPart struct {
	item int
	at   geom.Point
	turn float64 // in the room, degrees
}

// filled is a sheet with parts.
type filled struct {
	sheet, copy int
	parts       []laidPart
}

// plan is a layout in the making.
type plan struct {
	sheets []filled
	left   []unit
}

// clone returns a copy that shares nothing that changes.
func (p *plan) clone() *plan {
	c := &plan{sheets: slices.Clone(p.sheets), left: slices.Clone(p.left)}
	for i := range c.sheets {
		c.sheets[i].parts = slices.Clone(c.sheets[i].parts)
	}
	return c
}

// unit is what goes on one sheet together: a part, or a group of them.
type unit struct{ items []int }

// driver fills sheets.
type driver struct {
	items  []Item
	sheets []Sheet
	stock  []shape
	o      Options
	rooms  []*room // by sheet
	order  []int   // of the sheets, the cheapest first
	kinds  []int   // by item: alike for parts of one form, gap and choice of turns
	least  float64 // half the smallest gap, mm
	widest float64 // gap, mm
	cell   float64 // of boards, mm
	viewed sync.Mutex
	views  map[viewKey]*view
	spent  int64
	steps  int64
	share  float64 // told last
}

// viewKey is a form at a turn, with its clearance.
type viewKey struct {
	class int
	turn  int64
	clear float64
}

// view is a form as it lies in a room at one of its turns, about the middle of
// the box of its drawing.
type view struct {
	exact geom.Box // of its lines and arcs
	box   geom.Box // of its polygon
	grown []region.Ring
	mask  *raster.Mask // from the lower left corner of box
}

// Bounds of boards: cells along the root of the area of the largest room, for a
// few parts and for many, and the sizes of cells, mm.
const (
	finely    = 1200
	coarsely  = 800
	manyParts = 600
	leastCell = 0.25
	mostCell  = 4
)

func newDriver(items []Item, sheets []Sheet, o Options) (*driver, error) {
	stock, err := prepare(items, o)
	if err != nil {
		return nil, err
	}
	d := &driver{items: items, sheets: sheets, stock: stock, o: o, views: map[viewKey]*view{}, least: math.Inf(1)}
	area := 0.0
	for k := range sheets {
		r, err := newRoom(&sheets[k], o)
		if err != nil {
			return nil, sheetError(sheets, k, err)
		}
		d.rooms = append(d.rooms, r)
		d.order = append(d.order, k)
		area = max(area, r.length*r.width)
	}
	slices.SortStableFunc(d.order, func(a, b int) int { return cmp.Compare(sheets[a].Price, sheets[b].Price) })
	count := 0
	for i := range items {
		if items[i].Count > 0 {
			d.least = min(d.least, d.gap(i)/2)
			d.widest = max(d.widest, d.gap(i))
		}
		count += items[i].Count
		at := i
		for k := range i { // the first of the same kind
			if stock[k].class == stock[i].class && sameKind(&items[k], &items[i]) {
				at = k
				break
			}
		}
		d.kinds = append(d.kinds, at)
	}
	n := finely
	if count > manyParts {
		n = coarsely
	}
	d.cell = min(mostCell, max(leastCell, math.Sqrt(area)/float64(n)))
	return d, nil
}

// sameKind reports whether two parts of one form may be laid the same ways.
func sameKind(a, b *Item) bool {
	return a.Gap == b.Gap && a.Grained == b.Grained && a.Grain == b.Grain && a.Free == b.Free &&
		(a.Turns == nil) == (b.Turns == nil) && slices.Equal(a.Turns, b.Turns) && slices.Equal(a.Sheets, b.Sheets)
}

// gap returns the gap of an item, mm.
func (d *driver) gap(i int) float64 { return d.items[i].gap(d.o.Gap) }

// clear returns by how much an item is grown so that grown parts that are apart
// keep the wider of their two gaps.
func (d *driver) clear(i int) float64 { return d.gap(i) - d.least }

// turns returns the turns in the room that an item may take on a sheet.
func (d *driver) turns(i, sheet int) []float64 {
	it := &d.items[i]
	if len(it.Sheets) > 0 && !slices.Contains(it.Sheets, sheet) {
		return nil
	}
	turns := allowed(it, &d.sheets[sheet])
	for k := range turns {
		turns[k] = norm(turns[k] + d.rooms[sheet].quarter())
	}
	return turns
}

// view returns an item at a turn in the room.
func (d *driver) view(i int, turn float64) *view {
	key := viewKey{d.stock[i].class, int64(math.Round(turn * 1e6)), d.clear(i)}
	d.viewed.Lock()
	v, ok := d.views[key]
	d.viewed.Unlock()
	if ok {
		return v
	}
	c, s := search.CosSin(turn)
	t := geom.Transform{XX: c, XY: -s, YX: s, YY: c}
	v = &view{box: geom.NoBox()}
	m := t.Apply(d.stock[i].middle)
	v.exact = d.items[i].Outer.Transform(t).Box()
	v.exact.Min, v.exact.Max = v.exact.Min.Sub(m), v.exact.Max.Sub(m)
	rings := make([]region.Ring, len(d.stock[i].Pieces))
	for k, r := range d.stock[i].Pieces {
		rings[k] = make(region.Ring, len(r))
		for n, p := range r {
			rings[k][n] = t.Apply(p)
			v.box = v.box.Add(rings[k][n])
		}
	}
	v.grown = raster.Grow(rings, d.clear(i))
	moved := make([]region.Ring, len(v.grown))
	for k, r := range v.grown {
		moved[k] = make(region.Ring, len(r))
		for n, p := range r {
			moved[k][n] = p.Sub(v.box.Min)
		}
	}
	v.mask = raster.NewMask(moved, d.cell)
	d.viewed.Lock()
	d.views[key] = v
	d.viewed.Unlock()
	return v
}

// used returns how far along x the parts of a sheet reach, mm.
func (d *driver) used(f *filled) float64 {
	far := 0.0
	for _, p := range f.parts {
		far = max(far, p.at.X+d.view(p.item, p.turn).exact.Max.X)
	}
	return far
}

// better reports whether plan a is better than b: less is left over, then the
// sheets cost less, then they are fewer, then less of the last is used.
func (d *driver) better(a, b *plan) bool {
	if x, y := d.leftArea(a), d.leftArea(b); x != y {
		return x < y
	}
	if x, y := d.cost(a), d.cost(b); x != y {
		return x < y
	}
	if len(a.sheets) != len(b.sheets) {
		return len(a.sheets) < len(b.sheets)
	}
	if len(a.sheets) == 0 {
		return false
	}
	return d.used(&a.sheets[len(a.sheets)-1]) < d.used(&b.sheets[len(b.sheets)-1])
}

func (d *driver) leftArea(p *plan) float64 {
	sum := 0.0
	for _, u := range p.left {
		for _, i := range u.items {
			sum += d.stock[i].area
		}
	}
	return sum
}

func (d *driver) cost(p *plan) float64 {
	sum := 0.0
	for i := range p.sheets {
		sum += d.sheets[p.sheets[i].sheet].Price
	}
	return sum
}
