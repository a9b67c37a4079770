package figures

import (
	"sluice/fix"
	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/cutting"
)

// Check is what a check of drawings came to.
type Check struct {
	Files      []File // in the order given
	Totals     lint.Tally
	Unreadable int
}

// File is one drawing of a check.
type File struct {
	*lint.Result
	Findings []lint.Finding // in reading order
	Tally    lint.Tally
	Counts   lint.Counts
	Unit     *drawing.Unit // nil where none is settled
	Sum      *lint.Account // what became of its entities; nil where it could not be read
	ByRule   [][]lint.Finding
}

// CheckOf sums up judged drawings.
func CheckOf(results []*lint.Result) *Check {
	c := &Check{}
	for _, r := range results {
		f := FileOf(r)
		c.Totals = c.Totals.Plus(f.Tally)
		if r.Err != nil {
			c.Unreadable++
		}
		c.Files = append(c.Files, f)
	}
	return c
}

// FileOf sums up a judged drawing.
func FileOf(r *lint.Result) File {
	f := File{Result: r, Findings: lint.ReadingOrder(r.Findings), Tally: lint.TallyOf(r.Findings), Counts: r.Counts(), Unit: unitOf(r)}
	f.ByRule = lint.ByRule(f.Findings)
	if r.Err == nil && (r.Drawing != nil || r.Brief != nil) {
		f.Sum = &r.Account
	}
	return f
}

// Page makes the page of the drawing, which must not have been shortened.
func (f *File) Page() *Page {
	p := pageOf(f.Result, f.Findings, ScheduleOf(f.Result))
	p.Estimate = EstimateOf(f.Result)
	return p
}

func unitOf(r *lint.Result) *drawing.Unit {
	if u, ok := r.Unit(); ok {
		return &u
	}
	return nil
}

// Repair is what a repair came to.
type Repair struct {
	*lint.Repaired
	Unit                   *drawing.Unit  // nil where none is settled
	Was, Is                lint.Tally     // findings before and after
	Counts                 lint.Counts    // of the drawing after
	Edits, Undone, Skipped []Kind         // by kind
	Left                   []lint.Finding // for a person to decide, in reading order
	LeftByRule             [][]lint.Finding
	LeftTally              lint.Tally
	Holding                Holding
	Hazard                 string    // what is dangerous or does not work with the sheet's material; "" for nothing known
	Sheets                 []*Repair // of a layout on several sheets: each of them; all that is above is of all
}

// Kind is the edits of one kind, in the order made.
type Kind struct {
	Name  string
	Edits []fix.Edit
	// Of edits that put arcs in the place of lines or curves: how many there were,
	// how many there are, and how far they lie apart at most, mm.
	Was, Now int
	Far      float64
}

// RepairOf sums up a repair.
func RepairOf(done *lint.Repaired) *Repair {
	r := &Repair{
		Repaired: done, Unit: unitOf(done.Before), Counts: done.After.Counts(),
		Edits: kindsOf(done.Edits), Undone: kindsOf(done.Undone), Skipped: kindsOf(done.Skipped),
		Left: lint.ReadingOrder(done.Left), LeftTally: lint.TallyOf(done.Left),
	}
	r.LeftByRule = lint.ByRule(r.Left)
	if done.Before != nil {
		r.Was = lint.TallyOf(done.Before.Findings)
	}
	if done.After != nil {
		r.Is = lint.TallyOf(done.After.Findings)
		if j := done.After.Job; j != nil {
			m, _ := cutting.FindMaterial(j.Sheet.Material, j.Material)
			r.Hazard = m.Hazard
		}
		r.Holding = holdingOf(done.After, done.Tabs)
	}
	return r
}

// Inches tells whether figures are to be told in inches: by the drawing as it came,
// since the new one is always in mm.
func (r *Repair) Inches() bool { return r.Before.Inches() }

// Page makes the page of the repair.
func (r *Repair) Page() *Page { return repairPage(r.Repaired, r.Left) }

// kindsOf gathers edits by kind, kinds in the order in which they first come.
func kindsOf(edits []fix.Edit) []Kind {
	var kinds []Kind
	at := map[string]int{}
	for _, e := range edits {
		i, ok := at[e.Kind]
		if !ok {
			i = len(kinds)
			at[e.Kind] = i
			kinds = append(kinds, Kind{Name: e.Kind})
		}
		k := &kinds[i]
		k.Edits = append(k.Edits, e)
		k.Was, k.Now, k.Far = k.Was+e.Was, k.Now+e.Now, max(k.Far, e.Moved)
	}
	return kinds
}
