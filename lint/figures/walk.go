package figures

import (
	"sluice/lint/cutting"
	"sluice/lint/cutting/paths"
)

// Walk is a plan to be gone through step by step: how long each run takes, and
// which pieces are loose from when on.
type Walk struct {
	Plan  *paths.Plan
	Freed []paths.Freed
	On    []float64 // by run: how long with the stream open, s
	Off   []float64 // by run: how long to get there and start, s
	Timed bool      // the times are those of the estimate; else of a head at a common pace
}

// mostWalked is how many runs a plan may have to be gone through on a page.
const mostWalked = 6000

// nominal is the pace of a plan for which no speed is known: only the shares of
// the times count.
var nominal = cutting.Pace{Cut: 500, Fine: 500, Etch: 2500, Rapid: 10000, Pierce: 2, Start: 1}

// walkOf makes the walk through the plan of a page, nil where there is none or it
// has too many runs.
func walkOf(p *Page) *Walk {
	if p.Plan == nil || len(p.Plan.Cuts) > mostWalked || p.After.Sheet == nil {
		return nil
	}
	w := &Walk{Plan: p.Plan, Freed: p.Plan.Freed(p.After.Sheet)}
	pace := &nominal
	if p.Estimate != nil && p.Estimate.Pace.Cut > 0 {
		pace, w.Timed = &p.Estimate.Pace, true
	}
	w.On, w.Off = cutting.RunTimes(pace, p.After.Sheet, p.Plan)
	return w
}

// Raised reports whether the head must be raised on the way to a run: something
// lies in the way that it was not led around.
func Raised(p *paths.Plan, run int) bool {
	m := MoveTo(p, run)
	return m != nil && (m.Over > 0 || m.Clamp > 0)
}
