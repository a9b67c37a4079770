// Package report turns judged and repaired drawings into the bytes that people
// and other programs read: text, JSON, SARIF, JUnit XML, workflow annotations,
// HTML, CSV and SVG.
//
// Every writer is a pure function of its arguments: it reads no file, no clock
// and no package state, and writes the same bytes for the same values. Lengths
// are millimetres, areas square millimetres. Strings that come from a drawing
// are escaped for the format at hand; a number that is infinite or not a number
// is never written.
package report

import "sluice/lint"

// RuleDoc is what a report says about a rule besides its findings.
type RuleDoc struct {
	ID       string
	Title    string
	What     string        // what the rule looks for
	Why      string        // why it matters under the jet
	Repair   string        // how it is put right
	Severity lint.Severity // as set for the job
}
