package mend

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sluice/fix"
	"sluice/fix/layout"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
)

// sheet draws one sheet of a layout and settles it as any corrected drawing.
func (m *mender) sheet(src *source, l *laidOn, note string, loose []int32) (out SheetOut, err error) {
	err = inWays(func(w way) (err error) {
		if w.bare { // all was repaired before it was laid out
			w.told = strings.Replace(w.told, "nothing was repaired", "no tabs and numbers were put on this sheet", 1)
		}
		out, err = m.sheetBy(w, src, l, note, loose)
		return err
	})
	return out, err
}

// sheetBy draws a sheet in one way.
func (m *mender) sheetBy(w way, src *source, l *laidOn, note string, loose []int32) (SheetOut, error) {
	before, res := src.before, src.res
	s := *m
	s.way, s.o.Once = w, w.once
	s.banned, s.made = m.banned.clone(), newSpots(again)
	s.edits, s.skipped = slices.Clone(m.edits), slices.Clone(m.skipped)
	s.touched = append([]bool{}, m.touched...)
	s.again = false
	if note != "" {
		s.o.Rules = slices.DeleteFunc(slices.Clone(s.o.Rules), func(r *lint.Rule) bool { return lint.WholeKit(r.ID) })
	}
	edits := layout.Edits(res.Drawing, res.Sheet, l.Moves(), besides, false, func(mv *layout.Move) fix.Edit {
		from := res.Sheet.Parts[mv.Part].Centroid
		at := mv.T.Apply(from)
		return fix.Edit{
			Kind: "lay-out", At: at, Moved: at.Dist(from), Part: res.Names[mv.Part],
			Entities: partEntities(res, mv.Part), Note: "laid out on the sheet",
		}
	})
	if note != "" {
		first := &edits[0]
		at := geom.Pt(0, -2*noteHeight)
		first.Ops = append(first.Ops, fix.Op{Kind: fix.AddText, Text: &drawing.Text{
			Entity: -1, Layer: -1, At: at, Insert: at, Height: noteHeight, Value: note,
		}})
	}
	d, err := s.rearranged(res, fix.Fix{Safety: fix.Choice, Edits: edits})
	if err != nil {
		return SheetOut{}, fmt.Errorf("--layout: %w", err)
	}
	s.o.Known = s.o.Known[:0:0]
	for _, mv := range l.Moves() {
		p := &res.Sheet.Parts[mv.Part]
		s.o.Known = append(s.o.Known, lint.Named{Name: res.Names[mv.Part], At: mv.T.Apply(p.Centroid), Area: p.Area})
	}
	s.o.Told = toldOn(src, l.Moves())
	repair.Layer(d, lint.LayerEtch)
	s.guard = m.guard.Clone()
	if err := s.guardMoved(res, d, l.Moves(), false); err != nil {
		return SheetOut{}, err
	}
	s.j = l.job(m.j)
	laid, err := lint.Judge(s.ctx, s.path, d, s.j, s.o.Options)
	if err != nil {
		return SheetOut{}, err
	}
	data, err := s.once(laid)
	if err != nil {
		return SheetOut{}, err
	}
	after, data, err := s.settle(data, d.Unit)
	if err != nil {
		return SheetOut{}, err
	}
	after = withLoss(before, after)
	if note != "" {
		after = withKit(res, after, l.Moves())
	}
	if err := s.guard.Written(s.ctx, data); err != nil {
		return SheetOut{}, err
	}
	if err := measured(after.Sheet); err != nil {
		return SheetOut{}, err
	}
	rep, err := s.report(before, after, withLoose(before, loose))
	return SheetOut{rep, data}, err
}

// job returns the job of one sheet: its stock is all there is, with its corner at 0,0
// whatever the job says of the source, and all kits are drawn.
func (l *laidOn) job(j *job.Job) *job.Job {
	own := j.OnSheet(l.kind)
	own.Sheet.Origin, own.Sheet.Margin = "zero", l.piece.Margin
	own.Sheet.Size = []float64{l.piece.Width, l.piece.Height}
	if len(l.piece.Outline) > 0 {
		own.Sheet.Size = nil // it is no rectangle that off-sheet could tell by
	}
	own.Cost.Kits, own.Cost.SheetPrice = 1, l.piece.price
	if math.IsInf(l.piece.price, 1) {
		own.Cost.SheetPrice = 0
	}
	return own
}

// withLoose returns the result with what belongs to no part as left out.
func withLoose(r *lint.Result, loose []int32) *lint.Result {
	c := *r
	c.Fates = append([]lint.Fate{}, r.Fates...)
	d := *r.Drawing
	d.Notices = append([]drawing.Notice{}, d.Notices...)
	for _, e := range loose {
		if e >= 0 && int(e) < len(c.Fates) && c.Fates[e] != lint.LeftOut {
			c.Fates[e] = lint.LeftOut
			d.Notices = append(d.Notices, drawing.Notice{Kind: drawing.Unread, Entity: e, Text: "belongs to no part, so it has no place in a layout"})
		}
	}
	c.Drawing = &d
	return &c
}

// withKit returns a judged sheet with what was found of the kit as a whole, where it
// concerns a part on this sheet: joints go together over all sheets.
func withKit(res, after *lint.Result, moves []layout.Move) *lint.Result {
	c := *after
	c.Findings = slices.Clone(after.Findings)
	for i := range res.Findings {
		f := res.Findings[i]
		if !lint.WholeKit(f.Rule) {
			continue
		}
		k := slices.IndexFunc(moves, func(mv layout.Move) bool {
			return res.Names[mv.Part] == f.Part && res.Sheet.Parts[mv.Part].Box.Inflate(1).Contains(f.At)
		})
		if k < 0 {
			continue
		}
		f.At, f.Fixes = moves[k].T.Apply(f.At), nil
		box := geom.NoBox()
		for _, q := range corners(f.Box) {
			box = box.Add(moves[k].T.Apply(q))
		}
		f.Box = box
		c.Findings = append(c.Findings, f)
	}
	lint.SortFindings(c.Findings)
	return &c
}

// toldOn returns what was found before on the parts of a sheet, where it lies now, so
// that it is known again with what was decided of it.
func toldOn(src *source, moves []layout.Move) (told []lint.Finding) {
	byName := map[string][]*layout.Move{}
	for i := range moves {
		name := src.res.Names[moves[i].Part]
		byName[name] = append(byName[name], &moves[i])
	}
	seen := map[string]bool{}
	for _, list := range [][]lint.Finding{src.res.Findings, src.before.Findings} {
		for _, f := range list {
			if seen[f.ID] {
				continue
			}
			seen[f.ID] = true
			at := f.At
			for _, mv := range byName[f.Part] {
				if src.res.Sheet.Parts[mv.Part].Box.Inflate(1).Contains(at) {
					f.At = mv.T.Apply(at)
					told = append(told, f)
				}
			}
		}
	}
	return told
}
