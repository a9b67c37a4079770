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

// SubjectKind says what kind of thing a finding is about.
type SubjectKind uint8

// Kinds of subject. A finding about several things, or about none, has none.
const (
	NoSubject SubjectKind = iota
	OfPart                // Index is in Sheet.Parts
	OfOutline             // Index is in Sheet.Outlines
	OfStroke              // Index is in Drawing.Strokes
	OfGap                 // Index is in Sheet.Gaps
)

// Subject names the one thing a finding is about by its index in the sheet or
// drawing of the same result; it means nothing in any other.
type Subject struct {
	Kind  SubjectKind
	Index int32
}

// AboutPart returns part k as a subject.
func AboutPart(k int) Subject { return Subject{OfPart, int32(k)} }

// AboutOutline returns outline i as a subject.
func AboutOutline(i int32) Subject { return Subject{OfOutline, i} }

// AboutStroke returns stroke s as a subject, none where s is no stroke's.
func AboutStroke(s int32) Subject {
	if s < 0 {
		return Subject{}
	}
	return Subject{OfStroke, s}
}

// AboutGap returns gap i as a subject.
func AboutGap(i int) Subject { return Subject{OfGap, int32(i)} }

// Fact says what a finding is about in a few shop words, so that those that say
// the same can be told in one line with a count. A "#" stands for the measure.
type Fact struct {
	One   string // one of them: "slot # wide"; it may name another part
	Many  string // several: "slots # wide"; findings are told together where Many and Why are the same
	Why   string // what is wrong with them: "narrower than the 1 mm kerf"; may be ""
	Says  bool   // One is what the part does: "can tip between the slats"
	Whole bool   // it concerns the drawing as a whole, and is told before what concerns a part
}

// Finding is one flaw at one place.
type Finding struct {
	Rule     string
	Severity Severity
	Message  string
	Fact     Fact
	At       geom.Point // mm
	Box      geom.Box
	Layer    string
	Entities []string // handles, or #N
	Part     string   // the part's number, "" if it belongs to none
	Subject  Subject  // what it is about, where that is one thing
	Measure  *Measure
	Repair   Repair
	ID       string // stable across runs and machines
	Key      string // by what it is known where its place says nothing, such as a layer; "": by its place
	Fixes    []fix.Fix

	Choices            []Way  // ways to settle it, job.Leave last; none where it is repaired unasked
	Answer, AnswerNote string // the choice that a person has made, and why
}
