package outline

import (
	"slices"

	"sluice/geom"
)

// use is a piece of an outline or open path that a stroke has become.
type use struct {
	open  bool
	index int32 // in Outlines or Open
	piece geom.Piece
}

// usesOf finds, for the strokes that cross others, what they have become.
func (t *telling) usesOf() map[int32][]use {
	of := map[int32][]use{}
	for _, c := range t.Crossings {
		for _, s := range c.Strokes {
			of[s] = nil
		}
	}
	if len(of) == 0 {
		return of
	}
	note := func(p *Path, open bool, index int) {
		for k, s := range p.Src {
			if list, ok := of[s]; ok {
				of[s] = append(list, use{open, int32(index), p.Pieces[k]})
			}
		}
	}
	for i := range t.outlines {
		note(&t.outlines[i].Path, false, i)
	}
	for i := range t.Open {
		note(&t.Open[i].Path, true, i)
	}
	return of
}

// crossedBy says of open paths that cross outlines whether they leave the part
// by it, and whether they run through a hole. A path whose end runs past the
// edge by no more than the gap tolerance does not leave the part: a bend line is
// often drawn a little too long.
func (t *telling) crossedBy() (leaves, holed map[int32]bool) {
	leaves, holed = map[int32]bool{}, map[int32]bool{}
	uses := t.usesOf()
	for _, c := range t.Crossings {
		if len(c.Strokes) > star {
			continue
		}
		var open []int32
		part, hole := false, false // crossed there
		for _, s := range c.Strokes {
			for _, u := range uses[s] {
				switch {
				case u.piece.Dist(c.At) > t.o.Same:
				case u.open:
					open = append(open, u.index)
				case t.outlines[u.index].Hole():
					hole = true
				default:
					part = true
				}
			}
		}
		for _, k := range open {
			p := t.Open[k].Pieces
			atEnd := min(c.At.Dist(p[0].A), c.At.Dist(p[len(p)-1].B)) <= t.o.Gap
			leaves[k] = leaves[k] || part && !atEnd
			holed[k] = holed[k] || hole
		}
	}
	return leaves, holed
}

// dropMarkCrossings leaves out crossings at which fewer than two strokes are
// pieces of outlines: marks may cross each other, and run through holes.
func (t *telling) dropMarkCrossings() {
	uses := t.usesOf()
	t.Crossings = slices.DeleteFunc(t.Crossings, func(c Crossing) bool {
		if len(c.Strokes) > star {
			return false
		}
		cuts := 0
		for _, s := range c.Strokes {
			mark := false
			for _, u := range uses[s] {
				if u.piece.Dist(c.At) <= t.o.Same {
					if mark = u.open && t.Open[u.index].Loose; !mark {
						break
					}
				}
			}
			if !mark {
				cuts++
			}
		}
		return cuts < 2 && len(c.Strokes) > 1
	})
}

// keepOverruns leaves out the overruns that marks have taken along.
func (t *telling) keepOverruns() {
	of := map[int32][]geom.Piece{} // by stroke: what open paths hold of it
	for _, o := range t.Overruns {
		of[o.Src[0]] = nil
	}
	if len(of) == 0 {
		return
	}
	for i := range t.Open {
		o := &t.Open[i]
		for k, s := range o.Src {
			if list, ok := of[s]; ok {
				of[s] = append(list, o.Pieces[k])
			}
		}
	}
	t.Overruns = slices.DeleteFunc(t.Overruns, func(o Path) bool {
		return slices.ContainsFunc(of[o.Src[0]], func(p geom.Piece) bool { return p.Dist(o.Pieces[0].Mid()) <= t.o.Join })
	})
}
