package report

import (
	"strconv"
	"strings"

	"sluice/lint"
	"sluice/lint/kit"
)

// Joints are the joints of one part of a row.
type Joints struct {
	Slots, Notches, Tabs, Fingers int
	Free                          int // joints without a mate, on all parts of the row
}

// AddJoints fills in which parts of a slot-together kit go into which: for each
// row the numbers whose slots, notches or edges take its tabs, the numbers whose
// tabs it takes, and how many joints it has.
func AddJoints(rows []PartRow, r *lint.Result) {
	if r == nil || r.Sheet == nil {
		return
	}
	label := map[int]string{} // a number of the kit -> what the parts are called
	for i := range r.Sheet.Parts {
		if n := r.Sheet.Parts[i].Number; label[n] == "" {
			label[n] = partName(r, i)
		}
	}
	names := func(list []int) (out []string) {
		for _, n := range list {
			out = append(out, label[n])
		}
		return out
	}
	byLabel := map[string]*kit.Line{}
	lines := kit.Find(r.Sheet, lint.KitOptions(r.Job)).Schedule()
	for i := range lines {
		byLabel[label[lines[i].Number]] = &lines[i]
	}
	for i := range rows {
		if l := byLabel[rows[i].Number]; l != nil && rows[i].Number != "" {
			rows[i].GoesInto, rows[i].Takes = names(l.GoesInto), names(l.Takes)
			rows[i].Joints = Joints{l.Slots, l.Notches, l.Tabs, l.Fingers, l.Free}
		}
	}
}

// jointWords tells the joints of a row in a few words, "" if it has none.
func (p *PartRow) jointWords() string {
	var s []string
	add := func(n int, one, many string) {
		switch {
		case n == 1:
			s = append(s, "1 "+one)
		case n > 1:
			s = append(s, strconv.Itoa(n)+" "+many)
		}
	}
	add(p.Joints.Slots, "slot", "slots")
	add(p.Joints.Notches, "notch", "notches")
	add(p.Joints.Tabs, "tab", "tabs")
	add(p.Joints.Fingers, "finger edge", "finger edges")
	return strings.Join(s, ", ")
}

// anyJoints reports whether any row has joints, so that there is something for
// the columns about them.
func anyJoints(rows []PartRow) bool {
	for i := range rows {
		if rows[i].Joints != (Joints{}) {
			return true
		}
	}
	return false
}
