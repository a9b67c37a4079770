package mend

import (
	"context"
	"fmt"
	"io"
	"slices"

	"sluice/fix/layout"
	"sluice/geom"
	"sluice/lint"
	"sluice/lint/job"
)

// Arrangement is a layout of a drawing's parts as it stands, found or being looked for.
type Arrangement struct {
	Sheets []Arranged
	Left   []lint.LeftPart // what found no place
	Gap    float64         // least distance between parts, mm; of the kinds of sheets, the least
	Steps  int64           // of search
	Cut    bool            // the search ended before its time was spent
	kinds  []kindDone
}

// kindDone is the layout of one kind of sheet, and what it is made of.
type kindDone struct {
	kind  int
	done  *layout.Result
	items []layout.Item
	stock []layout.Sheet
	gap   float64
}

// Arranged is a sheet with what lies on it.
type Arranged struct {
	Stock  lint.Stock
	Kind   int // of the sheets of the job, from 0
	Number int // of those that its parts may be cut from, from 1: what job.Pin calls it
	layout.Laid
	Parts []Lying // as in Placed
}

// Lying says which part it is that lies on a sheet.
type Lying struct {
	Part   int    // of the repaired drawing
	Name   string // its number
	Which  int    // of those that carry the number, from 0: what job.PartAnswer.Pins counts
	Pinned bool
}

// of returns what is laid out of a kind of sheet.
func (a *Arrangement) of(kind int) []layout.Laid {
	if a != nil {
		for _, k := range a.kinds {
			if k.kind == kind {
				return k.done.Sheets
			}
		}
	}
	return nil
}

// arrangement tells the layout of the kinds that are done, and of one for which so much
// is laid out.
func (p *planner) arrangement(now *kindLaid, laid []layout.Laid) *Arrangement {
	a := &Arrangement{Gap: p.report.Gap, Steps: p.report.Steps, Cut: p.report.Cut, Left: slices.Clone(p.report.Left)}
	next := map[string]int{}
	for _, k := range p.kinds {
		done := k.done
		if k == now {
			done = &layout.Result{Sheets: laid}
		}
		if done == nil {
			continue
		}
		if a.Gap == 0 || k.gap < a.Gap {
			a.Gap = k.gap
		}
		a.kinds = append(a.kinds, kindDone{k.kind, done, k.items, k.stock, k.gap})
		a.add(p, k, done, next)
	}
	return a
}

// add adds the sheets of a kind. next counts by number which part comes next.
func (a *Arrangement) add(p *planner, k *kindLaid, done *layout.Result, next map[string]int) {
	which := k.which(p, next)
	for _, i := range byStock(done.Sheets) {
		s := Arranged{Stock: k.rack[done.Sheets[i].Sheet].told, Kind: k.kind, Number: 1 + done.Sheets[i].Copy, Laid: done.Sheets[i]}
		for n := range s.Sheet {
			s.Number += max(1, k.stock[n].Count)
		}
		for _, q := range s.Placed {
			l := Lying{Part: k.of[q.Item], Name: p.res.Names[k.of[q.Item]]}
			if n := k.pinAt(&s.Laid, q); n >= 0 {
				l.Pinned, l.Which = true, k.named[n].which
			} else if free := which[q.Item]; len(free) > 0 {
				l.Which, which[q.Item] = free[0], free[1:]
			}
			s.Parts = append(s.Parts, l)
		}
		a.Sheets = append(a.Sheets, s)
	}
}

// pinAt returns which pin it is that put a part where it lies, -1 for none.
func (k *kindLaid) pinAt(s *layout.Laid, q layout.Placed) int {
	return slices.IndexFunc(k.pins, func(p layout.Pinned) bool {
		return p.Item == q.Item && p.Sheet == s.Sheet && p.Copy == s.Copy && p.Turn == q.Turn && p.Shift == q.Shift
	})
}

// which returns by item which of those that carry its number are not pinned.
func (k *kindLaid) which(p *planner, next map[string]int) [][]int {
	out := make([][]int, len(k.items))
	for i := range k.items {
		name := p.res.Names[k.of[i]]
		for range k.items[i].Count {
			n := next[name]
			next[name]++
			if !slices.ContainsFunc(k.named, func(x pinOf) bool { return x.Part == name && x.which == n }) {
				out[i] = append(out[i], n)
			}
		}
	}
	return out
}

// Laying is a repaired drawing whose parts are laid out, once and again. Its methods may
// be called from several goroutines.
type Laying struct{ s *source }

// NewLaying reads and repairs a drawing, and gets ready to lay its parts out. open is as
// in LayoutOptions.
func NewLaying(ctx context.Context, path string, r io.Reader, j *job.Job, o Options, open func(string) (io.ReadCloser, error)) (*Laying, error) {
	s, err := sourceOf(ctx, ctx, path, r, j, o)
	if err != nil {
		return nil, err
	}
	want, err := s.wanted(nil)
	if err != nil {
		return nil, err
	}
	racks := map[int][]piece{}
	for k, name := range s.res.Names {
		kind := j.SheetOf(name)
		if _, ok := racks[kind]; ok || want[k] == 0 {
			continue
		}
		if racks[kind], err = rackOf(ctx, j, kind, o, open); err != nil {
			return nil, err
		}
	}
	s.racks = racks
	return &Laying{s}, nil
}

// Result returns the repaired drawing, by whose parts an Arrangement counts.
func (l *Laying) Result() *lint.Result { return l.s.res }

// with returns a planner under answers that differ in nothing but what they pin.
func (l *Laying) with(ctx context.Context, a *job.Answers, o LayoutOptions) (*planner, error) {
	s, m, j := *l.s, *l.s.m, *l.s.m.j
	j.Answers = a
	m.j, m.ctx, s.m = &j, ctx, &m
	want, err := s.wanted(nil)
	if err != nil {
		return nil, err
	}
	_, _, some := lint.OneOf(s.before.Drawing)
	return &planner{source: &s, l: o, want: want, report: &lint.Layout{Seed: o.Seed, Some: some}}, nil
}

// Plan lays the parts out around those that answers pin, which may differ in nothing
// else from those under which the drawing was repaired. Where ctx ends early the best
// layout so far is returned.
func (l *Laying) Plan(ctx context.Context, a *job.Answers, o LayoutOptions) (*Arrangement, error) {
	p, err := l.with(ctx, a, o)
	if err != nil {
		return nil, err
	}
	if err := p.plan(ctx); err != nil {
		return nil, err
	}
	return p.arrangement(nil, nil), nil
}

// Draw draws the sheets of a layout that Plan found under the same answers.
func (l *Laying) Draw(ctx context.Context, a *job.Answers, laid *Arrangement, o LayoutOptions) ([]SheetOut, error) {
	p, err := l.with(ctx, a, o)
	if err != nil {
		return nil, err
	}
	if err := p.setUp(); err != nil {
		return nil, err
	}
	for _, k := range p.kinds {
		i := slices.IndexFunc(laid.kinds, func(d kindDone) bool { return d.kind == k.kind })
		if i < 0 {
			return nil, fmt.Errorf("--layout: %w", layout.ErrNothing)
		}
		k.done = laid.kinds[i].done
		if faults := layout.Check(k.items, k.stock, k.done, k.gap); len(faults) > 0 {
			return nil, fmt.Errorf("--layout: it is of another drawing, and cannot be cut: %s", faults[0])
		}
		p.take(k)
	}
	return p.draw()
}

// Without returns a layout without one of its parts, to be laid out around it.
func (a *Arrangement) Without(sheet, part int) *Arrangement {
	b := *a
	b.kinds = slices.Clone(a.kinds)
	s := &a.Sheets[sheet]
	for i := range b.kinds {
		if b.kinds[i].kind != s.Kind {
			continue
		}
		done := *b.kinds[i].done
		done.Sheets = slices.Clone(done.Sheets)
		for n := range done.Sheets {
			if x := &done.Sheets[n]; x.Sheet == s.Sheet && x.Copy == s.Copy {
				x.Placed = slices.Delete(slices.Clone(x.Placed), part, part+1)
			}
		}
		b.kinds[i].done = &done
	}
	return &b
}

// Fixed reports whether every part is pinned, so that any search comes to the same.
func (a *Arrangement) Fixed() bool {
	for i := range a.Sheets {
		if slices.ContainsFunc(a.Sheets[i].Parts, func(l Lying) bool { return !l.Pinned }) {
			return false
		}
	}
	return len(a.Left) == 0
}

// Place returns where part n of a sheet lies: the lower left corner of its box, from that
// of the sheet, mm, and its turn.
func (l *Laying) Place(laid *Arrangement, sheet, n int) (at geom.Point, turn float64) {
	s := &laid.Sheets[sheet]
	res := l.s.res.Sheet
	q := s.Placed[n]
	return res.Outlines[res.Parts[s.Parts[n].Part].Outer].Pieces.Transform(q.Transform()).Box().Min, q.Turn
}

// Spot is what comes of putting a part of a layout elsewhere.
type Spot struct {
	At      geom.Point // of the lower left corner of its box, from that of the sheet, mm
	Mid     geom.Point // the middle of its box
	Of      geom.Point // where the middle of its box as drawn comes to lie
	Turn    float64
	Refused string // why it cannot lie there; "" if it can
	Way     []int  // which parts of the sheet must make room
}

// handReach is how far, mm, a part that is put by hand is brought clear of others: about as
// far as a hand is off.
const handReach = 8

// samePlace is how near, mm, a part is where it lies already.
const samePlace = 1e-6

// Spot tells where part n of a sheet comes to lie that is put on a sheet of the same
// kind, turned by so much, with the middle of its box at a place.
func (a *Arrangement) Spot(sheet, n, to int, mid geom.Point, turn float64) *Spot {
	k, from, on := a.kind(sheet), &a.Sheets[sheet], &a.Sheets[to]
	item := from.Placed[n].Item
	if q := from.Placed[n]; to == sheet && q.Turn == turn {
		if s := spotOf(&k.items[item], q); s.Mid.Dist(mid) < samePlace {
			return s
		}
	}
	var others []layout.Placed
	var pinned []bool
	var index []int
	for i := range on.Placed {
		if to != sheet || i != n {
			others, pinned, index = append(others, on.Placed[i]), append(pinned, on.Parts[i].Pinned), append(index, i)
		}
	}
	p := layout.PinnedAt(k.items, item, on.Sheet, on.Copy, turn, mid)
	half := k.items[item].Outer.Transform(layout.Placed{Turn: turn}.Transform()).Box()
	p.Shift = p.Shift.Sub(geom.Pt(half.W()/2, half.H()/2))
	got := layout.SpotOn(k.items, k.stock, p, others, pinned, k.gap, handReach)
	out := spotOf(&k.items[item], layout.Placed{Turn: got.Turn, Shift: got.Shift})
	for _, w := range got.Way {
		out.Way = append(out.Way, index[w])
	}
	if len(got.Faults) > 0 {
		f := got.Faults[0]
		name := ""
		if f.B >= 0 {
			name = on.Parts[index[f.B]].Name
		}
		out.Refused = spotFault(f, name)
	}
	return out
}

// spotOf tells where an item lies that is placed so.
func spotOf(it *layout.Item, q layout.Placed) *Spot {
	box := it.Outer.Transform(q.Transform()).Box()
	return &Spot{At: box.Min, Mid: box.Center(), Of: q.Transform().Apply(it.Outer.Box().Center()), Turn: q.Turn}
}

// Turns returns the turns that part n of a sheet may take on it, degrees, ascending.
func (a *Arrangement) Turns(sheet, n int) []float64 {
	k, s := a.kind(sheet), &a.Sheets[sheet]
	return layout.Turns(&k.items[s.Placed[n].Item], &k.stock[s.Sheet])
}

// kind returns the kind of sheet that a sheet of the layout is of.
func (a *Arrangement) kind(sheet int) *kindDone {
	i := slices.IndexFunc(a.kinds, func(k kindDone) bool { return k.kind == a.Sheets[sheet].Kind })
	return &a.kinds[i]
}

// spotFault says in words why a part cannot lie where it is put; other is the number of
// the part that is in its way.
func spotFault(f layout.Fault, other string) string {
	switch f.Kind {
	case layout.Outside:
		return "beyond the margin of the sheet, or in a clamp zone"
	case layout.Overlap:
		return fmt.Sprintf("on part %s, which is pinned", other)
	case layout.TooNear:
		return fmt.Sprintf("%.3g mm from part %s, which is pinned, nearer than parts may lie", f.By, other)
	case layout.Turned:
		return "turned as it may not be; see turns and grain of the job"
	}
	return f.Kind.String()
}
