package mend

import (
	"fmt"
	"slices"
	"sync"

	"sluice/fix"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/drawing"
	nearby "sluice/geom/near"
	"sluice/geom/outline"
	"sluice/lint"
)

// finish makes what belongs to every corrected drawing once its outlines are
// mended: numbers and tabs, or tabs closed again, and what is not to be cut put
// aside. The sheet of the result is the drawing's with that; its findings are
// those from before.
func (m *mender) finish(res *lint.Result) (*lint.Result, error) {
	noted := nameNotesOf(res)
	drawn := sync.OnceValue(func() *nearby.Index { return nearby.Sheet(res.Sheet) })
	numbers, labels := m.numbers(res, noted, drawn)
	fixes := slices.Concat(numbers, m.nameNotes(res, noted, labels), m.newTabs(res, labels, drawn), m.closedTabs(res), m.undecided(res), m.asides(res))
	if len(fixes) == 0 {
		return res, nil
	}
	d, done, skipped := fix.Apply(res.Drawing, fixes)
	m.skip(skipped)
	m.tell(res, done)
	sheet, err := lint.Outlines(m.ctx, d, m.j, m.o.Options)
	if err != nil {
		return nil, err
	}
	next := *res
	next.Drawing, next.Sheet = d, sheet
	return &next, nil
}

// tell notes edits that were made to a drawing.
func (m *mender) tell(res *lint.Result, done []fix.Edit) {
	m.guard.Edited(res.Drawing, guardRoles(res.Drawing, m.j), done)
	for i := range done {
		m.touch(res, &done[i])
	}
	m.edits = append(m.edits, done...)
}

// taking takes stretches of strokes as something, none twice.
type taking struct {
	d    *drawing.Drawing
	join float64
	had  map[int32][]share // by stroke: taken, or not to be
}

// share is a stretch of a stroke, as shares of it.
type share struct{ t0, t1 float64 }

func (m *mender) takingOf(res *lint.Result) *taking {
	return &taking{res.Drawing, m.j.Limits.Join, map[int32][]share{}}
}

// path returns the changes that take what lies along a path, except for what has
// been taken before.
func (t *taking) path(p *outline.Path, as drawing.As) (ops []fix.Op) {
	for k, s := range p.Src {
		if s < 0 || p.Flags[k]&undrawn != 0 {
			continue
		}
		for _, op := range fix.TakePiece(t.d, s, &p.Pieces[k], as, t.join) {
			for _, free := range t.free(s, share{op.T0, op.T1}) {
				op.T0, op.T1 = free.t0, free.t1
				ops = append(ops, op)
				t.had[s] = append(t.had[s], free)
			}
		}
	}
	return ops
}

// free returns what of a stretch of stroke s has not been taken.
func (t *taking) free(s int32, x share) []share {
	noise := t.join / max(t.d.Strokes[s].Length(), t.join) // shorter rests are none
	left := []share{x}
	for _, h := range t.had[s] {
		var next []share
		for _, x := range left {
			for _, y := range [2]share{{x.t0, min(x.t1, h.t0)}, {max(x.t0, h.t1), x.t1}} {
				if y.t1-y.t0 > noise {
					next = append(next, y)
				}
			}
		}
		left = next
	}
	return left
}

// keep notes that what lies along a path is not to be taken.
func (t *taking) keep(p *outline.Path) { t.path(p, drawing.AsLayer) }

// asides returns the fixes that put on NOTE what closes but bounds no part, an
// edit for each group.
func (m *mender) asides(res *lint.Result) []fix.Fix {
	s := res.Sheet
	if !slices.ContainsFunc(s.Aside, func(a outline.Aside) bool { return !a.Written }) {
		return nil
	}
	var edits []fix.Edit
	first := map[int]int{} // group -> its edit
	take, cut := m.takingOf(res), m.takingOf(res)
	cut.keepCuts(s)
	for i := range s.Aside {
		a := &s.Aside[i]
		if a.Written {
			continue
		}
		ids := m.inputEntities(res, a.Src)
		k, ok := first[a.Group]
		if !ok {
			k = len(edits)
			first[a.Group] = k
			edits = append(edits, fix.Edit{
				Kind: "set-aside", Rule: asideRule(a.Kind), At: lint.AsideAt(a), Part: partName(res, a.Part), Note: asideNote(a),
			})
		}
		e := &edits[k]
		e.Entities = append(e.Entities, ids...)
		as := drawing.AsNote
		if a.Settled {
			as = drawing.AsSettled
		}
		// Edges of what is cut stay, and are noted besides.
		var noted []drawing.Stroke
		for _, op := range take.path(&a.Path, as) {
			free := cut.free(op.Stroke, share{op.T0, op.T1})
			for _, x := range free {
				op.T0, op.T1 = x.t0, x.t1
				e.Ops = append(e.Ops, op)
			}
			if len(free) == 0 {
				st := res.Drawing.Strokes[op.Stroke]
				st.Piece, st.As, st.Made = st.Sub(op.T0, op.T1), as, drawing.Edited
				noted = append(noted, st)
			}
		}
		if len(noted) > 0 {
			e.Ops = append(e.Ops, fix.Op{Kind: fix.Add, With: noted})
		}
	}
	return each(fix.Auto, edits)
}

// keepCuts notes what is cut as not to be taken.
func (t *taking) keepCuts(s *outline.Sheet) {
	for i := range s.Outlines {
		t.keep(&s.Outlines[i].Path)
	}
	for i := range s.Open {
		t.keep(&s.Open[i].Path)
	}
	for i := range s.Tangles {
		t.keep(&s.Tangles[i])
	}
}

// each makes a fix of each edit.
func each(safety fix.Safety, edits []fix.Edit) []fix.Fix {
	out := make([]fix.Fix, len(edits))
	for i := range edits {
		out[i] = fix.Fix{Safety: safety, Edits: edits[i : i+1 : i+1]}
	}
	return out
}

// cutFromNotes cuts outlines which were carried on NOTE, as a person decided, and
// judges the drawing anew.
func (m *mender) cutFromNotes(res *lint.Result) (*lint.Result, error) {
	if m.way.bare {
		return res, nil
	}
	var edits []fix.Edit
	take := m.takingOf(res)
	for i := range res.Sheet.Outlines {
		o := &res.Sheet.Outlines[i]
		if o.Was == 0 {
			continue
		}
		edits = append(edits, fix.Edit{
			Kind: "cut-mark", Rule: asideRule(o.Was), At: o.Box.Center(), Part: partName(res, o.Part), Entities: m.inputEntities(res, o.Src),
			Note: fmt.Sprintf("path of %.4g mm to be cut", o.Length), Ops: take.path(&o.Path, drawing.AsCut),
		})
	}
	if len(edits) == 0 {
		return res, nil
	}
	d, done, skipped := fix.Apply(res.Drawing, each(fix.Choice, edits))
	m.skip(skipped)
	m.tell(res, done)
	return lint.Judge(m.ctx, m.path, d, m.j, m.o.Options)
}

// undecided returns the fixes that put on NOTE the marks that nobody has decided on
// and no other repair has put aside.
func (m *mender) undecided(res *lint.Result) []fix.Fix {
	var edits []fix.Edit
	for i := range res.Sheet.Open {
		o := &res.Sheet.Open[i]
		if !o.Loose || lint.CutMark(res.Drawing, m.j, o) {
			continue
		}
		e, ok := repair.Mark(res.Drawing, o, repair.MarkAsk, false, m.j.Limits.Gap)
		if !ok {
			continue
		}
		e.At, _ = o.Pieces.Along(o.Length / 2)
		e.Rule, e.Part, e.Entities = "loose-mark", partName(res, o.Part), m.inputEntities(res, o.Src)
		edits = append(edits, e)
	}
	return each(fix.Auto, edits)
}

// inputEntities names the entities of strokes; none once what was written is
// repaired, since those are not the input's.
func (m *mender) inputEntities(res *lint.Result, strokes []int32) []string {
	if m.again {
		return nil
	}
	p := lint.Pass{Drawing: res.Drawing}
	return p.EntityIDs(strokes...)
}

func partName(res *lint.Result, part int32) string {
	if part < 0 {
		return ""
	}
	return res.Names[part]
}

func asideRule(k outline.AsideKind) string {
	switch k {
	case outline.Step:
		return "stepped-hole"
	case outline.Letter:
		return "lettering"
	}
	return "sheet-border"
}

func asideNote(a *outline.Aside) string {
	what := "border or frame"
	switch a.Kind {
	case outline.Step:
		what = "wider outline of a stepped hole"
	case outline.Letter:
		what = "lettering"
	}
	note := fmt.Sprintf("%s put on NOTE, not cut", what)
	if !a.Settled {
		note += ": undecided"
	}
	return note
}

// corners returns the corners of an upright box.
func corners(b geom.Box) [4]geom.Point {
	return [4]geom.Point{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
}
