package figures

import (
	"sluice/geom"
	"sluice/geom/drawing"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/cutting/paths"
)

// Page is what a page shows of one drawing, or of one before and after a repair.
type Page struct {
	Frame         geom.Box // all there is to show: what is drawn, the stock, its clamps
	Shown         geom.Box // what is shown at first: what is cut, as large as it goes
	Pieces        int      // lines and arcs in it
	Before, After *Side    // After is nil where nothing was repaired
	Schedule      *Schedule
	Estimate      *cutting.Estimate // nil: not known
	Plan          *paths.Plan       // the paths to run; nil: none, or too many to draw
	Walk          *Walk             // through the plan, where paths are written; nil: none, or too many runs
	Walked        bool              // a walk was asked for
	Laid          *Laid             // the layout this drawing is a sheet of; nil: none
}

// Side is one drawing as a page shows it.
type Side struct {
	*lint.Result
	Unit   *drawing.Unit // nil where none is settled
	Counts lint.Counts
	Told   []lint.Finding // worst first, those of a rule together
	Tally  lint.Tally
	Gauges []*Gauge   // by finding told; nil where its measure cannot be drawn
	Stock  geom.Box   // of the sheet; empty where the job states none of sensible size
	Clamps []geom.Box // zones of the sheet where nothing is cut
	Labels []Label
}

// mostRouted is how many pieces of outline a drawing may have for its paths to be
// planned for a page.
const mostRouted = 20000

// pageOf makes the page of one drawing, with what is told of it.
func pageOf(r *lint.Result, told []lint.Finding, s *Schedule) *Page {
	p := &Page{Before: sideOf(r, told), Schedule: s}
	p.frame(p.Before)
	p.Before.label(p, nil)
	return p
}

// BoardOf makes the page of a repair without what it costs and the paths to run, which
// may take longer than the repair: before and after, with what is left to decide on
// the side after.
func BoardOf(done *lint.Repaired, left []lint.Finding) *Page {
	p := sidesOf(done, left)
	p.finish(done)
	return p
}

// JudgedBoard makes the page of a drawing that was judged alone, without what it costs.
func JudgedBoard(r *lint.Result, asked []lint.Finding) *Page {
	return pageOf(r, asked, ScheduleOf(r))
}

func sidesOf(done *lint.Repaired, left []lint.Finding) *Page {
	before, after := done.Before, done.After
	if before == nil {
		before = &lint.Result{Extents: geom.NoBox()}
	}
	if after == nil {
		after = before
	}
	return &Page{Before: sideOf(before, before.Findings), After: sideOf(after, left), Schedule: ScheduleOf(after)}
}

// repairPage makes the page of a repair, with what is left to decide on the side
// after.
func repairPage(done *lint.Repaired, left []lint.Finding) *Page {
	p := sidesOf(done, left)
	after := p.After.Result
	p.Estimate = EstimateOf(after)
	p.Plan = planOf(after, p.Estimate)
	if done.Paths != "" {
		p.Walk, p.Walked = walkOf(p), true
	}
	p.finish(done)
	return p
}

// finish settles what the picture of a repair shows, and places its labels.
func (p *Page) finish(done *lint.Repaired) {
	p.frame(p.Before, p.After)
	if p.Laid = laidOf(done); p.Laid != nil { // the parts lie elsewhere than before
		p.Shown = shownOf(cutBox(p.After.Sheet), p.Frame)
	}
	etched := map[string]bool{}
	for _, l := range done.Labels {
		etched[lint.Clean(l.Part)], etched[lint.Clean(l.Text)] = true, true
	}
	p.Before.label(p, nil)
	p.After.label(p, etched)
}

func sideOf(r *lint.Result, fs []lint.Finding) *Side {
	s := &Side{Result: r, Unit: unitOf(r), Counts: r.Counts(), Told: worstFirst(lint.ReadingOrder(fs)), Tally: lint.TallyOf(fs)}
	s.Gauges = gaugesOf(r.Sheet, s.Told)
	s.Stock = stockOf(r)
	if r.Job != nil && r.Sheet != nil {
		s.Clamps = r.Job.Clamps(r.Job.SheetCorner(r.Sheet.PartsBox()))
	}
	return s
}

// label places the labels of the parts, those aside that are etched.
func (s *Side) label(p *Page, etched map[string]bool) {
	s.Labels = labelsOf(s.Sheet, p.Frame.Diagonal(), func(i int) string {
		if n := s.Name(i); !etched[lint.Clean(n)] {
			return n
		}
		return ""
	})
}

// frame settles what the picture shows: all that is drawn on the sides, and the
// stock; at first what is cut.
func (p *Page) frame(sides ...*Side) {
	box, cut := geom.NoBox(), geom.NoBox()
	for _, s := range sides {
		box, cut = box.Union(BoxOf(s.Sheet)), cut.Union(cutBox(s.Sheet))
		p.Pieces += PieceCount(s.Sheet)
	}
	if !p.Before.Stock.Empty() {
		box = box.Union(p.Before.Stock)
	}
	for _, z := range p.Before.Clamps {
		box = box.Union(z)
	}
	p.Frame, p.Shown = Framed(box), shownOf(cut, box)
}

// shownOf frames what is cut, or all where nothing is.
func shownOf(cut, all geom.Box) geom.Box {
	if cut.Finite() {
		return Framed(cut)
	}
	return Framed(all)
}

// Framed returns the box with a border around it, and some box where there is
// nothing to show.
func Framed(b geom.Box) geom.Box {
	if !b.Finite() {
		b = geom.Box{Max: geom.Pt(100, 60)}
	}
	return b.Inflate(max(0.03*max(b.W(), b.H()), 1e-3))
}

// stockOf returns the rectangle of the stock, empty where the job states none of
// sensible size.
func stockOf(r *lint.Result) geom.Box {
	if r.Job == nil || len(r.Job.Sheet.Size) != 2 {
		return geom.NoBox()
	}
	drawn := geom.NoBox()
	if r.Sheet != nil {
		drawn = r.Sheet.PartsBox()
	}
	at := r.Job.SheetCorner(drawn)
	b := geom.Box{Min: at, Max: at.Add(geom.Pt(r.Job.Sheet.Size[0], r.Job.Sheet.Size[1]))}
	if b.Finite() && b.W() > 0 && b.H() > 0 {
		return b
	}
	return geom.NoBox()
}

// EstimateOf returns what a drawing takes to cut, nil where that is not known.
func EstimateOf(r *lint.Result) *cutting.Estimate {
	if r.Job == nil {
		return nil
	}
	e, err := cutting.Of(r)
	if err != nil {
		return nil
	}
	return e
}

// planOf plans the paths of a drawing, unless that was done for its estimate; nil
// where there are none or too many to draw.
func planOf(r *lint.Result, e *cutting.Estimate) *paths.Plan {
	if r.Sheet == nil || r.Job == nil {
		return nil
	}
	n := 0
	for i := range r.Sheet.Outlines {
		n += len(r.Sheet.Outlines[i].Pieces)
	}
	if n == 0 || n > mostRouted {
		return nil
	}
	var p *paths.Plan
	if e != nil {
		p = e.Plan
	}
	if p == nil {
		p = cutting.Paths(r.Sheet, r.Job, r.Extents)
	}
	if len(p.Cuts) == 0 {
		return nil
	}
	return p
}

// PieceCount counts the lines and arcs of a sheet.
func PieceCount(s *outline.Sheet) int {
	n := 0
	if s == nil {
		return n
	}
	for i := range s.Outlines {
		n += len(s.Outlines[i].Pieces)
	}
	for i := range s.Open {
		n += len(s.Open[i].Pieces)
	}
	for i := range s.Etch {
		n += len(s.Etch[i].Pieces)
	}
	return n
}

// cutBox returns the box of what is cut of a sheet, and of what may yet have to be:
// outlines and open paths, without notes, borders and etched marks.
func cutBox(s *outline.Sheet) geom.Box {
	if s == nil {
		return geom.NoBox()
	}
	cut := outline.Sheet{Outlines: s.Outlines, Tangles: s.Tangles, Open: s.Open}
	return BoxOf(&cut)
}

// BoxOf returns the box of everything drawn on a sheet.
func BoxOf(s *outline.Sheet) geom.Box {
	b := geom.NoBox()
	if s == nil {
		return b
	}
	add := func(p geom.Path) {
		if c := p.Box(); c.Finite() {
			b = b.Union(c)
		}
	}
	for i := range s.Outlines {
		add(s.Outlines[i].Pieces)
	}
	for i := range s.Tangles {
		add(s.Tangles[i].Pieces)
	}
	for _, list := range [][]outline.Open{s.Open, s.Noted, s.Etch} {
		for i := range list {
			add(list[i].Pieces)
		}
	}
	for i := range s.Aside {
		add(s.Aside[i].Pieces)
	}
	for i := range s.Gaps {
		if g := &s.Gaps[i]; g.A.Finite() && g.B.Finite() {
			b = b.Add(g.A).Add(g.B)
		}
	}
	return b
}
