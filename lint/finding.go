package lint

import (
	"sluice/fix"
	"sluice/geom"
)

// Severity grades a finding.
type Severity uint8

// Severities, from lightest to gravest; Off switches a rule off.
const (
	Off Severity = iota
	Note
	Warning
	Error
)

var severityNames = [...]string{"off", "note", "warning", "error"}

// String returns "off", "note", "warning" or "error".
func (s Severity) String() string { return severityNames[s] }

// ParseSeverity reads a severity's name.
func ParseSeverity(s string) (Severity, bool) {
	for i, n := range severityNames {
		if n == s {
			return Severity(i), true
		}
	}
	return Off, false
}

// Measure is the figure behind a finding.
type Measure struct {
	Name  string // "gap", "width", …
	Value float64
	Limit float64
	Unit  string // "mm", "deg", "share", …
}

// Repair says how a finding can be put right.
type Repair string

// Kinds of repair.
const (
	Auto   Repair = "auto"   // safe: done by fix
	Choice Repair = "choice" // changes a shape or a meaning: done when asked for
	None   Repair = "none"   // a person must redraw
)

// Finding is one flaw at one place.
type Finding struct {
	Rule     string
	Severity Severity
	Message  string
	At       geom.Point // mm
	Box      geom.Box
	Layer    string
	Entities []string // handles, or #N
	Part     string   // the part's number, "" if it belongs to none
	Measure  *Measure
	Repair   Repair
	ID       string // stable across runs and machines
	Fixes    []fix.Fix
}
