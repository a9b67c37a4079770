package figures

import (
	"slices"

	"sluice/geom"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/cutting/paths"
)

// List is what hangs at the machine while a sheet is cut: the order, and what
// comes off the sheet.
type List struct {
	*lint.Repaired
	Sheet    string // which sheet of a layout, "" where there is one
	Side     *Side  // the corrected drawing
	Frame    geom.Box
	Plan     *paths.Plan       // nil: nothing can be run
	Estimate *cutting.Estimate // nil: not known
	Schedule *Schedule
	Steps    []Step
	Total    Step    // all steps together; Until is the whole time
	Low      float64 // how much shorter and longer than told all may take, as factors
	High     float64
	Slats    string // the direction of the slats and where it matters
	Hazard   string // what is dangerous or does not work with the sheet's material
}

// Step is a stretch of the plan: runs in a row on one part, or marks in a row.
type Step struct {
	First, Last            int // runs, from 1, as they are numbered in the file of paths
	Part                   int // index in Sheet.Parts, -1: marks and what belongs to none
	Marks, Holes, Outsides int // runs of each kind
	Pierces                int
	Length                 float64    // run with the stream open, mm
	Time, Until            float64    // s: for it, and since the start; 0: not known
	Raised                 int        // moves before its runs for which the head must be raised
	Loose                  bool       // the part comes loose
	At                     geom.Point // where it begins
}

// mostPictured is how many lines and arcs a drawing may have to be drawn twice on
// a page: whole, and part by part.
const mostPictured = 60000

// ListOf makes the list of a corrected drawing, sheet names it among the sheets
// of a layout.
func ListOf(done *lint.Repaired, sheet string) *List {
	after := done.After
	l := &List{Repaired: done, Sheet: sheet, Low: 1, High: 1, Side: sideOf(after, nil), Schedule: ScheduleOf(after), Estimate: EstimateOf(after), Slats: lint.SlatNote(after.Job, len(done.Tabs) > 0)}
	p := &Page{Before: l.Side}
	p.frame(l.Side)
	l.Frame = p.Frame
	etched := map[string]bool{}
	for _, t := range done.Labels {
		etched[lint.Clean(t.Part)], etched[lint.Clean(t.Text)] = true, true
	}
	l.Side.label(p, etched)
	m, _ := cutting.FindMaterial(after.Job.Sheet.Material, after.Job.Material)
	l.Hazard = m.Hazard
	if after.Sheet == nil {
		return l
	}
	plan := &paths.Plan{}
	if l.Estimate != nil && l.Estimate.Plan != nil {
		plan = l.Estimate.Plan
	} else if len(after.Sheet.Outlines)+len(after.Sheet.Etch) > 0 {
		plan = cutting.Paths(after.Sheet, after.Job, after.Extents)
	}
	if len(plan.Cuts) > 0 {
		plan.Names = after.Names
		l.Plan = plan
		l.addSteps()
	}
	return l
}

// Pictured reports whether each part may be drawn for itself.
func (l *List) Pictured() bool { return PieceCount(l.After.Sheet) <= mostPictured }

// addSteps gathers the runs into steps.
func (l *List) addSteps() {
	s, plan := l.After.Sheet, l.Plan
	var pace cutting.Pace
	if l.Estimate != nil {
		pace = l.Estimate.Pace
	}
	known := pace.Cut > 0
	if known {
		t := l.Estimate.Time.Total
		l.Low, l.High = t.Low/t.Likely, t.High/t.Likely
	}
	on, off := cutting.RunTimes(&pace, s, plan)
	freed := map[int32]bool{} // by the cut that frees a part
	for _, f := range plan.Freed(s) {
		if !f.Slug {
			freed[f.By] = true
		}
	}
	for i := range plan.Cuts {
		c := &plan.Cuts[i]
		mark := c.Kind == paths.Etch
		part := int(c.Part)
		if mark {
			part = -1
		}
		n := len(l.Steps) - 1
		if n < 0 || l.Steps[n].Part != part || (l.Steps[n].Marks > 0) != mark {
			l.Steps = append(l.Steps, Step{First: i + 1, Part: part, At: c.Start()})
			n++
		}
		st := &l.Steps[n]
		st.Last = i + 1
		switch c.Kind {
		case paths.Etch:
			st.Marks++
		case paths.Inside:
			st.Holes++
		case paths.Outside:
			st.Outsides++
		}
		if !mark {
			st.Pierces++
		}
		st.Length += c.In.Length() + c.Run.Length() + c.Over.Length() + c.Out.Length()
		st.Loose = st.Loose || freed[int32(i)]
		if Raised(plan, i) {
			st.Raised++
		}
		if known {
			st.Time += on[i] + off[i]
		}
	}
	for i := range l.Steps {
		l.Total.add(&l.Steps[i])
		l.Steps[i].Until = l.Total.Until
	}
}

// add adds a step to the total.
func (t *Step) add(s *Step) {
	t.Marks, t.Holes, t.Outsides, t.Pierces = t.Marks+s.Marks, t.Holes+s.Holes, t.Outsides+s.Outsides, t.Pierces+s.Pierces
	t.Length, t.Time, t.Raised = t.Length+s.Length, t.Time+s.Time, t.Raised+s.Raised
	t.Last, t.Until = max(t.Last, s.Last), t.Until+s.Time
}

// MoveTo returns the move before cut i of a plan, nil where there is none.
func MoveTo(p *paths.Plan, i int) *paths.Move {
	if i == 0 || i >= len(p.Moves) {
		return nil
	}
	return &p.Moves[i]
}

// PartTime returns how long, s, all runs of the parts of a row take, moves and
// marks left out; 0: not known.
func (l *List) PartTime(row *Row) (t float64) {
	for i := range l.Steps {
		if st := &l.Steps[i]; st.Part >= 0 && slices.Contains(row.Parts, st.Part) {
			t += st.Time
		}
	}
	return t
}
