// Package search places polygons in a rectangle so that none overlap, and
// shortens the rectangle as far as a budget of work allows.
//
// The method is overlap minimisation with guided local search: all items are in
// the room from the start, overlapping; the one that overlaps is taken to the
// place where it overlaps least, and pairs that go on overlapping weigh more and
// more until they part (Voudouris and Tsang 1999 for the search; Egeblad,
// Nielsen and Odgaard 2007, Imamichi, Yagiura and Nagamochi 2009, and Elkeran
// 2013 for its use on irregular pieces; sampling of places followed by a descent,
// and a pool of failures to go back to with two large items exchanged, as
// Gardeyn, Vanden Berghe and Wauters, "An open-source heuristic to reboot 2D
// nesting research", 2025; all from memory). Overlap is measured as the depth in the
// no-fit polygon, which a table tells by the one or two planes of a cell (package
// nofit); what is near is found by an index that moves with the items (index.go).
// Between the moves of single ones all items push each other at once (relax.go).
// Workers meet after equal shares of work, and one that lags goes on from the best
// (meeting.go).
//
// Time is counted in steps of work, not by the clock, so that the same seed and
// budget give the same result on every machine.
package search

import (
	"math"
	"sync"
	"sync/atomic"

	"sluice/fix/layout/nofit"
	"sluice/fix/layout/region"
	"sluice/geom"
)

// Shape is a polygon as the union of convex rings, in its own axes.
type Shape struct {
	Pieces []region.Ring
	Area   float64 // mm2
	Bulk   float64 // with its holes and the clearance around it, mm2; Area if less
}

// Item is one piece to place.
type Item struct {
	Shape int
	Turns []float64 // allowed turns, degrees; at least one
	Clear float64   // mm to keep off other items; 0: Problem.Clear. Of two the wider one counts
}

// Fixed is a place that must be kept clear: a shape that lies where its axes say.
type Fixed struct {
	Shape int
	Clear float64 // mm to keep off it
}

// Problem is what is to be placed and where.
type Problem struct {
	Shapes []Shape
	Items  []Item
	Fixed  []Fixed
	Length float64 // of the room along x, mm
	Height float64 // of the room along y, mm
	Clear  float64 // between items, mm
	Start  []Place // where the first items lie already; nil: nowhere
}

// Place is where an item lies: turned about the origin of its shape by Turn
// degrees, then shifted to At.
type Place struct {
	At   geom.Point
	Turn float64
}

// orient is a shape at one of its turns.
type orient struct {
	shape    int
	fixed    bool // of a fixed place
	deg      float64
	clear    float64 // mm
	cos, sin float64
	box      geom.Box
}

// tables builds no-fit tables when they are first asked for and keeps them; all
// workers share it.
type tables struct {
	p      *Problem
	skin   float64
	orient []orient  // all orientations; those of fixed shapes last
	of     [][]int32 // by item: its orientations
	fixed  []int32   // by fixed place: its orientation
	mu     sync.Mutex
	have   map[tableKey]*slot
	spare  atomic.Int64 // bytes that may go into making tables faster
}

// slot is a table that is built by whoever needs it first; the others wait.
type slot struct {
	once  sync.Once
	table *nofit.Table
}

type tableKey struct {
	a, b  int32
	rel   int64 // turn of b against a, millionths of a degree
	clear float64
}

// SkinShare is the extra clearance as a share of the room's size, to cover
// rounding error.
const SkinShare = 1e-7

func newTables(p *Problem) *tables {
	t := &tables{p: p, have: map[tableKey]*slot{}}
	t.spare.Store(mostRefined)
	t.skin = SkinShare * (p.Height + math.Sqrt(totalArea(p)))
	type key struct {
		shape int
		fixed bool
		deg   int64
		clear float64
	}
	seen := map[key]int32{}
	add := func(shape int, fixed bool, deg, clear float64) int32 {
		key := key{shape, fixed, micro(deg), clear}
		if k, ok := seen[key]; ok {
			return k
		}
		c, s := CosSin(deg)
		o := orient{shape: shape, fixed: fixed, deg: deg, clear: clear, cos: c, sin: s, box: geom.NoBox()}
		for _, r := range p.Shapes[shape].Pieces {
			for _, q := range r {
				o.box = o.box.Add(rotate(q, c, s))
			}
		}
		k := int32(len(t.orient))
		t.orient = append(t.orient, o)
		seen[key] = k
		return k
	}
	for _, it := range p.Items {
		var list []int32
		for _, deg := range it.Turns {
			list = append(list, add(it.Shape, false, deg, p.clearOf(it)))
		}
		t.of = append(t.of, list)
	}
	for _, f := range p.Fixed {
		t.fixed = append(t.fixed, add(f.Shape, true, 0, f.Clear))
	}
	return t
}

// clearOf returns the clearance that an item asks for.
func (p *Problem) clearOf(it Item) float64 {
	if it.Clear > 0 {
		return it.Clear
	}
	return p.Clear
}

func totalArea(p *Problem) float64 {
	var a float64
	for _, it := range p.Items {
		a += p.Shapes[it.Shape].Area
	}
	return a
}

// micro brings a turn to [0, 360) in millionths of a degree.
func micro(deg float64) int64 {
	m := int64(math.Round(deg*1e6)) % 360e6
	if m < 0 {
		m += 360e6
	}
	return m
}

// CosSin returns the cosine and sine of an angle in degrees, exact for right
// angles.
func CosSin(deg float64) (c, s float64) {
	switch micro(deg) {
	case 0:
		return 1, 0
	case 90e6:
		return 0, 1
	case 180e6:
		return -1, 0
	case 270e6:
		return 0, -1
	}
	s, c = math.Sincos(deg * math.Pi / 180)
	return c, s
}

func rotate(p geom.Point, c, s float64) geom.Point {
	return geom.Point{X: p.X*c - p.Y*s, Y: p.X*s + p.Y*c}
}

// lookup is a no-fit table with the map that takes a displacement of the moving
// item against the other into the table's axes.
type lookup struct {
	table          *nofit.Table
	left           int   // uses until it is looked at again
	cost           int64 // steps that one takes
	xx, xy, yx, yy float64
}

// get returns the lookup for an item in orientation a moving about one in
// orientation b.
func (t *tables) get(a, b int32) lookup {
	p, q := &t.orient[a], &t.orient[b]
	clear := max(p.clear, q.clear)
	switch { // a fixed place says itself what is kept off it
	case q.fixed:
		clear = q.clear
	case p.fixed:
		clear = p.clear
	}
	// The table is that of the shape of the lower index standing still at turn 0.
	if p.shape <= q.shape {
		// d = pos(b) - pos(a), turned back by a's turn; given is pos(a) - pos(b).
		return lookup{table: t.build(p, q, clear), xx: -p.cos, xy: -p.sin, yx: p.sin, yy: -p.cos}
	}
	return lookup{table: t.build(q, p, clear), xx: q.cos, xy: q.sin, yx: -q.sin, yy: q.cos}
}

// mostRefined bounds the memory that goes into making tables faster, bytes.
const mostRefined = 256 << 20

// refine makes a table faster while there is memory for it.
func (t *tables) refine(table *nofit.Table) {
	if t.spare.Load() > 0 {
		t.spare.Add(-table.Refine())
	}
}

func (t *tables) build(still, moving *orient, clear float64) *nofit.Table {
	rel := micro(moving.deg - still.deg)
	key := tableKey{int32(still.shape), int32(moving.shape), rel, clear}
	t.mu.Lock()
	have, ok := t.have[key]
	if !ok {
		have = &slot{}
		t.have[key] = have
	}
	t.mu.Unlock()
	have.once.Do(func() { have.table = t.made(still, moving, rel, clear) })
	return have.table
}

// made builds the table of two shapes.
func (t *tables) made(still, moving *orient, rel int64, clear float64) *nofit.Table {
	c, s := CosSin(float64(rel) / 1e6)
	turned := make([]region.Ring, len(t.p.Shapes[moving.shape].Pieces))
	for i, r := range t.p.Shapes[moving.shape].Pieces {
		turned[i] = make(region.Ring, len(r))
		for k, q := range r {
			turned[i][k] = rotate(q, c, s)
		}
	}
	return nofit.New(t.p.Shapes[still.shape].Pieces, turned, clear, t.skin)
}
