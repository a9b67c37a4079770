package repair

import (
	"slices"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/index"
	"sluice/geom/outline"
	"sluice/geom/region"
)

// Shape is a closed run of whole strokes, each going on where the one before ends,
// whatever crosses it on the way.
type Shape struct {
	Path  geom.Path
	Src   []int32 // the stroke of each piece
	First int32   // the lowest of them: which of two shapes was drawn earlier
	Box   geom.Box
}

// Shapes finds the shapes that strokes belong to.
type Shapes struct {
	d     *drawing.Drawing
	ends  *index.Points[int32]
	at    [][2]int32        // by stroke: the places of its ends; -1 for one that is left out
	meet  map[int32][]int32 // by place: the strokes that end there
	known map[int32]*Shape
}

// NewShapes gets ready to find shapes among the strokes that want selects; ends within
// join mm are one place.
func NewShapes(d *drawing.Drawing, join float64, want func(*drawing.Stroke) bool) *Shapes {
	s := &Shapes{d: d, ends: index.NewPoints[int32](join, 2*len(d.Strokes)), at: make([][2]int32, len(d.Strokes)), meet: map[int32][]int32{}, known: map[int32]*Shape{}}
	for i := range d.Strokes {
		st := &d.Strokes[i]
		if s.at[i] = [2]int32{-1, -1}; !want(st) || st.IsCircle() {
			continue
		}
		a, b := s.ends.Place(st.A), s.ends.Place(st.B)
		s.at[i] = [2]int32{a, b}
		s.meet[a], s.meet[b] = append(s.meet[a], int32(i)), append(s.meet[b], int32(i))
	}
	return s
}

// Of returns the shape that a stroke belongs to, nil where it does not close by itself
// or forks.
func (s *Shapes) Of(stroke int32) *Shape {
	if sh, ok := s.known[stroke]; ok {
		return sh
	}
	sh := s.trace(stroke)
	s.known[stroke] = sh
	if sh != nil {
		for _, i := range sh.Src {
			s.known[i] = sh
		}
	}
	return sh
}

func (s *Shapes) trace(stroke int32) *Shape {
	st := &s.d.Strokes[stroke]
	if st.IsCircle() {
		return &Shape{Path: geom.Path{st.Piece}, Src: []int32{stroke}, First: stroke, Box: st.Box()}
	}
	start := s.at[stroke][0]
	if start < 0 {
		return nil
	}
	sh := &Shape{First: stroke, Box: geom.NoBox()}
	for i, from := stroke, start; ; {
		p, to := s.d.Strokes[i].Piece, s.at[i][1]
		if to == from || s.at[i][0] != from {
			p, to = p.Reverse(), s.at[i][0]
		}
		sh.Path, sh.Src = append(sh.Path, p), append(sh.Src, i)
		sh.First, sh.Box = min(sh.First, i), sh.Box.Union(p.Box())
		meet := s.meet[to]
		if len(meet) != 2 || len(sh.Src) > len(s.at) {
			return nil
		}
		next := meet[0]
		if next == i {
			next = meet[1]
		}
		if to == start {
			if next != stroke {
				return nil
			}
			sh.closeUp()
			return sh
		}
		i, from = next, to
	}
}

// closeUp lets every piece end where the next begins: what was drawn may miss by a
// little.
func (sh *Shape) closeUp() {
	n := len(sh.Path)
	for i := range sh.Path {
		p, q := &sh.Path[i], sh.Path[(i+1)%n]
		if p.B != q.A {
			*p = p.WithEnds(p.A, q.A)
		}
	}
}

// Combine returns the edit that puts what is made of two shapes in their place, told
// at at; no ops where that cannot be told, or nothing would be left.
func Combine(d *drawing.Drawing, a, b *Shape, op region.Op, at geom.Point) fix.Edit {
	e := fix.Edit{Kind: "unite-outlines", At: at, Note: "crossing outlines united"}
	if op == region.Subtract {
		e.Kind, e.Note = "subtract-outline", "a crossing outline taken from the other"
	}
	loops, err := region.Combine(a.Path, b.Path, op)
	if err != nil || len(loops) == 0 {
		return e
	}
	e.Ops = redrawn(d, [2]*Shape{a, b}, loops)
	return e
}

// redrawn returns what makes of the strokes of two shapes the stretches of loops: a
// stroke that stays whole is left alone.
func redrawn(d *drawing.Drawing, of [2]*Shape, loops []region.Loop) (ops []fix.Op) {
	with := map[int32][]geom.Piece{}
	whole := map[int32]bool{}
	for _, l := range loops {
		for i := range l {
			st := &l[i]
			sh := of[0]
			if st.Second {
				sh = of[1]
			}
			s := sh.Src[st.Index]
			whole[s] = st.Whole()
			p := st.Piece
			if p.A.Dist2(d.Strokes[s].A) > p.B.Dist2(d.Strokes[s].A) && !p.IsCircle() {
				p = p.Reverse()
			}
			with[s] = append(with[s], p)
		}
	}
	for _, sh := range of {
		src := slices.Clone(sh.Src)
		slices.Sort(src)
		for _, s := range src {
			pieces := with[s]
			switch {
			case len(pieces) == 0:
				ops = append(ops, fix.Op{Kind: fix.Drop, Stroke: s})
			case len(pieces) == 1 && whole[s] && alike(&pieces[0], &d.Strokes[s].Piece):
			default:
				op := fix.Op{Kind: fix.Replace, Stroke: s}
				for _, p := range pieces {
					st := d.Strokes[s]
					st.Piece, st.Ring = p, false
					op.With = append(op.With, st)
				}
				ops = append(ops, op)
			}
		}
	}
	return ops
}

// alike reports whether two pieces that run the same way are one but for rounding.
func alike(p, q *geom.Piece) bool {
	return max(p.A.Dist(q.A), p.Mid().Dist(q.Mid()), p.B.Dist(q.B)) <= 4*region.Tolerance
}

// uniteReach is how many times as far as a wall is moved what is swallowed where it
// runs into another opening may lie from the edge of both.
const uniteReach = 5

// Unite returns the edit that widens an opening, as e does by replacing its strokes one
// for one, and makes one with another that it runs into; ok is false where that cannot
// be done.
func Unite(d *drawing.Drawing, o, other *outline.Path, e fix.Edit) (fix.Edit, bool) {
	to := map[int32]geom.Piece{}
	for i := range e.Ops {
		op := &e.Ops[i]
		if op.Kind != fix.Replace || len(op.With) != 1 {
			return e, false
		}
		to[op.Stroke] = op.With[0].Piece
	}
	wide := slices.Clone(o.Pieces)
	for i, s := range o.Src {
		if !whole(d, o, i) {
			return e, false
		}
		if p, ok := to[s]; ok {
			if wide[i] = p; !p.IsCircle() && p.TangentAt(0.5).Dot(o.Pieces[i].TangentAt(0.5)) < 0 {
				wide[i] = p.Reverse()
			}
		}
	}
	for i := range other.Src {
		if !whole(d, other, i) {
			return e, false
		}
	}
	loops, err := region.Combine(wide, other.Pieces, region.Unite)
	if err != nil || len(loops) != 1 {
		return e, false
	}
	edge := loops[0].Path()
	for _, p := range slices.Concat(o.Pieces, other.Pieces) {
		for k := range 9 {
			if far, _ := edge.Dist(p.At(float64(k) / 8)); far > uniteReach*e.Moved {
				return e, false
			}
		}
	}
	e.Ops = redrawn(d, [2]*Shape{{Path: wide, Src: o.Src}, {Path: other.Pieces, Src: other.Src}}, loops)
	e.Note += ", and made one with the opening that it runs into"
	return e, len(e.Ops) > 0
}

// DropShape returns the edit that leaves a shape out, told at at.
func DropShape(sh *Shape, at geom.Point) fix.Edit {
	e := fix.Edit{Kind: "drop-outline", At: at, Note: "outline left out"}
	for _, s := range sh.Src {
		e.Ops = append(e.Ops, fix.Op{Kind: fix.Drop, Stroke: s})
	}
	return e
}
