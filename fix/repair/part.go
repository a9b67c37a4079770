package repair

import (
	"errors"

	"sluice/fix"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// errEntangled says why a part cannot be taken out by itself.
var errEntangled = errors.New("lines that draw it draw something else too; settle that first")

// DropPart returns the changes that take part k of a sheet away, with its holes, the
// marks on it and what repeats its lines. An edge that it shares with another part
// stays. The error says in words for a person why that cannot be done.
func DropPart(d *drawing.Drawing, s *outline.Sheet, k int32) ([]fix.Op, error) {
	part := &s.Parts[k]
	if part.Tangled {
		return nil, errors.New("outlines cross there; settle that first")
	}
	keep := map[int32]bool{} // strokes of shared edges
	for i := range s.Shared {
		if sh := &s.Shared[i]; sh.PartA == k || sh.PartB == k {
			for _, list := range [2][]int32{sh.Strokes, sh.Extra} {
				for _, x := range list {
					keep[x] = true
				}
			}
		}
	}
	var ops []fix.Op
	gone := map[int32]bool{}
	drop := func(o *outline.Path) bool {
		drawn := map[int32]float64{}
		for n, x := range o.Src {
			if x >= 0 && !keep[x] {
				drawn[x] += o.Pieces[n].Length()
			}
		}
		for _, x := range o.Src { // in their order
			length, ok := drawn[x]
			if !ok || gone[x] {
				continue
			}
			if d.Strokes[x].Length() > length+wholeStroke {
				return false
			}
			gone[x] = true
			ops = append(ops, fix.Op{Kind: fix.Drop, Stroke: x})
		}
		return true
	}
	for _, i := range append([]int32{part.Outer}, part.Holes...) {
		if !drop(&s.Outlines[i].Path) {
			return nil, errEntangled
		}
	}
	for _, list := range [3][]outline.Open{s.Etch, s.Open, s.Noted} {
		for i := range list {
			if o := &list[i]; o.Part == k && o.Inside {
				drop(&o.Path) // a mark that reaches further stays
			}
		}
	}
	for i := range s.Overlaps {
		if o := &s.Overlaps[i]; o.Whole && gone[o.Twin] && !gone[o.Stroke] && !keep[o.Stroke] {
			gone[o.Stroke] = true
			ops = append(ops, fix.Op{Kind: fix.Drop, Stroke: o.Stroke})
		}
	}
	if len(ops) == 0 {
		return nil, errors.New("all its edges belong to its neighbours too")
	}
	return ops, nil
}

// wholeStroke is how much longer than what an outline takes of it, mm, a stroke may be
// and still draw nothing else.
const wholeStroke = 1e-6
