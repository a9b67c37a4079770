package report

import (
	"errors"
	"io"

	"sluice/lint"
)

// explainSVG draws the flaw of the one rule asked for.
func explainSVG(w io.Writer, m *Manual) error {
	if len(m.Chosen) != 1 {
		return errors.New("--format svg draws one rule; write sluice explain RULE --format svg")
	}
	r := &m.Chosen[0]
	x := m.Flaw(r.ID)
	if x == nil {
		return errors.New(r.ID + ": there is no picture of this rule")
	}
	return x.draw(w, x.Bad, r.ID+": "+r.Title)
}

// draw draws one side of a flaw, with a dot for each finding of the rule.
func (x *Flaw) draw(w io.Writer, r *lint.Result, title string) error {
	return sheetSVG(w, r.Sheet, x.Window, r.Findings, 420, title)
}
