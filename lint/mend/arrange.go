package mend

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"sluice/fix"
	"sluice/fix/fit"
	"sluice/fix/layout"
	"sluice/fix/repair"
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
	"sluice/lint/kit"
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
	var err error
	if m.o.Scale {
		if res, err = m.scale(res); err != nil {
			return nil, err
		}
	}
	if m.o.Spread {
		return m.spread(res)
	}
	return res, nil
}

// scale sizes the whole drawing so that its slots fit the sheet.
func (m *mender) scale(res *lint.Result) (*lint.Result, error) {
	t, source, ok := kit.TargetOf(m.j)
	if !ok {
		return nil, errors.New("--refit scale: how thick the sheet is must be known; set [sheet] thickness or --thickness")
	}
	design := kit.Find(res.Sheet, kit.DefaultOptions()).Design()
	if !(design > 0) {
		return nil, errors.New("--refit scale: no kit of slots and tabs is found, so there is nothing to fit; set a unit, or use --refit slots")
	}
	sc := fit.ScaleFor(res.Sheet, design, &t)
	e := sc.Edit(res.Drawing, res.Sheet)
	e.Rule = "slot-thickness"
	e.Note = fmt.Sprintf("all scaled by %.5g so that slots of %.4g mm fit a sheet of %.4g mm (%s): %.5g x %.5g mm becomes %.5g x %.5g mm; %d round holes keep their size",
		sc.Factor, design, t.Thickness, source, sc.Before.W(), sc.Before.H(), sc.After.W(), sc.After.H(), len(sc.Bolts))
	d, err := m.rearranged(res, fix.Fix{Safety: fix.Choice, Edits: []fix.Edit{e}})
	if err != nil {
		return nil, fmt.Errorf("--refit scale: the drawing cannot be scaled: %w", err)
	}
	if err := m.guardScaled(res, d, &sc); err != nil {
		return nil, err
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
	list := moves.Moves()
	if len(list) == 0 {
		return res, nil
	}
	edits := layout.Edits(res.Drawing, res.Sheet, list, besides, true, func(mv *layout.Move) fix.Edit {
		by := mv.T.T
		return fix.Edit{
			Kind: "spread", Rule: "close-parts", At: res.Sheet.Parts[mv.Part].Centroid, Moved: by.Norm(), Part: res.Names[mv.Part],
			Entities: partEntities(res, mv.Part), Note: fmt.Sprintf("moved by %.4g, %.4g mm", by.X, by.Y),
		}
	})
	d, err := m.rearranged(res, fix.Fix{Safety: fix.Choice, Edits: edits})
	if err != nil {
		return nil, fmt.Errorf("--spread: %w", err)
	}
	if err := m.guardMoved(res, d, list, true); err != nil {
		return nil, err
	}
	return lint.Judge(m.ctx, m.path, d, m.j, m.o.Options)
}

// LayoutOptions ask for all parts to be laid out anew.
type LayoutOptions struct {
	Seconds  float64 // of search, turned into steps; see layout.Options
	Seed     uint64
	Progress func(layout.Progress) // may be nil
	Remnant  io.Reader             // drawing of the stock; nil: the sheet of the job
}

// SheetOut is one sheet of a layout: its report and its drawing.
type SheetOut struct {
	Repaired *lint.Repaired
	Drawing  []byte
}

// LayOut repairs the drawing read from r and lays its parts out on the sheets of
// the job. Where ctx ends early the best layout so far is returned. An error
// means that there is no layout at all.
func LayOut(ctx context.Context, path string, r io.Reader, j *job.Job, o Options, l LayoutOptions) ([]SheetOut, error) {
	stock, err := stockOf(ctx, j, o, l.Remnant)
	if err != nil {
		return nil, err
	}
	whole := context.WithoutCancel(ctx) // what is laid out is written even if the search is cut short
	d, err := lint.Load(ctx, r, j, o.Options)
	if err != nil {
		return nil, err
	}
	repair.Layer(d, lint.LayerEtch)
	before, err := lint.Judge(ctx, path, d, j, o.Options)
	if err != nil {
		return nil, err
	}
	m := &mender{
		ctx: whole, path: path, j: j, o: o, touched: make([]bool, len(d.Entities)),
		banned: newSpots(again), made: newSpots(again), guard: newGuard(d, j, o),
	}
	res, err := m.rounds(before)
	if err != nil {
		return nil, err
	}
	m.o.Spread = false // a layout keeps parts apart by itself
	if res, err = m.arrange(res); err != nil {
		return nil, err
	}
	for k := range res.Sheet.Parts {
		if res.Sheet.Parts[k].Tangled {
			return nil, fmt.Errorf("--layout: the outlines of part %s cross, so that it cannot be told what to lay out; settle that first (crossing-outlines)", res.Names[k])
		}
	}
	items := layout.Items(res.Sheet, func(k int) string { return res.Names[k] })
	for i := range items {
		items[i].Count = max(1, int(math.Round(j.Cost.Kits)))
		items[i].Turns = j.Layout.Degrees()
		items[i].Grained = stock.Grained
	}
	done, err := layout.Layout(ctx, items, []layout.Sheet{stock}, layout.Options{
		Gap: j.MovedSpacing(), Seconds: l.Seconds, Seed: l.Seed, Progress: l.Progress,
	})
	if err != nil {
		return nil, fmt.Errorf("--layout: %w", err)
	}
	if err := guardPlaced(res.Sheet, max(1, int(math.Round(j.Cost.Kits))), done); err != nil {
		return nil, err
	}
	report := layoutReport(res, done, l.Seed)
	loose := layout.Loose(res.Drawing, res.Sheet, besides)
	var out []SheetOut
	for i := range done.Sheets {
		s, err := m.sheet(before, res, &done.Sheets[i], loose)
		if err != nil {
			return nil, err
		}
		s.Repaired.Layout = report
		out = append(out, s)
	}
	return out, nil
}

// stockOf returns the stock to lay parts out on: the sheet of the job, or the
// largest part of the remnant's drawing, its lower left corner at 0,0.
func stockOf(ctx context.Context, j *job.Job, o Options, remnant io.Reader) (layout.Sheet, error) {
	s := layout.Sheet{Margin: j.Sheet.Margin, Count: int(j.Layout.Sheets)}
	switch j.Layout.Grain {
	case "x":
		s.Grained = true
	case "y":
		s.Grained, s.Grain = true, 90
	}
	zones, err := j.Layout.Zones()
	if err != nil {
		return s, err
	}
	for _, z := range zones {
		s.Clamps = append(s.Clamps, geom.Box{Min: geom.Pt(z[0], z[1]), Max: geom.Pt(z[2], z[3])})
	}
	if remnant == nil {
		if len(j.Sheet.Size) != 2 {
			return s, errors.New("--layout needs the size of the sheet; set [sheet] size in the job file")
		}
		s.Width, s.Height = j.Sheet.Size[0], j.Sheet.Size[1]
		return s, nil
	}
	res := lint.Check(ctx, j.Layout.Remnant, remnant, j, o.Options)
	if res.Err != nil {
		return s, fmt.Errorf("remnant %s: %w", j.Layout.Remnant, res.Err)
	}
	best := -1
	for k := range res.Sheet.Parts {
		if best < 0 || res.Sheet.Parts[k].Box.W()*res.Sheet.Parts[k].Box.H() > res.Sheet.Parts[best].Box.W()*res.Sheet.Parts[best].Box.H() {
			best = k
		}
	}
	if best < 0 {
		return s, fmt.Errorf("remnant %s: it has no closed outline", j.Layout.Remnant)
	}
	p := &res.Sheet.Parts[best]
	to := geom.Shift(p.Box.Min.Mul(-1))
	s.Width, s.Height, s.Count = p.Box.W(), p.Box.H(), 1
	s.Outline = res.Sheet.Outlines[p.Outer].Pieces.Transform(to)
	for _, h := range p.Holes {
		s.Holes = append(s.Holes, res.Sheet.Outlines[h].Pieces.Transform(to))
	}
	return s, nil
}

// sheet draws one sheet of a layout and settles it as any corrected drawing.
func (m *mender) sheet(before, res *lint.Result, l *layout.Laid, loose []int32) (SheetOut, error) {
	for _, w := range ways {
		out, err := m.sheetBy(w, before, res, l, loose)
		if !errors.Is(err, errUnsettled) {
			return out, err
		}
	}
	return SheetOut{}, fmt.Errorf("internal: %w", errUnsettled)
}

// sheetBy draws a sheet in one way.
func (m *mender) sheetBy(w way, before, res *lint.Result, l *layout.Laid, loose []int32) (SheetOut, error) {
	s := *m
	s.way, s.o.Once = w, w.once
	s.banned, s.made = m.banned.clone(), newSpots(again)
	s.edits, s.skipped = slices.Clone(m.edits), slices.Clone(m.skipped)
	s.touched = append([]bool{}, m.touched...)
	s.again = false
	edits := layout.Edits(res.Drawing, res.Sheet, l.Moves(), besides, false, func(mv *layout.Move) fix.Edit {
		from := res.Sheet.Parts[mv.Part].Centroid
		at := mv.T.Apply(from)
		return fix.Edit{
			Kind: "lay-out", At: at, Moved: at.Dist(from), Part: res.Names[mv.Part],
			Entities: partEntities(res, mv.Part), Note: "laid out on the sheet",
		}
	})
	d, err := s.rearranged(res, fix.Fix{Safety: fix.Choice, Edits: edits})
	if err != nil {
		return SheetOut{}, fmt.Errorf("--layout: %w", err)
	}
	repair.Layer(d, lint.LayerEtch)
	s.guard = m.guard.Clone()
	if err := s.guardMoved(res, d, l.Moves(), false); err != nil {
		return SheetOut{}, err
	}
	// The sheet has its corner at 0,0, whatever the job says of the source.
	j := *m.j
	j.Sheet.Origin = "zero"
	if j.Layout.Remnant != "" {
		j.Sheet.Size = nil // the remnant is no rectangle that off-sheet could tell by
	}
	s.j = &j
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
	if err := s.guard.Written(s.ctx, data); err != nil {
		return SheetOut{}, err
	}
	rep := &lint.Repaired{
		Input: s.path, Before: before, After: after, Edits: s.edits, Undone: s.undone,
		Skipped: s.unmade(),
		Left:    leftOf(before, after), Tabs: s.tabs, Labels: s.labels, Held: s.held(), Lesser: w.told != "",
	}
	rep.Account = lint.AccountOf(withLoose(before, loose), s.touched)
	return SheetOut{rep, data}, checkAccount(rep.Account)
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

// layoutReport sums a layout up.
func layoutReport(res *lint.Result, r *layout.Result, seed uint64) *lint.Layout {
	out := &lint.Layout{Seed: seed, Steps: r.Steps, Cut: r.Cut}
	for _, s := range r.Sheets {
		out.Sheets = append(out.Sheets, lint.LaidSheet{
			Parts: len(s.Placed), Area: s.Area, Used: s.Used, Density: s.Density, Share: s.Share, Cutoff: s.Cutoff,
		})
	}
	for _, l := range r.Left {
		out.Left = append(out.Left, lint.LeftPart{Part: res.Names[l.Item], Count: l.Count, Why: l.Why})
	}
	return out
}
