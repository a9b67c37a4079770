package kit

import (
	"cmp"
	"math"
	"slices"

	"sluice/fix/fit/side"
	"sluice/geom"
	"sluice/geom/outline"
)

// Options direct Find. All lengths are mm.
type Options struct {
	Corner side.Limits
	Snug   float64   // largest amount by which a slot is longer than its tab
	Near   float64   // lengths of mates may differ by this once the kit's own play is taken off
	Sheet  float64   // the sheet's thickness, 0 if not known: joints without any mate are believed sooner
	Mixed  bool      // the parts are known to be cut from sheets of several thicknesses
	Stock  []float64 // thicknesses that sheet comes in: joints without any mate are for one of them; nil for any
}

// DefaultOptions returns what suits sheet of 1 to 12 mm: a shop's rule gives
// slots 0.030 in over their tabs; the rest is common practice without a source.
func DefaultOptions() Options {
	return Options{Corner: side.DefaultLimits(), Snug: 1, Near: 0.3}
}

// Kind names what a joint is.
type Kind uint8

// Kinds of joint.
const (
	Slot Kind = iota
	Notch
	Tab
	Gap
)

var kindNames = [...]string{"slot", "notch", "tab", "gap"}

// String returns "slot", "notch", "tab" or "gap".
func (k Kind) String() string { return kindNames[k] }

// Several returns "slots", "notches", "tabs" or "gaps".
func (k Kind) Several() string {
	if k == Notch {
		return "notches"
	}
	return kindNames[k] + "s"
}

// Joint is one joint of a part.
type Joint struct {
	Kind    Kind
	Part    int32      // index in Sheet.Parts
	Outline int32      // index in Sheet.Outlines
	Width   float64    // slot, notch: between its long walls, mm; tab, gap: 0
	Length  float64    // along the edge or slot; notch: how deep it is, mm
	Depth   float64    // how far a tab stands out or a gap or notch goes in, mm; slot: 0
	At      geom.Point // the middle of a slot, notch or gap; of a tab's end
	Dir     geom.Point // along Length
	Out     geom.Point // out of the part; zero for a slot
	Edge    int        // index in Kit.Edges of a tab or gap, else -1
	Behind  float64    // notch: material behind its bottom, mm
	Angle   float64    // at which the part stands to the one that it meets, degrees; 0: square, as far as is known
	Piece   int32      // a piece of Outline that bounds it
	Piece2  int32      // the piece across from it

	walls    [2]int // by side of the outline: long walls of a slot or notch, flanks of a tab or gap
	feet     [2]int // sides before and after the flanks of a tab or gap
	bottom   int    // side at a notch's or gap's bottom or a tab's end
	round    bool   // a slot with round ends, a tab with a round head, a notch with a round bottom
	relieved bool   // a corner of a slot or a foot of a tab is opened with a relief
}

// Step is a place at which an edge goes out or in.
type Step struct {
	Pos   float64 // along the edge's direction of travel, mm
	Depth float64 // mm
	Up    bool    // outward, in the direction of travel
	side  int     // the flank
}

// Edge is a run of steps along one line of a part.
type Edge struct {
	Part    int32
	Outline int32
	U, Out  geom.Point // direction of travel, and out of the part
	Level   float64    // of the inner level along Out from the drawing's origin, mm
	Steps   []Step     // by Pos
	Depth   float64    // the usual depth of its steps, mm
	Joints  []int      // its tabs and gaps, indices in Kit.Joints
}

// found holds what was found on the parts before anything is known of the
// thickness.
type found struct {
	holes         []Joint // rectangular holes, Width the shorter side
	heads, headed bool    // half circles are looked for, and there are some
	rounds        []Joint // holes with round ends that may be slots, Length that of the tab they may be for
	cuts          []Joint // notches and gaps alike: Length along the edge, Depth in
	tabs          []Joint
	edges         []Edge // steps by line, without joints
	tslots        []TSlot
	askew         []Joint // slots and notches set aside for plates at other angles than square
}

// square reports whether a turn is a right angle to the given side (+1 left).
func square(turn, sign float64) bool { return math.Abs(turn-sign*math.Pi/2) < rightAngle }

// look finds the joints of every part.
func look(s *outline.Sheet, o Options, heads bool) *found {
	f := &found{heads: heads, holes: make([]Joint, 0, rectangles(s))}
	for k := range s.Parts {
		p := &s.Parts[k]
		f.outline(s, int32(k), p.Outer, o)
		for _, h := range p.Holes {
			f.outline(s, int32(k), h, o)
		}
	}
	if f.heads {
		f.settleHeads(o)
	}
	return f
}

// rectangles returns how many holes may be rectangles.
func rectangles(s *outline.Sheet) (n int) {
	for i := range s.Outlines {
		if o := &s.Outlines[i]; o.Hole() && len(o.Pieces) >= 4 && len(o.Pieces) <= 8 {
			n++
		}
	}
	return n
}

func (f *found) outline(s *outline.Sheet, part, out int32, o Options) {
	path := s.Outlines[out].Pieces
	if len(path) < 4 {
		return
	}
	sides := side.Of(path, o.Corner)
	if f.heads || !f.headed {
		with := side.Heads(path, sides, o.Corner)
		f.headed = f.headed || len(with) > len(sides)
		if f.heads {
			sides = with
		}
	}
	n := len(sides)
	if s.Outlines[out].Hole() && n == 4 {
		if j, ok := rectangle(sides); ok {
			j.Part, j.Outline = part, out
			f.holes = append(f.holes, j)
			return
		}
	}
	ts, inT := tSlots(sides, part, out)
	f.tslots = append(f.tslots, ts...)
	// Steps by their flank.
	step := make([]int8, n) // +1 outward, -1 inward
	for i := range sides {
		if inT[i] || inT[(i+1)%n] {
			continue
		}
		p, q := &sides[i], &sides[(i+1)%n]
		if n < 3 || !p.Linked || !q.Linked {
			continue
		}
		switch {
		case square(p.Turn, -1) && square(q.Turn, 1):
			step[(i+1)%n] = 1
		case square(p.Turn, 1) && square(q.Turn, -1):
			step[(i+1)%n] = -1
		}
	}
	var edges []Edge
	for i, d := range step {
		if d == 0 {
			continue
		}
		flank, before := &sides[i], &sides[(i+n-1)%n]
		u := before.U
		out2 := u.Left().Mul(-1)
		level := min(flank.A.Dot(out2), flank.B.Dot(out2))
		st := Step{Pos: flank.A.Mid(flank.B).Dot(u), Depth: flank.Len(), Up: d > 0, side: i}
		next := (i + 2) % n
		if n >= 4 && step[next] == -d {
			j := pair(sides, i, (i+1)%n, next, d)
			j.Part, j.Outline = part, out
			if d > 0 {
				f.tabs = append(f.tabs, j)
			} else {
				f.cuts = append(f.cuts, j)
			}
			// A tab between unequal shoulders stands on the higher one.
			if d > 0 {
				l2 := sides[next].B.Dot(out2)
				level = max(level, l2)
			}
		}
		if prev := (i + n - 2) % n; n >= 4 && step[prev] == 1 && d < 0 {
			level = max(level, sides[prev].A.Dot(out2))
		}
		edges = append(edges, Edge{Part: part, Outline: out, U: u, Out: out2, Level: level, Steps: []Step{st}})
	}
	f.edges = append(f.edges, mergeSteps(edges)...)
}

// rectangle returns the hole with four sides as a slot.
func rectangle(sides []side.Side) (Joint, bool) {
	for i := range sides {
		if !sides[i].Linked || !square(sides[i].Turn, -1) {
			return Joint{}, false
		}
	}
	l, w := sides[0].Len(), sides[1].Len()
	long := 0
	if w > l {
		l, w, long = w, l, 1
	}
	a, b := &sides[long], &sides[long+2]
	return Joint{
		Kind: Slot, Width: w, Length: l, At: sides[0].A.Mid(sides[2].A), Dir: a.U, Edge: -1,
		Piece: int32(a.First), Piece2: int32(b.First), walls: [2]int{long, long + 2}, bottom: -1, round: a.Linked && sides[long+1].Round,
		relieved: slices.ContainsFunc(sides, func(s side.Side) bool { return s.Relief }),
	}, true
}

// pair returns the tab or cut between two steps.
func pair(sides []side.Side, f1, top, f2 int, d int8) Joint {
	t, n := &sides[top], len(sides)
	a, b := &sides[f1], &sides[f2]
	out := t.U.Left().Mul(-1)
	depth := min(a.Len(), b.Len())
	j := Joint{
		Kind: Tab, Length: t.Len(), Depth: depth, At: t.A.Mid(t.B), Dir: t.U, Out: out, Edge: -1,
		Piece: int32(a.First), Piece2: int32(b.First), walls: [2]int{f1, f2}, bottom: top,
		feet:     [2]int{(f1 + n - 1) % n, (f2 + 1) % n},
		round:    t.Round,
		relieved: sides[(f1+n-1)%n].Relief || b.Relief,
	}
	if d < 0 {
		j.Kind = Gap
		j.At = j.At.Add(out.Mul(depth / 2))
	}
	return j
}

// heading is the direction in thousandths of a radian.
func heading(u geom.Point) int {
	h := int(math.Round(u.Angle() * 1e3))
	if h <= -3141 {
		h = 3142 // the same direction as pi
	}
	return h
}

// mergeSteps joins the steps that stand on one line.
func mergeSteps(edges []Edge) []Edge {
	slices.SortStableFunc(edges, func(a, b Edge) int {
		return cmp.Or(cmp.Compare(heading(a.U), heading(b.U)), cmp.Compare(a.Level, b.Level), cmp.Compare(a.Steps[0].Pos, b.Steps[0].Pos))
	})
	var out []Edge
	for _, r := range edges {
		if m := len(out); m > 0 {
			e := &out[m-1]
			if e.U.Dot(r.U) > sameHeading && math.Abs(e.Level-r.Level) <= sameLevel {
				e.Steps = append(e.Steps, r.Steps...)
				continue
			}
		}
		out = append(out, r)
	}
	for i := range out {
		e := &out[i]
		slices.SortFunc(e.Steps, func(a, b Step) int { return cmp.Compare(a.Pos, b.Pos) })
	}
	return out
}
