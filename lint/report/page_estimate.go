package report

import (
	"fmt"

	"sluice/lint/cutting"
	"sluice/lint/units"
)

// estimateFacts returns what a drawing takes to cut as facts for a page: none
// where it is not known (nil).
func estimateFacts(e *cutting.Estimate) []fact {
	if e == nil {
		return nil
	}
	span := func(s cutting.Span, write func(float64) string) string {
		return fmt.Sprintf("about %s (%s to %s)", write(s.Likely), write(s.Low), write(s.High))
	}
	u := units.Of(e.Inches)
	facts := []fact{{"To cut", fmt.Sprintf("%s without tabs and leads, %s with leads, %s",
		u.Run(e.Length.Drawn), u.Run(e.Length.Cut()), plural(e.Pierces, "pierce"))}}
	if e.Pace.Cut > 0 {
		facts = append(facts, fact{"Machine time", span(e.Time.Total, clock)},
			fact{"Abrasive", "about " + u.MassRange(e.Abrasive.Likely, e.Abrasive.Low, e.Abrasive.High)})
	}
	if e.PartsMass > 0 {
		facts = append(facts, fact{"Mass of the parts", u.Mass(e.PartsMass, 3)})
	}
	if e.BillHigh.Total() > 0 {
		facts = append(facts, fact{"Cost", span(cutting.Span{Likely: e.Bill.Total(), Low: e.BillLow.Total(), High: e.BillHigh.Total()},
			func(v float64) string { return fixed(v, 2) + " " + clean(e.Currency) })})
	}
	return facts
}
