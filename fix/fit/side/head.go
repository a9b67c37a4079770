package side

import (
	"math"

	"sluice/geom"
)

//	   ╭───╮  head            ╭──────────╮
//	   │   │             head │   slot   │ head
//	───┘   └───               ╰──────────╯
//
// A half circle that two sides run into smoothly heads a tab, or ends a slot. It is taken for
// a side across its far end, so that what it heads has four sides like any other.

// Heads returns the sides of a path with those that half circles stand for put between
// them: Round, their pieces the arcs.
func Heads(path geom.Path, sides []Side, l Limits) []Side {
	n := len(sides)
	if n < 2 {
		return sides
	}
	var out []Side // from the first head on
	for i := range sides {
		s := &sides[i]
		h, ok := headOf(path, s, &sides[(i+1)%n], l)
		if ok && out == nil {
			out = append(make([]Side, 0, n+4), sides[:i]...)
		}
		switch {
		case ok:
			s := *s
			s.Linked, s.Turn, s.B, s.Gap = true, h.Turn, h.A, 0
			out = append(out, s, h)
		case out != nil:
			out = append(out, *s)
		}
	}
	if out == nil {
		return sides
	}
	for i := range out { // the side after a head begins at its corner
		if out[i].Round {
			out[(i+1)%len(out)].A = out[i].B
		}
	}
	return out
}

// headOf returns the half circle between two sides as a side of its own.
func headOf(path geom.Path, s, next *Side, l Limits) (h Side, ok bool) {
	if s.Linked || s.Gap == 0 || s.U.Dot(next.U) > -0.999 {
		return h, false
	}
	first := &path[s.After]
	if first.R == 0 {
		return h, false
	}
	sweep := 0.0
	for k := range s.Gap {
		p := &path[(s.After+k)%len(path)]
		if p.R == 0 || math.Abs(p.R-first.R) > 5*l.Same || p.C.Dist(first.C) > 5*l.Same {
			return h, false
		}
		sweep += p.Sweep
	}
	last := &path[(s.After+s.Gap-1)%len(path)]
	if math.Abs(math.Abs(sweep)-math.Pi) > 0.05 || first.TangentAt(0).Dot(s.U) < 0.998 || last.TangentAt(1).Dot(next.U) < 0.998 {
		return h, false
	}
	far := first.C.Add(s.U.Mul(first.R))
	u := s.U.Left()
	if sweep < 0 {
		u = u.Mul(-1)
	}
	turn := math.Copysign(math.Pi/2, sweep)
	h = Side{A: far.Sub(u.Mul(first.R)), B: far.Add(u.Mul(first.R)), U: u, First: s.After, Count: s.Gap, Linked: true, Turn: turn, Round: true}
	h.After = (s.After + s.Gap) % len(path)
	return h, true
}
