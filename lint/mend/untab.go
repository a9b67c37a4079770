package mend

import (
	"fmt"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
)

// seam is how near, mm, pieces on both sides of a tab's end must lie to one
// carrier to be put together again: a corrected drawing rounds to about 1e-8 mm.
const seam = 1e-6

// untab closes the tabs of an outline: what was cut and what was left are joined
// to the pieces they were before. It tells one edit for each tab.
func (m *mender) untab(res *lint.Result, o *outline.Outline) geom.Path {
	for _, r := range runs(&o.Path, true) {
		if r.flag&outline.IsTab == 0 {
			continue
		}
		gap := r.path.Length()
		at, _ := r.path.Along(gap / 2)
		m.guard.Untab(r.path)
		m.edits = append(m.edits, lint.EditRecord{
			Edit: "untab", At: at, Part: res.Names[o.Part], Entities: partEntities(res, int(o.Part)),
			Note: fmt.Sprintf("gap of %.3g mm closed again", gap),
		})
	}
	m.mark(res, o.Src)
	return closed(o)
}

// mark notes that the entities of strokes are replaced.
func (m *mender) mark(res *lint.Result, strokes []int32) {
	if m.again {
		return
	}
	for _, s := range strokes {
		if s >= 0 {
			if e := res.Drawing.Strokes[s].Entity; e >= 0 && int(e) < len(m.touched) {
				m.touched[e] = true
			}
		}
	}
}

// closed returns the path of an outline with its tabs closed: pieces that were
// split at the ends of tabs are whole again.
func closed(o *outline.Outline) geom.Path {
	n := len(o.Pieces)
	first := 0 // begin where no tab ends
	for k := range n {
		if (o.Flags[k]^o.Flags[(k+n-1)%n])&outline.IsTab == 0 {
			first = k
			break
		}
	}
	var out geom.Path
	for i := range n {
		k := (first + i) % n
		p := o.Pieces[k]
		if atEnd := (o.Flags[k]^o.Flags[(k+n-1)%n])&outline.IsTab != 0; atEnd && len(out) > 0 {
			if q, ok := joinPieces(out[len(out)-1], p); ok {
				out[len(out)-1] = q
				continue
			}
		}
		out = append(out, p)
	}
	// A circle, or a path all of whose joints are ends of tabs, may close on itself.
	if last := len(out) - 1; last > 0 && (o.Flags[first]^o.Flags[(first+n-1)%n])&outline.IsTab != 0 {
		if q, ok := joinPieces(out[last], out[0]); ok {
			out[0], out = q, out[:last]
		}
	}
	return out
}

// joinPieces puts two pieces that follow each other into one, if they lie on one
// line or circle.
func joinPieces(p, q geom.Piece) (geom.Piece, bool) {
	switch {
	case p.R == 0 && q.R == 0:
		whole := geom.Line(p.A, q.B)
		d := q.B.Sub(p.A)
		return whole, whole.Dist(p.B) <= seam && p.B.Sub(p.A).Dot(d) > 0 && q.B.Sub(q.A).Dot(d) > 0
	case p.R > 0 && q.R > 0 && (p.Sweep > 0) == (q.Sweep > 0):
		// Centres known from short arcs are uncertain by more than their ends.
		long, short := p, q
		if q.Length() > p.Length() {
			long, short = q, p
		}
		on := func(x geom.Point) bool { d := x.Dist(long.C) - long.R; return d <= seam && d >= -seam }
		if !on(short.A) || !on(short.Mid()) || !on(short.B) {
			return p, false
		}
		w := long
		w.A, w.B, w.Sweep = p.A, q.B, p.Sweep+q.Sweep
		if w.A == w.B || w.A.Dist(w.B) <= seam && w.Length() > w.R {
			c := geom.Circle(w.C, w.R)
			if w.Sweep < 0 {
				c = c.Reverse()
			}
			return c, true
		}
		return w, true
	}
	return p, false
}
