// Package report turns what was worked out about drawings into the bytes that
// people and other programs read: text, JSON, SARIF, JUnit XML, workflow
// annotations, HTML, CSV and SVG. It writes and reckons nothing: figures come from
// package figures, once for all forms. Formats lists the forms.
//
// Every writer is a pure function of its arguments: it reads no file, no clock
// and no package state, and writes the same bytes for the same values. Lengths
// are millimetres, areas square millimetres. Strings that come from a drawing
// are escaped for the format at hand; a number that is infinite or not a number
// is never written.
package report

import (
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/cutting/paths"
	"sluice/lint/figures"
)

// About is what every report may say besides what it is about.
type About struct {
	Version string
	Rules   []Rule
}

// Rule is all that is to be said about a rule.
type Rule struct {
	ID         string `json:"id"`
	Title      string `json:"title"`
	Severity   string `json:"severity"` // as set for the job
	Limit      string `json:"limit"`
	What       string `json:"what"` // what it looks for
	Why        string `json:"why"`  // why that matters under the jet
	Bad        string `json:"bad"`
	Good       string `json:"good"`
	Exceptions string `json:"exceptions"`
	Repair     string `json:"repair"` // auto, choice or none
	// Choices are the ways in which a person may settle a finding.
	Choices []string `json:"choices,omitempty"`
	Fix     string   `json:"fix"` // how it is put right
	Reason  string   `json:"reason"`
	Since   string   `json:"since"`
}

// byID finds rules by their id.
func (a *About) byID() map[string]*Rule {
	m := make(map[string]*Rule, len(a.Rules))
	for i := range a.Rules {
		m[a.Rules[i].ID] = &a.Rules[i]
	}
	return m
}

// Check is what the formats of lint write.
type Check struct {
	About
	*figures.Check
	FailOn lint.Severity // from which on JUnit fails a case; Off fails none
	Text   TextOptions
}

// Repair is what the formats of fix write.
type Repair struct {
	About
	*figures.Repair
}

// Changes is what the formats of diff write.
type Changes struct {
	About
	*figures.Changes
	All bool // text: every change, not only the first of each kind
}

// Parts is what the formats of parts write.
type Parts struct {
	About
	*figures.Parts
}

// Estimate is what the formats of estimate write.
type Estimate struct {
	About
	Path string
	Date string // printed on a quote; "" for none
	*cutting.Estimate
}

// Routes is a sheet with the paths to run over it.
type Routes struct {
	Title string
	Sheet *outline.Sheet
	Plan  *paths.Plan
}

// Manual is what the formats of explain write.
type Manual struct {
	About
	Chosen []Rule
	Short  bool                    // text: a line for each
	Flaw   func(rule string) *Flaw // judges the drawings of a rule, nil if there are none
}

// Flaw is a rule's pair of small drawings, judged.
type Flaw struct {
	Bad, Good *lint.Result
	Window    geom.Box   // the same piece of both
	At        geom.Point // of the finding to look at
	Stock     geom.Box   // of the sheet; empty where no size is set
}
