package rules

import (
	"fmt"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/geom/region"
	"sluice/lint"
)

var crossingOutlines = &lint.Rule{
	ID:       "crossing-outlines",
	Brought:  lint.BroughtWorse,
	Severity: lint.Error,
	Repair:   lint.None,
	Choices:  []string{"unite", "subtract", "subtract-first", "drop-second", "drop-first"},
	Doc: lint.Doc{
		Title:      "Outlines that cross",
		What:       "A point at which an outline crosses itself or another.",
		Why:        "Two parts claim the same material: whichever is cut second is cut into the first. An outline that crosses itself has no inside to keep.",
		Bad:        "A bolt hole that runs over the edge of its part; two parts laid over each other.",
		Good:       "Two outlines that touch in a corner, or run along a common edge.",
		Exceptions: "Ends that overshoot by no more than the gap limit are open outlines. Long lines that part a sheet are shared edges. Marks inside a part may cross each other and holes.",
		Limit:      "Any crossing deeper than [limits] join.",
		Fix:        "A person must say which of the two gives way: they become one, one is taken from the other, or one is left out. The first is what was drawn earlier. One answer settles all places where the two cross. An outline that crosses itself must be redrawn.",
		Reason:     "Asked for: which of the two gives way cannot be told from the drawing.",
		Since:      "0.1",
	},
	Check: func(p *lint.Pass) {
		pairs := newCrossPairs(p)
		for i := range p.Sheet.Crossings {
			c := &p.Sheet.Crossings[i]
			part := int32(-1)
			for _, s := range c.Strokes {
				if part < 0 {
					part = p.PartOfStroke(s)
				}
			}
			f := lint.Finding{
				At:       c.At,
				Message:  "outlines cross here",
				Fact:     lint.Fact{One: "outlines cross", Many: "places where outlines cross"},
				Layer:    p.LayerOf(c.Strokes[0]),
				Entities: p.EntityIDs(c.Strokes...),
				Part:     p.PartName(part),
			}
			pairs.offer(&f, c)
			p.Report(f)
		}
	},
}

// crossPairs offers what can be made of two shapes that cross. Each pair is worked out
// once, however often the two cross.
type crossPairs struct {
	p      *lint.Pass
	shapes *repair.Shapes
	ways   map[[2]int32][]lint.Way
}

// mostCrossPairs is how many pairs of shapes are worked out; the findings of the others
// can be accepted, or one of the two left out.
const mostCrossPairs = 400

func newCrossPairs(p *lint.Pass) *crossPairs {
	c := &crossPairs{p: p, ways: map[[2]int32][]lint.Way{}}
	if len(p.Sheet.Crossings) > 0 {
		role, _ := lint.Roles(p.Drawing, p.Job)
		c.shapes = repair.NewShapes(p.Drawing, p.Job.Limits.Join, func(s *drawing.Stroke) bool { return role(s) == outline.Cut })
	}
	return c
}

// offer offers what can be made of the two shapes that cross at a place.
func (c *crossPairs) offer(f *lint.Finding, at *outline.Crossing) {
	var two []*repair.Shape
	for _, s := range at.Strokes {
		sh := c.shapes.Of(s)
		if sh == nil || len(at.Strokes) > 16 {
			return
		}
		if len(two) == 0 || two[0] != sh && len(two) == 1 {
			two = append(two, sh)
		} else if sh != two[0] && sh != two[1] {
			return // three or more: which of them is meant?
		}
	}
	if len(two) < 2 {
		return
	}
	if two[1].First < two[0].First {
		two[0], two[1] = two[1], two[0]
	}
	key := [2]int32{two[0].First, two[1].First}
	ways, known := c.ways[key]
	if !known {
		ways = c.waysOf(f, two[0], two[1], key)
		c.ways[key] = ways
	}
	f.Choices, f.Repair = append(f.Choices, ways...), lint.Choice
}

func (c *crossPairs) waysOf(f *lint.Finding, first, second *repair.Shape, key [2]int32) []lint.Way {
	x, y := shapeNames(first, second)
	var g lint.Finding
	offer := func(name, words string, e fix.Edit) {
		e.Part, e.Entities = f.Part, c.p.EntityIDs(append(append([]int32{}, first.Src...), second.Src...)...)
		g.Offer(name, words, e)
		if n := len(g.Choices); n > 0 && g.Choices[n-1].Name == name {
			g.Choices[n-1].Act = fmt.Sprintf("cross|%d|%d|%s", key[0], key[1], name)
		}
	}
	if len(c.ways) < mostCrossPairs {
		combine := func(a, b *repair.Shape, op region.Op) fix.Edit {
			return repair.Combine(c.p.Drawing, a, b, op, f.At)
		}
		offer("unite", "unite "+x+" and "+y+" to one shape", combine(first, second, region.Unite))
		offer("subtract", "take "+y+" out of "+x, combine(first, second, region.Subtract))
		offer("subtract-first", "take "+x+" out of "+y, combine(second, first, region.Subtract))
	}
	offer("drop-second", "leave "+y+" out", repair.DropShape(second, f.At))
	offer("drop-first", "leave "+x+" out", repair.DropShape(first, f.At))
	return g.Choices
}

// shapeNames describe two shapes, so that they are told apart.
func shapeNames(a, b *repair.Shape) (string, string) {
	name := func(s *repair.Shape) string {
		if len(s.Path) == 1 {
			return fmt.Sprintf("the circle of %s mm", mm(2*s.Path[0].R))
		}
		return fmt.Sprintf("the outline of %s x %s mm", mm(s.Box.W()), mm(s.Box.H()))
	}
	x, y := name(a), name(b)
	if x == y {
		place := func(s *repair.Shape) string {
			c := s.Box.Center()
			return fmt.Sprintf(" at %s, %s", mm(c.X), mm(c.Y))
		}
		x, y = x+place(a), y+place(b)
	}
	return x, y
}
