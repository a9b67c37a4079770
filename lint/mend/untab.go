package mend

import (
	"fmt"

	"sluice/fix"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint"
)

// seam is how near, mm, pieces on both sides of a tab's end must lie to one
// carrier to be put together again: a corrected drawing rounds to about 1e-8 mm.
const seam = 1e-6

// closedTabs returns the fixes that close the tabs of a drawing again, if that is
// asked for: an edit for each tab. What was cut and what was left become the pieces
// they were before.
func (m *mender) closedTabs(res *lint.Result) []fix.Fix {
	if !m.o.Untab || !m.o.wants("untab") || m.way.bare {
		return nil
	}
	var fixes []fix.Fix
	uses := usesOf(res.Sheet)
	for i := range res.Sheet.Outlines {
		o := &res.Sheet.Outlines[i]
		if o.Tabs == 0 || !o.Closed {
			continue
		}
		var f fix.Fix
		for _, r := range runs(&o.Path, true) {
			if r.flag&outline.IsTab == 0 {
				continue
			}
			gap := r.path.Length()
			at, _ := r.path.Along(gap / 2)
			f.Edits = append(f.Edits, fix.Edit{
				Kind: "untab", At: at, Part: res.Names[o.Part], Entities: partEntities(res, int(o.Part)),
				Note: fmt.Sprintf("gap of %.3g mm closed again", gap),
			})
		}
		if len(f.Edits) == 0 {
			continue
		}
		f.Edits[0].Ops = m.uncut(res, o, uses)
		fixes = append(fixes, f)
	}
	if len(fixes) > 0 { // for which slats they were set goes with them
		e := &fixes[0].Edits[0]
		for i := range res.Drawing.Texts {
			if lint.IsSlatNote(res.Drawing.Texts[i].Value) {
				e.Ops = append(e.Ops, fix.Op{Kind: fix.DropText, Index: int32(i)})
			}
		}
	}
	return fixes
}

// uncut returns the changes that close the tabs of an outline. Pieces on both sides
// of an end of a tab become one again, unless one of their strokes draws something
// else too: then what was left is cut, and no more. uses counts in how many paths
// each stroke occurs.
func (m *mender) uncut(res *lint.Result, o *outline.Outline, uses map[int32]int) (ops []fix.Op) {
	d, take := res.Drawing, m.takingOf(res)
	for _, r := range closed(o) {
		whole := len(r.of) > 1
		from := r.of[0] // what is cut says on which layer
		for _, k := range r.of {
			s := o.Src[k]
			whole = whole && s >= 0 && uses[s] == 1 && d.Strokes[s].Length()-o.Pieces[k].Length() <= m.j.Limits.Join
			if o.Flags[k]&outline.IsTab == 0 {
				from = k
			}
		}
		if whole {
			st := d.Strokes[o.Src[from]]
			st.Piece, st.Made, st.As = r.piece, drawing.Edited, drawing.AsCut
			for _, k := range r.of {
				op := fix.Op{Kind: fix.Drop, Stroke: o.Src[k]}
				if k == from {
					op.Kind, op.With = fix.Replace, []drawing.Stroke{st}
				}
				ops = append(ops, op)
			}
			continue
		}
		for _, k := range r.of {
			if o.Flags[k]&outline.IsTab != 0 {
				ops = append(ops, take.path(&outline.Path{Pieces: o.Pieces[k : k+1], Src: o.Src[k : k+1], Flags: []outline.Flag{0}}, drawing.AsCut)...)
			}
		}
	}
	return ops
}

// usesOf counts in how many paths of a sheet each stroke occurs, once for each of
// its pieces.
func usesOf(s *outline.Sheet) map[int32]int {
	uses := map[int32]int{}
	add := func(p *outline.Path) {
		for _, src := range p.Src {
			uses[src]++
		}
	}
	for i := range s.Outlines {
		add(&s.Outlines[i].Path)
	}
	for i := range s.Tangles {
		add(&s.Tangles[i])
	}
	for _, list := range [3][]outline.Open{s.Open, s.Etch, s.Noted} {
		for i := range list {
			add(&list[i].Path)
		}
	}
	for i := range s.Aside {
		add(&s.Aside[i].Path)
	}
	return uses
}

// joined is a piece that stands for pieces of an outline.
type joined struct {
	piece geom.Piece
	of    []int
}

// closed returns the pieces of an outline with its tabs closed, in which those that
// were split at the ends of tabs are whole again.
func closed(o *outline.Outline) (out []joined) {
	n := len(o.Pieces)
	ends := func(k int) bool { return (o.Flags[k]^o.Flags[(k+n-1)%n])&outline.IsTab != 0 } // a tab, at the start of k
	first := 0                                                                             // begin where no tab ends
	for k := range n {
		if !ends(k) {
			first = k
			break
		}
	}
	for i := range n {
		k := (first + i) % n
		if len(out) > 0 && ends(k) {
			last := &out[len(out)-1]
			if q, ok := joinPieces(last.piece, o.Pieces[k]); ok {
				last.piece, last.of = q, append(last.of, k)
				continue
			}
		}
		out = append(out, joined{o.Pieces[k], []int{k}})
	}
	// A circle, or a path all of whose joints are ends of tabs, may close on itself.
	if last := len(out) - 1; last > 0 && ends(first) {
		if q, ok := joinPieces(out[last].piece, out[0].piece); ok {
			out[0] = joined{q, append(out[last].of, out[0].of...)}
			out = out[:last]
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
