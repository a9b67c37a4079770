// Package layout moves parts on sheets: Spread parts those that lie too close
// and keeps the order of the sheet, Layout places all anew on one or more
// sheets, and Check says, by itself, whether a layout may be cut.
//
// Layout nests true shapes by overlap minimisation with guided local search (see
// package search for the method and its sources). Outlines are made polygons
// outwards only, so that what is clear as a polygon is clear as lines and arcs:
// by no more than Options.Outward, but up to 16 times that, or to the convex
// hull, where a sheet has very many forms of very many corners; pockets and holes
// too narrow for another part are closed. Check measures the lines and arcs
// themselves.
//
// Time and repeatability: the search counts steps of work, not seconds. The
// same items, sheets, options and seed give the same layout on every machine (of
// one processor family, since some round sums of products otherwise) and at every
// load; Seconds is turned into steps at search.StepsPerSecond, so that a
// slower or busier machine takes longer. Only a context that ends early makes
// the result depend on the clock (Result.Cut tells), and a Deadline besides on the
// number of cores, since all of them search then.
//
// Lengths are mm, areas mm2, turns degrees counter-clockwise.
package layout

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"time"

	"sluice/fix/layout/search"
	"sluice/geom"
)

// Item is a part to place.
type Item struct {
	Name    string
	Outer   geom.Path   // closed, counter-clockwise
	Holes   []geom.Path // closed, clockwise; other parts may lie in them
	Count   int         // how many
	Turns   []float64   // allowed turns; nil: quarter turns
	Grain   float64     // direction in the part that must lie along the grain of the sheet, either way
	Grained bool        // Grain counts
	Free    bool        // any turn is allowed; Turns is of no meaning. Grain still counts
	Gap     float64     // least distance to other parts, mm; 0: Options.Gap. Of two parts the wider one counts
	Group   int         // parts of one group, with all their copies, lie on one sheet if they fit one; 0: none
	Sheets  []int       // indices of the sheets it may lie on; nil: all
}

// gap returns the distance to keep from the item, mm.
func (it *Item) gap(usual float64) float64 {
	if it.Gap > 0 {
		return max(it.Gap, LeastGap)
	}
	return usual
}

// Sheet is stock to cut from: a rectangle from 0,0 to Width,Height, or a remnant
// with its own outline within it.
type Sheet struct {
	Name          string
	Width, Height float64
	Margin        float64     // kept free along all edges of the stock
	Outline       geom.Path   // of a remnant, closed, counter-clockwise; nil: the rectangle
	Holes         []geom.Path // already cut out of it, closed, either sense
	Clamps        []geom.Box  // zones to keep clear, their own safety included
	Grain         float64     // direction of the grain
	Grained       bool        // the stock has a grain
	OffClamps     float64     // kept off the clamps besides, mm: for the jet, its leads and the like
	Count         int         // how many of them; 0: one
	Price         float64     // of one, in any unit; the dearest are taken last
	taken         []taken     // where parts are pinned
}

// LeastGap is the smallest gap between parts that can be asked for, mm.
const LeastGap = 0.001

// Along says in which direction the used length is kept short.
type Along uint8

// Directions.
const (
	LongSide Along = iota // of the sheet
	X
	Y
)

// Options direct Layout.
type Options struct {
	Gap      float64 // least distance between two parts, LeastGap or more
	Outward  float64 // how far outlines may grow as polygons; 0: 0.1 mm
	Seconds  float64 // budget, turned into steps; see search.StepsPerSecond
	Seed     uint64
	Workers  int // searches side by side; 0: 2, with a Deadline one for each core. The result depends on it
	Along    Along
	Deadline time.Time      // ends the search by the clock, whatever Seconds says; zero: none. See Result.Cut
	Progress func(Progress) // may be nil; called by one goroutine at a time
	Pins     []Pinned       // parts that stay where they are; all others are laid around them
	Begin    []Laid         // a layout of the same items and sheets to begin with, as far as it may be cut; nil: from nothing
	Still    bool           // what lies in Begin stays there; only what has no place, or cannot keep it, finds one
}

// Searches side by side: as a rule, so that the cores of a machine make no
// difference to what is laid out; and at the most, where the clock makes one anyway.
const (
	usualWorkers = 2
	mostWorkers  = 16
)

// Progress is how far Layout has come.
type Progress struct {
	Sheet  int           // from 1
	Length float64       // used on it so far
	Share  float64       // of the budget spent, 0 to 1; never less than before
	Sheets func() []Laid // what is laid out so far; only to be called within the callback
}

// Placed is one part on a sheet: turned about the origin of its drawing, then
// shifted.
type Placed struct {
	Item  int     // index in the items
	Copy  int     // from 0
	Turn  float64 // degrees
	Shift geom.Point
}

// Transform returns the movement from the drawing to the sheet.
func (p Placed) Transform() geom.Transform {
	c, s := search.CosSin(p.Turn)
	return geom.Transform{XX: c, XY: -s, YX: s, YY: c, T: p.Shift}
}

// Laid is one sheet with its parts.
type Laid struct {
	Sheet   int // index in the sheets
	Copy    int // from 0
	Placed  []Placed
	Area    float64  // of the parts, holes taken off
	Used    float64  // length from the edge of the sheet at which packing starts to the farthest part
	AlongY  bool     // Used runs along y
	Density float64  // Area over used length times the other side, 0 to 1
	Share   float64  // Area over the area of the stock, 0 to 1
	Cutoff  geom.Box // the rectangle that goes back to the rack; empty if none is left
}

// Left is a part for which no place was found.
type Left struct {
	Item  int
	Count int
	Why   string
}

// Result is a layout.
type Result struct {
	Sheets []Laid
	Left   []Left
	Steps  int64 // work done by all workers
	Cut    bool  // ended before the budget was spent
}

// ErrNothing is returned where there is nothing to place or to place it on.
var ErrNothing = errors.New("no parts or no sheets to lay out")

// Layout places the items on as few sheets as it can, the cheapest first (those
// of one price in their order), and draws the parts of the last one together so
// that the largest rectangle is left. It begins with the best of several quick
// layouts, by the skyline of the parts' boxes and by their shapes, never takes
// more sheets than those, and spends the budget on making that better. What finds
// no place is told in Left. The result has passed Check; a layout that does not
// is returned with an error and is not to be cut.
func Layout(ctx context.Context, items []Item, sheets []Sheet, o Options) (*Result, error) {
	if len(items) == 0 || len(sheets) == 0 {
		return nil, ErrNothing
	}
	if !(o.Gap >= LeastGap && o.Gap < 1e4) || !(o.Seconds > 0) || math.IsInf(o.Seconds, 1) {
		return nil, fmt.Errorf("layout: gap %g mm or time %g s is out of range", o.Gap, o.Seconds)
	}
	if len(o.Begin) > 0 {
		o.Begin = sound(items, sheets, o)
	}
	if len(o.Pins) > 0 {
		return layAround(ctx, items, sheets, o)
	}
	if o.Outward <= 0 {
		o.Outward = 0.1
	}
	if o.Workers <= 0 {
		o.Workers = usualWorkers
		if !o.Deadline.IsZero() {
			o.Workers = min(mostWorkers, max(usualWorkers, runtime.GOMAXPROCS(0)))
		}
	}
	if !o.Deadline.IsZero() {
		ctx = until{ctx, o.Deadline}
	}
	d, err := newDriver(items, sheets, o)
	if err != nil {
		return nil, err
	}
	budget := int64(min(o.Seconds*search.StepsPerSecond, math.MaxInt64/4))
	p := d.begin(ctx, budget)
	d.steps = d.spent
	if len(p.sheets) > 0 {
		d.tell(p, len(p.sheets)-1, d.used(&p.sheets[len(p.sheets)-1]), float64(d.spent)/float64(budget))
	}
	begun := p.clone()
	if !o.Still || len(o.Begin) == 0 {
		d.improve(ctx, p, budget)
	}
	res := d.result(ctx, p)
	faults := Check(items, sheets, res, o.Gap)
	if len(faults) > 0 { // what it began with is whole too
		res = d.result(ctx, begun)
		faults = Check(items, sheets, res, o.Gap)
	}
	if len(faults) > 0 {
		return res, fmt.Errorf("layout: the result does not pass its check: %s (and %d more)", faults[0], len(faults)-1)
	}
	return res, nil
}

// until is a context that ends by the clock. It asks the one that it is made of each time,
// which may let others have a turn then.
type until struct {
	context.Context
	end time.Time
}

func (u until) Err() error {
	if err := u.Context.Err(); err != nil {
		return err
	}
	if time.Now().After(u.end) {
		return context.DeadlineExceeded
	}
	return nil
}

// result tells a plan as a result.
func (d *driver) result(ctx context.Context, p *plan) *Result {
	res := &Result{Sheets: d.laid(p), Steps: d.steps, Cut: ctx.Err() != nil}
	left := make([]int, len(d.items))
	for _, u := range p.left {
		for _, i := range u.items {
			left[i]++
		}
	}
	for i, n := range left {
		if n > 0 {
			res.Left = append(res.Left, Left{i, n, d.why(i, res.Cut)})
		}
	}
	return res
}

func sheetName(sheets []Sheet, k int) string {
	if sheets[k].Name != "" {
		return sheets[k].Name
	}
	return fmt.Sprint(k + 1)
}

func sheetError(sheets []Sheet, k int, err error) error {
	return fmt.Errorf("sheet %s: %w", sheetName(sheets, k), err)
}

// why says why an item found no place.
func (d *driver) why(i int, cut bool) string {
	listed, turned := false, false
	for k := range d.sheets {
		listed = listed || len(d.items[i].Sheets) == 0 || slices.Contains(d.items[i].Sheets, k)
		turns := d.turns(i, k)
		turned = turned || len(turns) > 0
		if d.rooms[k].takes(d.stock[i], turns) {
			if cut {
				return "the search was ended before it found a place"
			}
			return "no room is left on the sheets"
		}
	}
	switch {
	case !listed:
		return "none of the sheets is one that it may lie on"
	case !turned:
		return "none of its allowed turns lies along the grain of the sheets"
	}
	return "larger than every sheet less its margin"
}

// allowed returns the turns an item may take on a sheet, ascending as given.
func allowed(it *Item, s *Sheet) []float64 {
	turns := it.Turns
	if it.Free {
		turns = nil
	}
	if s.Grained && it.Grained {
		d := s.Grain - it.Grain
		if turns == nil {
			return []float64{norm(d), norm(d + 180)}
		}
		var out []float64
		for _, t := range turns {
			if alongGrain(t, d) {
				out = append(out, norm(t))
			}
		}
		return out
	}
	if it.Free {
		return it.freeTurns()
	}
	if turns == nil {
		return []float64{0, 90, 180, 270}
	}
	out := make([]float64, len(turns))
	for i, t := range turns {
		out[i] = norm(t)
	}
	return out
}

// freeStep is the step (degrees) by which parts are turned that may lie at any
// turn.
const freeStep = 15

// freeTurns returns the turns tried of an item that may lie at any: even steps,
// from the turn at which its longest straight edge lies along x.
func (it *Item) freeTurns() []float64 {
	from, longest := 0.0, 0.0
	for i := range it.Outer {
		if q := &it.Outer[i]; q.R == 0 && q.A.Dist(q.B) > longest*(1+1e-9) {
			longest = q.A.Dist(q.B)
			v := q.B.Sub(q.A)
			from = -math.Atan2(v.Y, v.X) * 180 / math.Pi
		}
	}
	var out []float64
	for t := 0.0; t < 360; t += freeStep {
		out = append(out, norm(from+t))
	}
	return out
}

// alongGrain reports whether a turn differs from d by half turns only.
func alongGrain(turn, d float64) bool {
	m := math.Mod(math.Abs(turn-d), 180)
	return min(m, 180-m) < 1e-6
}

// norm brings a turn to [0, 360).
func norm(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	return deg
}
