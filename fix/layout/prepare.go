package layout

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"sluice/fix/layout/region"
	"sluice/fix/layout/search"
	"sluice/geom"
)

// shape is an item as the search sees it: in convex pieces, with the middle of
// its box at the origin.
type shape struct {
	search.Shape
	middle geom.Point
	area   float64 // exact, mm2
	class  int     // the first item of the same form in the same position
}

// Bounds on the time and memory that shapes take: the convex pieces of all forms
// together (the tables grow as its square, times the turns), and how much
// further than asked outlines may grow to keep to that. A form that needs more
// than twice its share even so is taken as its convex hull.
const (
	mostPieces  = 600
	leastPieces = 12
	mostEach    = 48
	growth      = 16
	sameAs      = 1e-7 // mm by which points of one form may differ
)

// prepare turns items into shapes.
func prepare(items []Item, o Options) ([]shape, error) {
	out := make([]shape, len(items))
	rough := make([]*region.Region, len(items))
	narrowest := math.Inf(1)
	for i := range items {
		it := &items[i]
		if it.Count < 0 || len(it.Outer) == 0 {
			return nil, fmt.Errorf("part %s: no outline, or a count below 0", itemName(items, i))
		}
		if !finiteTurns(it) {
			return nil, fmt.Errorf("part %s: a turn is not a number", itemName(items, i))
		}
		g, err := toRegion(it.Outer, it.Holes, o.Outward/2)
		if err != nil {
			return nil, fmt.Errorf("part %s: %w", itemName(items, i), err)
		}
		rough[i] = g
		out[i].middle = it.Outer.Box().Center()
		out[i].area = it.area()
		if it.Count > 0 {
			narrowest = min(narrowest, region.Width(g.Outer))
		}
	}
	classes := 0
	first := map[[4]int64][]int{}
	for i := range items {
		move(rough[i], out[i].middle)
		key := formKey(rough[i])
		out[i].class = i
		for _, k := range first[key] {
			if sameForm(rough[k], rough[i]) {
				out[i].class = k
			}
		}
		if out[i].class == i {
			first[key] = append(first[key], i)
			classes++
		}
	}
	turns := 4
	for i := range items {
		turns = max(turns, len(items[i].Turns))
	}
	limit := min(mostEach, max(leastPieces, 4*mostPieces/turns/classes))
	for i := range items {
		if out[i].class != i {
			out[i].Shape = out[out[i].class].Shape
			continue
		}
		g := rough[i]
		var pieces []region.Ring
		for tol := o.Outward / 2; ; tol *= 2 {
			s := g.Simplify(tol, 2*o.Gap, narrowest+2*o.Gap)
			pieces, _ = s.Convex()
			if len(pieces) <= limit {
				break
			}
			if tol >= growth*o.Outward {
				if len(pieces) > 2*limit {
					pieces = []region.Ring{geom.Hull(s.Outer)}
				}
				break
			}
		}
		out[i].Shape = search.Shape{
			Pieces: pieces, Area: out[i].area,
			Bulk: g.Outer.Area() + items[i].Outer.Length()*o.Gap/2,
		}
	}
	return out, nil
}

// area returns the area of an item, holes taken off, mm2.
func (it *Item) area() float64 {
	area := math.Abs(it.Outer.Area())
	for _, h := range it.Holes {
		area -= math.Abs(h.Area())
	}
	return area
}

// formKey is alike for regions of the same form, to sort them by.
func formKey(g *region.Region) [4]int64 {
	b := g.Outer.Box()
	return [4]int64{int64(len(g.Outer)), int64(len(g.Holes)), int64(math.Round(b.W())), int64(math.Round(b.H()))}
}

// sameForm reports whether two regions about the origin agree point by point.
func sameForm(a, b *region.Region) bool {
	near := func(p, q region.Ring) bool {
		if len(p) != len(q) {
			return false
		}
		for i := range p {
			if p[i].Dist(q[i]) > sameAs {
				return false
			}
		}
		return true
	}
	if !near(a.Outer, b.Outer) || len(a.Holes) != len(b.Holes) {
		return false
	}
	for i := range a.Holes {
		if !near(a.Holes[i], b.Holes[i]) {
			return false
		}
	}
	return true
}

func finiteTurns(it *Item) bool {
	bad := func(t float64) bool { return math.IsNaN(t) || math.Abs(t) > 1e6 }
	return !bad(it.Grain) && !slices.ContainsFunc(it.Turns, bad)
}

func itemName(items []Item, i int) string {
	if items[i].Name != "" {
		return items[i].Name
	}
	return fmt.Sprint(i + 1)
}

var errOutline = errors.New("the outline encloses nothing or is not a number")

// toRegion returns a polygon that covers a part.
func toRegion(outer geom.Path, holes []geom.Path, tol float64) (*region.Region, error) {
	for _, path := range append([]geom.Path{outer}, holes...) {
		for i := range path {
			if q := &path[i]; !q.A.Finite() || !q.B.Finite() || !q.C.Finite() || math.IsNaN(q.Sweep) || !(q.R >= 0 && q.R < 1e9) {
				return nil, errOutline
			}
		}
	}
	if outer.Area() < 0 {
		outer = outer.Reverse()
	}
	g := &region.Region{Outer: region.Outward(outer, tol)}
	if len(g.Outer) < 3 || !(g.Outer.Area() > 0) || !finite(g.Outer) {
		return nil, errOutline
	}
	for _, h := range holes {
		if h.Area() > 0 {
			h = h.Reverse()
		}
		if r := region.Outward(h, tol); len(r) >= 3 && r.Area() < 0 && finite(r) {
			g.Holes = append(g.Holes, r)
		}
	}
	return g, nil
}

func finite(r region.Ring) bool {
	return !slices.ContainsFunc(r, func(p geom.Point) bool { return !p.Finite() || math.Abs(p.X) > 1e7 || math.Abs(p.Y) > 1e7 })
}

// move shifts a region so that c comes to the origin.
func move(g *region.Region, c geom.Point) {
	for _, r := range append([]region.Ring{g.Outer}, g.Holes...) {
		for i := range r {
			r[i] = r[i].Sub(c)
		}
	}
}
