package cutting

import (
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/cutting/paths"
	"sluice/lint/job"
)

// gathered is an estimate being made: what is run, summed up.
type gathered struct {
	e         *Estimate
	sheet     *outline.Sheet
	job       *job.Job
	stops     []paths.Stop // of what is not planned
	run       float64      // time along outlines, s
	slow      float64
	cut       []float64 // by outline: length as drawn, starts and time
	starts    []int
	cutTime   []float64
	unplanned int // closed outlines that have no path
	unclosed  int
	open      int
	marks     int // loose marks, not counted
}

// mostPlanned is how many lines and arcs a drawing may have for its paths to be
// planned for an estimate: a hundred thousand take about a second.
const mostPlanned = 500_000

// leadShare is the length of lead-in and lead-out together, in lead lengths, where
// they are not planned.
const leadShare = 1.5

// gather sums up the lengths, starts and travel of a judged drawing: those of its
// planned paths, in the same order as they are written; what has no path, or all if
// there is too much to plan, along the outlines.
func gather(e *Estimate, r *lint.Result) gathered {
	n := len(r.Sheet.Outlines)
	g := gathered{e: e, sheet: r.Sheet, job: r.Job, cut: make([]float64, n), starts: make([]int, n), cutTime: make([]float64, n)}
	pieces := 0
	for i := range r.Sheet.Outlines {
		pieces += len(r.Sheet.Outlines[i].Pieces)
	}
	cuts := make([][]*paths.Cut, n)
	if pieces <= mostPlanned {
		e.Plan = Paths(r.Sheet, r.Job, r.Extents)
		for i := range e.Plan.Cuts {
			if c := &e.Plan.Cuts[i]; c.Outline >= 0 {
				cuts[c.Outline] = append(cuts[c.Outline], c)
			}
		}
	}
	for i := range r.Sheet.Outlines {
		g.outline(i, cuts[i])
	}
	g.loose()
	if e.Plan == nil {
		e.Length.Travel = paths.TravelOf(g.stops, paths.Order(g.stops))
	} else {
		e.Length.Travel = e.Plan.Travel
	}
	return g
}

// outline adds the runs of an outline. Where the head slows down is told by the
// outline's corners, since the path rolls round them.
func (g *gathered) outline(i int, cuts []*paths.Cut) {
	o := &g.sheet.Outlines[i]
	if !o.Closed {
		g.unclosed++
	}
	g.e.Tabs += o.Tabs
	g.cut[i] = CutLength(o)
	g.e.Length.Drawn += g.cut[i]
	runs := Runs(o)
	for _, c := range cuts {
		g.add(i, c.Run.Length(), c.In.Length()+c.Over.Length()+c.Out.Length())
	}
	for _, run := range runs {
		_, slow := g.e.Pace.RunTime(run.Path, run.Closed)
		g.run, g.slow, g.cutTime[i] = g.run+slow, g.slow+slow, g.cutTime[i]+slow
		if len(cuts) > 0 {
			continue
		}
		g.add(i, run.Path.Length(), leadShare*g.job.LeadLength())
		g.stops = append(g.stops, paths.Stop{
			Start: run.Path[0].A, End: run.Path[len(run.Path)-1].B, Stage: 1, Group: int32(i), Before: o.Parent,
		})
	}
	if len(cuts) == 0 && len(runs) > 0 && o.Closed {
		g.unplanned++
	}
}

// add adds a run of an outline, the time for slowing down left out.
func (g *gathered) add(i int, run, leads float64) {
	e := g.e
	if e.Pace.Cut > 0 {
		t := (run + leads) / e.Pace.Cut * 60
		g.run, g.cutTime[i] = g.run+t, g.cutTime[i]+t
	}
	g.starts[i]++
	if g.sheet.Outlines[i].Hole() {
		e.Length.Inside += run
	} else {
		e.Length.Outside += run
	}
	e.Length.Leads += leads
	e.Pierces++
	e.Starts++
}

// loose counts open cuts and marks.
func (g *gathered) loose() {
	e, s := g.e, g.sheet
	stop := func(p geom.Path, stage int) {
		e.Starts++
		g.stops = append(g.stops, paths.Stop{Start: p[0].A, End: p[len(p)-1].B, Stage: stage, Group: -1, Before: -1})
	}
	for i := range s.Open {
		o := &s.Open[i]
		switch {
		case len(o.Pieces) == 0:
		case o.Loose:
			g.marks++
		default:
			t, slow := e.Pace.RunTime(o.Pieces, false)
			g.run, g.slow = g.run+t, g.slow+slow
			g.open++
			e.Length.Open += o.Length
			e.Length.Drawn += o.Length
			e.Pierces++
			stop(o.Pieces, 1)
		}
	}
	for i := range s.Etch {
		if o := &s.Etch[i]; len(o.Pieces) > 0 {
			e.Length.Etch += o.Pieces.Length()
			stop(o.Pieces, 0)
		}
	}
}

// Run is a run of the stream along an outline.
type Run struct {
	Path   geom.Path
	Closed bool // all of the outline
}

// Runs returns the runs of an outline between its tabs, the whole of it where it
// has none.
func Runs(o *outline.Outline) []Run {
	n := len(o.Pieces)
	tab := func(i int) bool { k := i % n; return k < len(o.Flags) && o.Flags[k]&outline.IsTab != 0 }
	from := -1
	for i := range n {
		if tab(i) && !tab(i+1) {
			from = i + 1
			break
		}
	}
	if from < 0 {
		if n == 0 || tab(0) {
			return nil
		}
		return []Run{{o.Pieces, true}}
	}
	var out []Run
	begun := false
	for i := from; i < from+n; i++ {
		if tab(i) {
			begun = false
			continue
		}
		if !begun {
			out, begun = append(out, Run{}), true
		}
		r := &out[len(out)-1]
		r.Path = append(r.Path, o.Pieces[i%n])
	}
	return out
}

// CutLength returns the length of an outline that is cut, mm: tabs are left out,
// and gaps that were bridged in judging it, which nobody drew.
func CutLength(o *outline.Outline) float64 {
	var l float64
	for i := range o.Pieces {
		if i >= len(o.Flags) || o.Flags[i]&(outline.IsTab|outline.IsBridge) == 0 {
			l += o.Pieces[i].Length()
		}
	}
	return l
}
