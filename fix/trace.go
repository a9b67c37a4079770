package fix

import (
	"sluice/geom"
	"sluice/geom/drawing"
)

// Trace is what edits take away from a drawing and what they put in its place.
type Trace struct {
	Gone, New []drawing.Stroke
}

// Trace returns what edits of d would take away and put there, without making them:
// strokes that move or become something else are in both.
func TraceOf(d *drawing.Drawing, edits []Edit) Trace {
	var t Trace
	type moved struct{ a, b geom.Point }
	to := map[int32]moved{}
	var order []int32 // strokes that move, as they first come
	for i := range edits {
		for k := range edits[i].Ops {
			op := &edits[i].Ops[k]
			switch op.Kind {
			case Drop, Replace:
				t.Gone = append(t.Gone, d.Strokes[op.Stroke])
			case MoveA, MoveB:
				m, ok := to[op.Stroke]
				if !ok {
					p := &d.Strokes[op.Stroke]
					m, order = moved{p.A, p.B}, append(order, op.Stroke)
				}
				if op.Kind == MoveA {
					m.a = op.To
				} else {
					m.b = op.To
				}
				to[op.Stroke] = m
			case Take:
				s := d.Strokes[op.Stroke]
				s.Piece = s.Sub(op.T0, op.T1)
				t.Gone = append(t.Gone, s)
				s.As = op.As
				t.New = append(t.New, s)
			}
			t.New = append(t.New, op.With...)
		}
	}
	for _, i := range order {
		s := d.Strokes[i]
		t.Gone = append(t.Gone, s)
		s.Piece = s.WithEnds(to[i].a, to[i].b)
		t.New = append(t.New, s)
	}
	return t
}
