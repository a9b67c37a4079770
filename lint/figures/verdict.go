package figures

import (
	"strings"

	"sluice/geom/drawing"
	"sluice/lint"
	"sluice/lint/job"
)

// Verdict is what a report says first of a drawing: how it stands to its sheet,
// what was found in facts, and under what settings.
type Verdict struct {
	*lint.Stand
	*Facts
	Made    bool          // the repair made joints suit that did not
	Job     *job.Job      // nil where there is none
	Unit    *drawing.Unit // nil where none is settled
	Tally   lint.Tally
	Parts   int
	Inches  bool   // figures are to be told in inches
	Refit   bool   // the job asks for the joints to be refitted
	Refused bool   // that could not be done by this repair
	Play    *Play  // of the joints once they were made to suit; nil where they were not
	Scaled  string // what the scaling of the whole kit came to; "" for none
}

// Unfit returns how many slots, notches and finger edges do not suit the sheet.
func (v *Verdict) Unfit() int { return v.Tight + v.Loose + v.Fingers }

// mostFacts is how many facts of a drawing are told before those that lie on
// several parts are told together: what goes on one screen.
const mostFacts = 10

// Verdict sums up a drawing that was checked.
func (f *File) Verdict() *Verdict {
	v := verdictOf(f.Result, f.Unit, f.Counts.Parts)
	v.Tally, v.Facts = f.Tally, factsOf(f.Findings, v.Stand, false, mostFacts)
	return v
}

// Verdict sums up a repair: how the drawing stands after it, and what is left.
func (r *Repair) Verdict() *Verdict {
	v := verdictOf(r.After, r.Unit, r.Counts.Parts)
	was, now := r.Before.Stand(), *v.Stand
	now.Drawn, now.Guessed = was.Drawn, was.Guessed
	v.Stand, v.Inches = &now, r.Inches()
	v.Refused = v.Refit && v.Unfit() > 0
	v.Made = was.Tight+was.Loose+was.Fingers > v.Unfit()
	if s := slotsOf(r.After); s != nil && (v.Refit || v.Made) {
		v.Play = s.Play
	}
	for i := range r.Edits {
		if k := &r.Edits[i]; k.Name == "scale" {
			v.Scaled = strings.TrimPrefix(k.Edits[0].Note, "all ")
		}
	}
	v.Tally, v.Facts = r.LeftTally, factsOf(r.Left, v.Stand, true, mostFacts)
	return v
}

func verdictOf(r *lint.Result, u *drawing.Unit, parts int) *Verdict {
	v := &Verdict{Stand: r.Stand(), Unit: u, Parts: parts, Inches: r.Inches()}
	if r != nil && r.Job != nil {
		v.Job, v.Refit = r.Job, r.Job.Fit.Refit == "slots"
	}
	return v
}
