package guard

import (
	"context"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"sluice/geom"
)

// Written compares the bytes of a corrected drawing with what was read and told.
// The error is a *Fault where they do not agree.
func (g *Guard) Written(ctx context.Context, data []byte) error {
	out, err := Read(ctx, data)
	if err != nil {
		return err
	}
	return g.compare(ctx, out)
}

// compare compares strokes with what was drawn, and told since.
func (g *Guard) compare(ctx context.Context, out []Stroke) error {
	var have *set
	var wg sync.WaitGroup
	wg.Go(func() { have = newSet(len(out), func(i int) geom.Piece { return out[i].Piece }) })
	l := newLedger(g.base, g.changes, &g.limits)
	wg.Wait()
	c := &comparison{
		ledger: l, tol: g.limits.tol(), out: out, have: have,
		gone:   newSet(len(l.excuses), func(i int) geom.Piece { return l.excuses[i].piece }),
		faults: make([][]Fault, cores(&g.limits)),
	}
	c.each(ctx, len(out), c.written)
	c.each(ctx, len(l.known), c.owed)
	if err := ctx.Err(); err != nil {
		return err
	}
	return gravest(append(c.all(), c.tabs(g.tabs, g.takenOut())...))
}

func cores(l *Limits) int {
	if l.Workers > 0 {
		return l.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// comparison is one comparison under way.
type comparison struct {
	*ledger
	tol    float64
	out    []Stroke
	have   *set      // of out
	gone   *set      // of the excuses
	faults [][]Fault // by worker
}

func (c *comparison) all() []Fault {
	var all []Fault
	for _, f := range c.faults {
		all = append(all, f...)
	}
	return all
}

// worker is one goroutine's part of a comparison.
type worker struct {
	*comparison
	id               int
	known, out, gone *search
}

func (w *worker) tell(what What, p geom.Piece, t span, layer string) {
	q := plain(p)
	w.faults[w.id] = append(w.faults[w.id], Fault{
		What: what, At: q.At((t.t0 + t.t1) / 2), Layer: layer, Much: (t.t1 - t.t0) * q.Length(),
	})
}

// chunk is how many pieces a goroutine takes at a time.
const chunk = 256

// each runs work for 0 to n-1 on all cores.
func (c *comparison) each(ctx context.Context, n int, work func(w *worker, i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for id := range c.faults {
		wg.Go(func() {
			w := &worker{c, id, c.set.search(), c.have.search(), c.gone.search()}
			for ctx.Err() == nil {
				from := int(next.Add(chunk)) - chunk
				if from >= n {
					return
				}
				for i := from; i < min(from+chunk, n); i++ {
					work(w, i)
				}
			}
		})
	}
	wg.Wait()
}

// written checks that stroke i of what is written was drawn or told.
func (c *comparison) written(w *worker, i int) {
	s := &c.out[i]
	is := func(r Role) func(int32) bool {
		return func(id int32) bool { k := &c.known[id]; return k.live && k.Role == r }
	}
	switch s.Role {
	case Cut:
		for _, t := range w.known.uncovered(s.Piece, c.tol, is(Cut)) {
			what := Invented
			q := plain(s.Piece).Sub(t.t0, t.t1)
			if w.known.covered(q, c.tol, func(id int32) bool { k := &c.known[id]; return k.born == 0 && k.Role != Cut && k.Role != Tab }) {
				what = MarkCut
			}
			w.tell(what, s.Piece, t, s.Layer)
		}
	case Etch:
		for _, t := range w.known.uncovered(s.Piece, c.tol, is(Etch)) {
			w.tell(MarkInvented, s.Piece, t, s.Layer)
		}
	}
}

// owed checks that what was drawn or told is there, or was told to go since.
func (c *comparison) owed(w *worker, i int) {
	s := &c.known[i]
	if !s.live {
		return
	}
	var what What
	var there func(int32) bool
	switch s.Role {
	case Cut:
		// A stretch may be left as a tab; that the tab was told is checked there.
		what, there = Lost, func(id int32) bool { return c.out[id].Role == Cut || c.out[id].Role == Tab }
	case Tab:
		what, there = TabWrong, func(id int32) bool { return c.out[id].Role == Tab }
	case Etch:
		what, there = MarkLost, func(id int32) bool { return c.out[id].Role == Etch || c.out[id].Role == Note }
	case Note:
		what, there = MarkLost, func(id int32) bool { return c.out[id].Role == Note || c.out[id].Role == Etch }
	default:
		return
	}
	p := plain(s.Piece)
	for _, t := range w.out.uncovered(p, c.tol, there) {
		q := p.Sub(t.t0, t.t1)
		for _, u := range w.gone.uncovered(q, c.tol, func(id int32) bool {
			e := &c.excuses[id]
			return e.role == s.Role && e.round > s.born
		}) {
			w.tell(what, q, u, s.Layer)
		}
	}
}

// tight is how near, mm, a cut must lie to an uncut piece of outline to cut
// through the tab there: on the same line but for rounding.
const tight = 1e-3

// tabs checks that what is left uncut is so in the drawing or as told, that it is
// nowhere cut all the same, and that every told tab is there.
func (c *comparison) tabs(told []tab, takenOut []bool) (faults []Fault) {
	known, out := c.set.search(), c.have.search()
	places := make([]geom.Point, len(told))
	byPlace := map[geom.Point]int{}
	for i, t := range told {
		places[i] = t.at
		byPlace[t.at] = i
		if d := math.Abs(t.gap - c.limits.DrawnGap); d > c.tol {
			faults = append(faults, Fault{What: TabWrong, At: t.at, Much: d, Note: "its gap has not the width asked for"})
		}
	}
	at := newPlaces(places)
	left := make([]float64, len(told)) // mm left uncut, by told tab
	for i := range c.out {
		s := &c.out[i]
		if s.Role != Tab {
			continue
		}
		p := plain(s.Piece)
		fault := func(t span, note string) {
			faults = append(faults, Fault{What: TabWrong, At: p.At((t.t0 + t.t1) / 2), Layer: s.Layer, Much: (t.t1 - t.t0) * p.Length(), Note: note})
		}
		for _, t := range known.uncovered(p, c.tol, func(id int32) bool { k := &c.known[id]; return k.live && (k.Role == Cut || k.Role == Tab) }) {
			fault(t, "it lies on no outline")
		}
		spans := out.uncovered(p, tight, func(id int32) bool { return c.out[id].Role == Cut })
		cut := p.Length()
		for _, t := range spans {
			cut -= (t.t1 - t.t0) * p.Length()
		}
		if cut > c.tol {
			fault(span{0, 1}, "it is cut through")
		}
		for _, t := range known.uncovered(p, c.tol, func(id int32) bool { k := &c.known[id]; return k.live && k.Role == Tab }) {
			q := p.Sub(t.t0, t.t1)
			if out.covered(q, tight, func(id int32) bool { return int(id) < i && c.out[id].Role == Tab }) {
				continue // drawn for both parts that it joins
			}
			if k, ok := at.nearest(q, c.limits.DrawnGap); ok {
				left[byPlace[k]] += q.Length()
			} else {
				fault(t, "nothing is told of it")
			}
		}
	}
	for i, t := range told {
		if d := math.Abs(left[i] - t.gap); d > c.tol && !(takenOut[i] && left[i] == 0) {
			faults = append(faults, Fault{What: TabWrong, At: t.at, Much: d, Note: "its gap is not drawn as told"})
		}
	}
	return faults
}

// takenOut tells which told tabs a told edit has taken out since, as a repeat of
// something that is cut there.
func (g *Guard) takenOut() []bool {
	var repeats []Stroke
	var rounds []int
	for i := range g.changes {
		c := &g.changes[i]
		for _, s := range c.gone {
			if s.Role == Tab && c.kind == "drop-duplicate" {
				repeats, rounds = append(repeats, s), append(rounds, c.round)
			}
		}
	}
	out := make([]bool, len(g.tabs))
	gone := newSet(len(repeats), func(i int) geom.Piece { return repeats[i].Piece }).search()
	for i, t := range g.tabs {
		out[i] = gone.touches(geom.Line(t.at, t.at), t.gap/2, func(id int32) bool { return rounds[id] > t.round })
	}
	return out
}

// nearest returns the place nearest to the middle of q, among those within d, the
// line or circle that carries q counting first: tabs of outlines that cross may
// lie side by side.
func (p places) nearest(q geom.Piece, d float64) (at geom.Point, ok bool) {
	m := q.Mid()
	best, bestOff := d, math.Inf(1)
	for _, x := range p.within(m.X, d) {
		l := x.Dist(m)
		off := math.Abs(q.TangentAt(0).Cross(x.Sub(q.A)))
		if q.R > 0 {
			off = math.Abs(x.Dist(q.C) - q.R)
		}
		if l > d || off > bestOff+tight || off > bestOff-tight && l > best {
			continue
		}
		best, bestOff, at, ok = l, off, x, true
	}
	return at, ok
}
