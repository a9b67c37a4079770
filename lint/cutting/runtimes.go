package cutting

import (
	"sluice/geom/outline"
	"sluice/lint/cutting/paths"
)

// RunTimes returns how long each run of a plan takes at a pace, s: with the stream
// open, pierce included, and before that to get there and start. What an outline's
// corners slow the head down is shared out among its runs by their length, so that
// all add up to the estimate of what is planned.
func RunTimes(p *Pace, s *outline.Sheet, plan *paths.Plan) (on, off []float64) {
	length := make([]float64, len(s.Outlines))
	for i := range plan.Cuts {
		if c := &plan.Cuts[i]; c.Outline >= 0 {
			length[c.Outline] += c.Run.Length()
		}
	}
	slow := make([]float64, len(s.Outlines)) // of each mm
	for i := range s.Outlines {
		if length[i] > 0 {
			for _, run := range Runs(&s.Outlines[i]) {
				_, more := p.RunTime(run.Path, run.Closed)
				slow[i] += more / length[i]
			}
		}
	}
	for i := range plan.Cuts {
		c := &plan.Cuts[i]
		before := p.Start
		if i < len(plan.Moves) {
			before += plan.Moves[i].Length() / p.Rapid * 60
		}
		open := c.Run.Length() / p.Etch * 60
		if c.Kind != paths.Etch {
			open = (c.In.Length()+c.Run.Length()+c.Over.Length()+c.Out.Length())/p.Cut*60 + p.Pierce
			if c.Outline >= 0 {
				open += slow[c.Outline] * c.Run.Length()
			}
		}
		on, off = append(on, open), append(off, before)
	}
	return on, off
}
