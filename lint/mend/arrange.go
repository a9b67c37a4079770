package mend

import (
	"errors"
	"fmt"
	"slices"

	"sluice/fix"
	"sluice/fix/layout"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
)

// besides is how far from a part, mm, marks and texts still count as its own
// when it moves.
const besides = 20

// arrange makes the changes that move or size whole parts, once all else is
// mended: the one scale at which the slots fit, and parts moved apart.
func (m *mender) arrange(res *lint.Result) (*lint.Result, error) {
	if m.again {
		return res, nil // done, and drawn
	}
	res, err := m.leaveOut(res, true)
	if err != nil {
		return nil, err
	}
	if m.o.Scale || asked(res, func(w *lint.Way) bool { return w.Scale }) {
		if res, err = m.scale(res); err != nil {
			return nil, err
		}
	}
	switch {
	case m.o.Spread:
		res, err = m.spread(res)
	case asked(res, func(w *lint.Way) bool { return len(w.Aside) > 0 }):
		res, err = m.aside(res)
	}
	if err != nil || m.laying {
		return res, err
	}
	return m.copies(res)
}

// leaveOut takes parts out of which fewer are asked for than are drawn. last says that
// nothing more will be mended, so that what cannot be left out is told.
func (m *mender) leaveOut(res *lint.Result, last bool) (*lint.Result, error) {
	edits := lint.DropsAsked(res, last)
	if len(edits) == 0 || !m.o.wants("drop-part") {
		return res, nil
	}
	d, done, skipped := fix.Apply(res.Drawing, each(fix.Choice, edits))
	m.skip(skipped)
	m.tell(res, done)
	return lint.Judge(m.ctx, m.path, d, m.j, m.o.Options)
}

// copies draws parts once more of which more are asked for than are drawn.
func (m *mender) copies(res *lint.Result) (*lint.Result, error) {
	if !m.o.wants("add-copy") {
		return res, nil
	}
	moves := lint.CopiesAsked(res, false)
	if len(moves) == 0 {
		return res, nil
	}
	d, err := m.rearranged(res, fix.Fix{Safety: fix.Choice, Edits: lint.DrawCopies(res, moves, besides)})
	if err != nil {
		return nil, fmt.Errorf("copies of parts: %w", err)
	}
	if err := m.guardMoved(res, d, moves, true); err != nil {
		return nil, err
	}
	m.o.Known = lint.KnownMoved(res, moves)
	return lint.Judge(m.ctx, m.path, d, m.j, m.o.Options)
}

// asked reports whether a person has chosen such a way for any finding.
func asked(res *lint.Result, such func(*lint.Way) bool) bool {
	return slices.ContainsFunc(res.Findings, func(f lint.Finding) bool {
		w := f.Taken()
		return w != nil && such(w)
	})
}

// aside moves the parts aside for which a person has chosen that, each the shortest way
// to a free place; all others stay. A part for which there is none stays too, and the
// finding with it.
func (m *mender) aside(res *lint.Result) (*lint.Result, error) {
	a := lint.AsideOf(res)
	shift := make([]geom.Point, len(res.Sheet.Parts))
	rule := map[int]string{} // by part: of the finding that it is moved for
	moves := layout.Moves{Shift: shift, Box: geom.NoBox()}
	for i := range res.Findings {
		w := res.Findings[i].Taken()
		if w == nil {
			continue
		}
		for _, k := range w.Aside {
			if by, ok := a.Shift(int(k)); ok && by != (geom.Point{}) {
				shift[k], rule[int(k)] = shift[k].Add(by), res.Findings[i].Rule
				moves.Close++
				moves.Most = max(moves.Most, shift[k].Norm())
			}
		}
	}
	return m.shifted(res, &moves, "spread", func(part int) string { return rule[part] })
}

// scale sizes the whole drawing so that its slots fit the sheet.
func (m *mender) scale(res *lint.Result) (*lint.Result, error) {
	sc, e, err := lint.ScaleOf(res)
	if err != nil {
		return nil, fmt.Errorf("--refit scale: %w", err)
	}
	e.Asked = !m.o.Scale
	d, err := m.rearranged(res, fix.Fix{Safety: fix.Choice, Edits: []fix.Edit{e}})
	if err != nil {
		return nil, fmt.Errorf("--refit scale: the drawing cannot be scaled: %w", err)
	}
	if err := m.guardScaled(res, d, &sc); err != nil {
		return nil, err
	}
	m.o.Known = lint.KnownParts(res)
	for i := range m.o.Known {
		x := &m.o.Known[i]
		x.At, x.Area = x.At.Mul(sc.Factor), x.Area*sc.Factor*sc.Factor
	}
	return lint.Judge(m.ctx, m.path, d, m.j, m.o.Options)
}

// rearranged makes a fix that moves or sizes whole parts. It is told, but not to the
// guard, which compares the drawings before and after by what is told of the parts.
func (m *mender) rearranged(res *lint.Result, f fix.Fix) (*drawing.Drawing, error) {
	d, done, skipped := fix.Apply(res.Drawing, []fix.Fix{f})
	if len(skipped) > 0 {
		return nil, errors.New(skipped[0].Why)
	}
	m.edits = append(m.edits, done...)
	return d, nil
}

// room returns the part of the sheet that may be used, a box without size where
// the job states no sheet.
func room(j *job.Job) geom.Box {
	if len(j.Sheet.Size) != 2 || j.Sheet.Origin == "drawing" {
		return geom.Box{}
	}
	return geom.Box{Max: geom.Pt(j.Sheet.Size[0], j.Sheet.Size[1])}.Inflate(-j.Sheet.Margin)
}

// spread moves parts apart that share an edge or lie too close.
func (m *mender) spread(res *lint.Result) (*lint.Result, error) {
	moves, err := layout.Spread(m.ctx, res.Sheet, layout.SpreadOptions{Gap: m.j.MovedSpacing(), Room: room(m.j)})
	switch {
	case errors.Is(err, layout.ErrRoom): // moved all the same; off-sheet tells the rest
	case err != nil:
		return nil, fmt.Errorf("--spread: %w", err)
	}
	for k := range moves.Shift {
		if res.Sheet.Parts[k].Tangled {
			moves.Shift[k] = geom.Point{} // which outline is meant must be settled first
		}
	}
	m.spreadTold = &lint.Spread{Pairs: moves.Close, Most: moves.Most, Box: moves.Box}
	return m.shifted(res, moves, "--spread", func(int) string { return "close-parts" })
}

// shifted draws parts elsewhere; what says in errors what asked for it, rule of each
// part by what rule it is told.
func (m *mender) shifted(res *lint.Result, moves *layout.Moves, what string, rule func(part int) string) (*lint.Result, error) {
	list := moves.Moves()
	if len(list) == 0 {
		return res, nil
	}
	asked := what != "--spread"
	edits := layout.Edits(res.Drawing, res.Sheet, list, besides, true, func(mv *layout.Move) fix.Edit {
		by := mv.T.T
		return fix.Edit{
			Kind: "spread", Rule: rule(mv.Part), Asked: asked, At: res.Sheet.Parts[mv.Part].Centroid, Moved: by.Norm(), Part: res.Names[mv.Part],
			Entities: partEntities(res, mv.Part), Note: fmt.Sprintf("moved by %.4g, %.4g mm", by.X, by.Y),
		}
	})
	d, err := m.rearranged(res, fix.Fix{Safety: fix.Choice, Edits: edits})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	if err := m.guardMoved(res, d, list, true); err != nil {
		return nil, err
	}
	m.o.Known = lint.KnownParts(res)
	for i := range list {
		x := &m.o.Known[list[i].Part]
		x.At = list[i].T.Apply(x.At)
	}
	return lint.Judge(m.ctx, m.path, d, m.j, m.o.Options)
}
