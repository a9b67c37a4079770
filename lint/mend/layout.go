package mend

import (
	"context"
	"errors"
	"fmt"
	"io"
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
	before, err := judged(ctx, path, r, j, o)
	if err != nil {
		return nil, err
	}
	o.Known, o.Told, o.Corner = lint.KnownParts(before), before.Findings, &before.Corner
	m := &mender{
		ctx: whole, path: path, j: j, o: o, touched: make([]bool, len(before.Drawing.Entities)),
		banned: newSpots(again), made: newSpots(again), guard: newGuard(before.Drawing, j, o), laying: true,
	}
	res, err := m.mended(before)
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
	kits, times := max(1, int(math.Round(j.Cost.Kits))), lint.TimesAsked(res)
	for i := range items {
		items[i].Count = kits * times[i]
		items[i].Turns = j.Layout.Degrees()
		items[i].Grained = stock.Grained
	}
	done, err := layout.Layout(ctx, items, []layout.Sheet{stock}, layout.Options{
		Gap: j.MovedSpacing(), Seconds: l.Seconds, Seed: l.Seed, Progress: l.Progress,
	})
	if err != nil {
		return nil, fmt.Errorf("--layout: %w", err)
	}
	if err := guardPlaced(res.Sheet, kits, times, done); err != nil {
		return nil, err
	}
	report := layoutReport(res, done, l.Seed)
	report.Gap, report.Stock = j.MovedSpacing(), toldStock(&stock, j)
	loose := layout.Loose(res.Drawing, res.Sheet, besides)
	var out []SheetOut
	for i := range done.Sheets {
		s, err := m.sheet(before, res, &done.Sheets[i], loose)
		if err != nil {
			return nil, err
		}
		s.Repaired.Layout = report
		report.Sheets[i].Result = s.Repaired.After
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
	for _, z := range j.Clamps(geom.Point{}) {
		s.Clamps = append(s.Clamps, z.Inflate(j.ClampSpacing()))
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

// toldStock returns the stock as reports tell it: clamps as they are, without the
// distance kept from them.
func toldStock(s *layout.Sheet, j *job.Job) lint.Stock {
	return lint.Stock{
		Width: s.Width, Height: s.Height, Margin: s.Margin, Outline: s.Outline, Holes: s.Holes, Clamps: j.Clamps(geom.Point{}),
	}
}

// sheet draws one sheet of a layout and settles it as any corrected drawing.
func (m *mender) sheet(before, res *lint.Result, l *layout.Laid, loose []int32) (out SheetOut, err error) {
	err = inWays(func(w way) (err error) {
		if w.bare { // all was repaired before it was laid out
			w.told = strings.Replace(w.told, "nothing was repaired", "no tabs and numbers were put on this sheet", 1)
		}
		out, err = m.sheetBy(w, before, res, l, loose)
		return err
	})
	return out, err
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
	s.o.Known = s.o.Known[:0:0]
	for _, mv := range l.Moves() {
		p := &res.Sheet.Parts[mv.Part]
		s.o.Known = append(s.o.Known, lint.Named{Name: res.Names[mv.Part], At: mv.T.Apply(p.Centroid), Area: p.Area})
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
	if err := measured(after.Sheet); err != nil {
		return SheetOut{}, err
	}
	rep, err := s.report(before, after, withLoose(before, loose))
	return SheetOut{rep, data}, err
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
