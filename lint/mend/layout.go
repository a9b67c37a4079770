package mend

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"sluice/fix/layout"
	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
)

// LayoutOptions ask for all parts to be laid out anew.
type LayoutOptions struct {
	Seconds  float64 // of search, turned into steps; see layout.Options
	Seed     uint64
	Deadline time.Duration // of the search by the clock; 0: none
	Progress func(layout.Progress)
	Open     func(name string) (io.ReadCloser, error)     // drawings of stock, by the name in the job; nil: there are none
	Parts    []PartCount                                  // only these; empty: all
	Picture  func(share float64, now func() *Arrangement) // may be nil; as Progress, with what is laid out so far
	Begin    *Arrangement                                 // of the same drawing, to begin with; nil: from nothing
	Still    bool                                         // what lies in Begin stays there, as far as it may
}

// PartCount asks for a part so many times, by its number or name.
type PartCount struct {
	Part  string
	Count int
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
	return LayOutAll(ctx, []LayoutInput{{path, r, j}}, o, l)
}

// source is a drawing that is mended, so that its parts can be laid out.
type source struct {
	m           *mender
	before, res *lint.Result // as read, and mended
	// Of several drawings put beside each other:
	renamed []map[string]string // what the parts of each are called now
	from    []float64           // where each begins, mm
	racks   map[int][]piece     // the stock by kind of sheet, where it is known
}

// sourceOf reads and mends a drawing. ctx may end while it is read.
func sourceOf(ctx, whole context.Context, path string, r io.Reader, j *job.Job, o Options) (*source, error) {
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
	return &source{m: m, before: before, res: res}, nil
}

// layOut lays the parts of a mended drawing out, those of each sheet of the job on
// stock of that kind, and draws the sheets.
func (s *source) layOut(ctx context.Context, l LayoutOptions) ([]SheetOut, error) {
	p, err := s.planned(ctx, l)
	if err != nil {
		return nil, err
	}
	return p.draw()
}

// planned lays the parts of a mended drawing out.
func (s *source) planned(ctx context.Context, l LayoutOptions) (*planner, error) {
	want, err := s.wanted(l.Parts)
	if err != nil {
		return nil, err
	}
	_, _, some := lint.OneOf(s.before.Drawing)
	some = some || len(l.Parts) > 0
	p := &planner{source: s, l: l, want: want, report: &lint.Layout{Seed: l.Seed, Some: some}}
	if err := p.plan(ctx); err != nil {
		return nil, err
	}
	return p, nil
}

// draw draws the sheets of a layout.
func (p *planner) draw() ([]SheetOut, error) {
	s := p.source
	if err := guardPlaced(s.res.Sheet, p.want, p.placed(), p.left); err != nil {
		return nil, err
	}
	offcuts(p.sheets, p.report)
	p.report.Common = len(s.m.edits)
	loose := layout.Loose(s.res.Drawing, s.res.Sheet, besides)
	var out []SheetOut
	for i := range p.sheets {
		made, err := s.m.sheet(s, &p.sheets[i], sheetNote(i, len(p.sheets), p.report.Some), loose)
		if err != nil {
			return nil, err
		}
		made.Repaired.Layout = p.report
		p.report.Sheets[i].Result = made.Repaired.After
		out = append(out, made)
	}
	return out, nil
}

// wanted returns how often each part is to be cut: as answers and kits say, or as asked
// for by number, and the others not at all.
func (s *source) wanted(asked []PartCount) ([]int, error) {
	want := lint.TimesAsked(s.res)
	if len(asked) == 0 {
		kits := max(1, int(math.Round(s.m.j.Cost.Kits)))
		for i := range want {
			want[i] *= kits
		}
		return want, nil
	}
	clear(want)
	of := lint.PartsByName(s.res)
	for _, a := range asked {
		parts := of[a.Part]
		if len(parts) == 0 {
			var names []string
			for name := range of {
				names = append(names, name)
			}
			slices.SortFunc(names, lint.CompareNames)
			if len(names) == 0 {
				return nil, layout.ErrNothing
			}
			return nil, fmt.Errorf("--part %s: the drawing has no such part; did you mean %s? (sluice parts lists them)", a.Part, job.Nearest(a.Part, names))
		}
		want[parts[0]] += a.Count
	}
	return want, nil
}

// laidOn is one sheet of a layout, and what it is laid on.
type laidOn struct {
	*layout.Laid
	kind  int // of the sheets of the job
	piece piece
	last  bool       // of its kind
	boxes []geom.Box // of its parts
}

// planner lays the parts of a drawing out, kind by kind of sheet.
type planner struct {
	*source
	l       LayoutOptions
	want    []int // by part
	kits    int   // that are cut of each drawing
	drawing []int // by part: of which it is
	sheets  []laidOn
	left    map[int]int // by part: how many found no place
	kinds   []*kindLaid
	report  *lint.Layout
}

// placed returns the movements of all sheets.
func (p *planner) placed() (all []layout.Move) {
	for i := range p.sheets {
		all = append(all, p.sheets[i].Moves()...)
	}
	return all
}

// plan lays out kind by kind.
func (p *planner) plan(ctx context.Context) error {
	if err := p.setUp(); err != nil {
		return err
	}
	from := 0.0
	end := time.Now().Add(p.l.Deadline)
	for _, k := range p.kinds {
		until := time.Time{}
		if p.l.Deadline > 0 {
			until = time.Now().Add(time.Duration(float64(time.Until(end)) * k.share / max(1-from, k.share)))
		}
		if err := p.lay(ctx, k, from, until); err != nil {
			return err
		}
		from += k.share
	}
	if len(p.sheets) == 0 && len(p.report.Left) == 0 {
		return fmt.Errorf("--layout: %w", layout.ErrNothing)
	}
	if len(p.sheets) == 0 {
		left := &p.report.Left[0]
		return fmt.Errorf("--layout: no part found a place, and nothing is written; part %s: %s", left.Part, left.Why)
	}
	return nil
}

// setUp says for each kind of sheet which parts are cut from it, and of what stock.
func (p *planner) setUp() error {
	m, res := p.m, p.res
	sheets := m.j.Sheets()
	of := make([][]int, len(sheets)) // parts by kind
	share := make([]float64, len(sheets))
	all := 0.0
	for k := range res.Sheet.Parts {
		if p.want[k] > 0 {
			kind := m.j.SheetOf(res.Names[k])
			of[kind] = append(of[kind], k)
			area := res.Sheet.Parts[k].Area * float64(p.want[k])
			share[kind], all = share[kind]+area, all+area
		}
	}
	p.left = map[int]int{}
	p.groups()
	for kind := range sheets {
		if len(of[kind]) == 0 {
			continue
		}
		rack, err := p.rack(kind)
		if err != nil {
			if len(sheets) > 1 {
				err = fmt.Errorf("%s: %w", sheets[kind].Title(kind), err)
			}
			return err
		}
		k := &kindLaid{kind: kind, rack: rack, share: share[kind] / all, gap: m.j.OnSheet(kind).LayoutGap()}
		for i := range rack {
			k.stock = append(k.stock, rack[i].Sheet)
		}
		k.items, k.of = p.items(of[kind], k.stock[0].Grained)
		if k.pins, k.named, err = p.pins(k.items, k.stock, k.of, k.gap); err != nil {
			return err
		}
		p.kinds = append(p.kinds, k)
	}
	return nil
}

// rack returns the stock of a kind of sheet.
func (p *planner) rack(kind int) ([]piece, error) {
	if rack, ok := p.racks[kind]; ok {
		return rack, nil
	}
	return rackOf(p.m.ctx, p.m.j, kind, p.m.o, p.l.Open)
}

// groups finds which parts are a kit of their own, to be kept together: those of each
// drawing, each time it is cut.
func (p *planner) groups() {
	p.kits = 1
	if len(p.l.Parts) == 0 {
		p.kits = max(1, int(math.Round(p.m.j.Cost.Kits)))
	}
	p.drawing = make([]int, len(p.res.Sheet.Parts))
	for k := range p.drawing {
		x := p.res.Sheet.Parts[k].Centroid.X
		for i := range p.from {
			if i > 0 && x > p.from[i] {
				p.drawing[k] = i
			}
		}
	}
}

// items returns the items of parts, kit by kit, and the part of each.
func (p *planner) items(parts []int, grained bool) (items []layout.Item, of []int) {
	all := layout.Items(p.res.Sheet, func(k int) string { return p.res.Names[k] })
	several := p.kits > 1 || len(p.from) > 1
	for kit := range p.kits {
		for _, k := range parts {
			it := all[k]
			name := p.res.Names[k]
			it.Count = p.want[k] / p.kits
			it.Grain, it.Grained = p.m.j.GrainOf(name)
			it.Grained = it.Grained && grained
			it.Turns, it.Free = p.m.j.TurnsOf(name)
			if w := p.m.j.Wish(name); w != nil {
				it.Gap = w.Gap
			}
			if several && len(p.l.Parts) == 0 {
				it.Group = 1 + kit + p.kits*p.drawing[k]
			}
			items, of = append(items, it), append(of, k)
		}
	}
	return items, of
}

// kindLaid is what is cut from one kind of sheet, and how it is laid out.
type kindLaid struct {
	kind  int // of the sheets of the job
	rack  []piece
	stock []layout.Sheet
	items []layout.Item
	of    []int   // by item: its part
	share float64 // of the budget
	gap   float64
	pins  []layout.Pinned
	named []pinOf // by pin: who says so
	done  *layout.Result
}

// lay lays out the parts of one kind of sheet, until then by the clock; from is the share
// of the budget spent before.
func (p *planner) lay(ctx context.Context, k *kindLaid, from float64, until time.Time) (err error) {
	o := layout.Options{
		Gap: k.gap, Seconds: max(p.l.Seconds*k.share, 1e-3), Seed: p.l.Seed, Deadline: until, Pins: k.pins,
		Begin: p.l.Begin.of(k.kind), Still: p.l.Still,
	}
	before := len(p.sheets)
	o.Progress = func(x layout.Progress) {
		if tell := p.l.Picture; tell != nil {
			tell(from+k.share*x.Share, func() *Arrangement { return p.arrangement(k, x.Sheets()) })
		}
		if tell := p.l.Progress; tell != nil {
			x.Sheet, x.Share = x.Sheet+before, from+k.share*x.Share
			tell(x)
		}
	}
	if k.done, err = layout.Layout(ctx, k.items, k.stock, o); err != nil {
		return fmt.Errorf("--layout: %w", err)
	}
	p.take(k)
	return nil
}

// take takes the layout of a kind of sheet over.
func (p *planner) take(k *kindLaid) {
	rep, done := p.report, k.done
	rep.Steps, rep.Cut = rep.Steps+done.Steps, rep.Cut || done.Cut
	if rep.Gap == 0 || k.gap < rep.Gap {
		rep.Gap = k.gap
	}
	for _, i := range byStock(done.Sheets) {
		s := done.Sheets[i]
		s.Placed = slices.Clone(s.Placed)
		slices.SortStableFunc(s.Placed, func(a, b layout.Placed) int { return cmp.Compare(a.Item, b.Item) })
		on := laidOn{Laid: &s, kind: k.kind, piece: k.rack[s.Sheet], last: i == len(done.Sheets)-1}
		for n := range s.Placed {
			q := &s.Placed[n]
			on.boxes = append(on.boxes, k.items[q.Item].Outer.Transform(q.Transform()).Box())
			q.Item = k.of[q.Item]
		}
		p.sheets = append(p.sheets, on)
		rep.Sheets = append(rep.Sheets, lint.LaidSheet{
			Parts: len(s.Placed), Area: s.Area, Used: s.Used, Density: s.Density, Share: s.Share, Cutoff: s.Cutoff, Stock: on.piece.told,
		})
	}
	for _, x := range done.Left {
		at := k.of[x.Item]
		p.left[at] += x.Count
		same := func(l lint.LeftPart) bool { return l.Part == p.res.Names[at] && l.Why == x.Why }
		if i := slices.IndexFunc(rep.Left, same); i >= 0 {
			rep.Left[i].Count += x.Count
		} else {
			rep.Left = append(rep.Left, lint.LeftPart{Part: p.res.Names[at], Count: x.Count, Why: x.Why})
		}
	}
}

// byStock returns the sheets of a layout in the order in which they are taken from the
// stock, which is how pins count them; the search takes those with pinned parts first.
func byStock(sheets []layout.Laid) []int {
	order := make([]int, len(sheets))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(sheets[a].Sheet, sheets[b].Sheet), cmp.Compare(sheets[a].Copy, sheets[b].Copy))
	})
	return order
}

// sheetNote is the note by which the drawing of a sheet says that its parts are not all
// there are; "" where they are.
func sheetNote(i, n int, some bool) string {
	if n == 1 && !some {
		return ""
	}
	return lint.SheetNote(i+1, n, some)
}
