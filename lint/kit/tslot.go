package kit

import (
	"math"

	"sluice/fix/fit/side"
	"sluice/geom"
)

//	   mouth
//	──┐     ┌──
//	  │     │
//	 ┌┘     └┐  pocket, for the nut
//	 └┐     ┌┘
//	  │     │   what of the bolt stands beyond the nut, if anything
//	  └─────┘

// TSlot is a slot from an edge of a part, with a pocket across it that holds a nut: a bolt
// goes into it through a round hole in the part that the edge stands on.
type TSlot struct {
	Part    int32
	Outline int32
	At      geom.Point // the middle of its mouth
	Out     geom.Point // out of the part
	Width   float64    // for the bolt, mm
	Pocket  float64    // across the pocket, for the nut, mm
	Deep    float64    // from the mouth to the pocket, mm
	Depth   float64    // from the mouth to the bottom, mm
}

// tTurns are the turns after each side of a T-slot from the edge before its mouth on: with a
// stretch beyond the pocket, and without. Outside is on the right.
var tTurns = [2][]int8{
	{1, 1, -1, -1, 1, -1, -1, 1, -1, -1, 1, 1},
	{1, 1, -1, -1, -1, -1, 1, 1},
}

// tSlots finds the T-slots of an outline, and on which of its sides they are.
func tSlots(sides []side.Side, part, out int32) (found []TSlot, of map[int]bool) {
	n := len(sides)
	if n < 10 {
		return nil, nil
	}
	sharp := make([]int8, n)
	for i := range sides {
		if s := &sides[i]; s.Linked && square(s.Turn, 1) {
			sharp[i] = 1
		} else if s.Linked && square(s.Turn, -1) {
			sharp[i] = -1
		}
	}
	for i := range sides {
		for _, turns := range tTurns {
			ok := n > len(turns)
			for k := 0; ok && k < len(turns); k++ {
				ok = sharp[(i+k)%n] == turns[k]
			}
			if !ok {
				continue
			}
			t, even := tSlot(sides, i, len(turns))
			if !even {
				continue
			}
			t.Part, t.Outline = part, out
			found = append(found, t)
			if of == nil {
				of = map[int]bool{}
			}
			for k := 1; k < len(turns); k++ {
				of[(i+k)%n] = true
			}
			break
		}
	}
	return found, of
}

// tSlot measures the T-slot of so many turns whose mouth comes after side i; ok is false
// where its halves differ.
func tSlot(sides []side.Side, i, turns int) (t TSlot, ok bool) {
	n := len(sides)
	s := func(k int) *side.Side { return &sides[(i+k)%n] }
	down, up := s(1), s(turns-1)
	before, after := s(0), s(turns)
	a, b := down.A, up.B
	t.At, t.Width = a.Mid(b), a.Dist(b)
	t.Out = down.U.Mul(-1)
	t.Deep = down.Len()
	wide, back := s(2), s(turns-2)
	t.Pocket = t.Width + wide.Len() + back.Len()
	for k := 1; k < turns; k++ {
		t.Depth = max(t.Depth, t.At.Sub(s(k).A).Dot(t.Out), t.At.Sub(s(k).B).Dot(t.Out))
	}
	tol := 0.05 * t.Pocket
	even := math.Abs(wide.Len()-back.Len()) <= tol && math.Abs(down.Len()-up.Len()) <= tol && math.Abs(b.Sub(a).Dot(t.Out)) <= tol &&
		before.U.Dot(after.U) > sameHeading
	// A nut is about one and a half to two times as wide as its bolt (ISO 4032: 1.6 to 2).
	return t, even && t.Pocket > nutLeast*t.Width && t.Pocket < nutMost*t.Width && t.Deep > 0.5*t.Width
}

// A nut is from nutLeast to nutMost times as wide across as the slot for its bolt.
const nutLeast, nutMost = 1.3, 2.6
