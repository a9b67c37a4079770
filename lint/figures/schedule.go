package figures

import (
	"cmp"
	"slices"

	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint"
	"sluice/lint/cutting"
	"sluice/lint/kit"
)

// Schedule is the part schedule of a drawing: rows by number, parts without one
// last.
type Schedule struct {
	Rows []Row
	Sums Sums
}

// Row is one line of the schedule: all parts of one number and label.
type Row struct {
	Number        string
	Count         int
	Width, Height float64 // of the first of them as it lies, mm
	Area          float64 // of one part less its holes, mm2
	CutLength     float64 // of one part, tabs left out, mm
	Pierces       int     // of one part: one for each run of cut
	Tabs          int     // of one part
	Layer         string
	Name          string
	At            []geom.Point // the middle of each, in reading order
	Box           geom.Box     // of all of them
	Parts         []int        // index in Sheet.Parts of each
	GoesInto      []string     // numbers of the parts that take its tabs; only where the joints were looked for
	Takes         []string     // numbers of the parts whose tabs it takes
	Joints        Joints

	all Sums // of all of them
}

// Sums are the totals of a schedule, copies counted; copies may have other tabs.
type Sums struct {
	Parts, Pierces, Tabs int
	Area, Cut            float64 // mm2, mm
}

// Joints are the joints of one part of a row.
type Joints struct {
	Slots, Notches, Tabs, Fingers int
	Free                          int // joints without a mate, on all parts of the row
}

// Parts is the part schedule of a drawing with its joints.
type Parts struct {
	*Schedule
	*lint.Result
	Slots *Slots // nil where no thickness is set, or nothing fits into anything
}

// PartsOf makes the schedule of a judged drawing, with its joints.
func PartsOf(r *lint.Result) *Parts {
	s := ScheduleOf(r)
	s.addJoints(r)
	return &Parts{s, r, slotsOf(r)}
}

// Page makes the page of the schedule.
func (p *Parts) Page() *Page { return pageOf(p.Result, nil, p.Schedule) }

// ScheduleOf makes the schedule of a judged drawing, empty without a sheet.
func ScheduleOf(r *lint.Result) *Schedule {
	s := &Schedule{}
	if r == nil || r.Sheet == nil {
		return s
	}
	type key struct {
		number int
		label  string
	}
	at := map[key]int{}
	for i := range r.Sheet.Parts {
		p := &r.Sheet.Parts[i]
		of := sumsOf(r.Sheet, p)
		k := key{p.Number, r.Name(i)}
		j, ok := at[k]
		if !ok {
			j = len(s.Rows)
			s.Rows = append(s.Rows, firstRow(r, p, k.label, of))
			if k != (key{}) { // parts without a number have a row each
				at[k] = j
			}
		}
		row := &s.Rows[j]
		row.Count++
		row.At = append(row.At, p.Box.Center())
		row.Parts = append(row.Parts, i)
		if p.Box.Finite() {
			row.Box = row.Box.Union(p.Box)
		}
		row.all.add(of)
	}
	unnumbered := func(r *Row) int {
		if r.Number == "" {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(s.Rows, func(a, b Row) int {
		return cmp.Or(cmp.Compare(unnumbered(&a), unnumbered(&b)), lint.CompareNames(a.Number, b.Number))
	})
	for i := range s.Rows {
		row := &s.Rows[i]
		row.all.Area = float64(row.Count) * lint.Finite(row.Area)
		s.Sums.add(row.all)
	}
	return s
}

func (s *Sums) add(t Sums) {
	s.Parts += t.Parts
	s.Pierces += t.Pierces
	s.Tabs += t.Tabs
	s.Area += t.Area
	s.Cut += t.Cut
}

// sumsOf counts one part.
func sumsOf(sheet *outline.Sheet, p *outline.Part) Sums {
	s := Sums{Parts: 1}
	for _, i := range outlinesOf(sheet, p) {
		o := &sheet.Outlines[i]
		s.Cut += lint.Finite(cutting.CutLength(o))
		s.Pierces += len(cutting.Runs(o))
		s.Tabs += o.Tabs
	}
	return s
}

// outlinesOf returns the outlines of a part, its outside first.
func outlinesOf(s *outline.Sheet, p *outline.Part) []int32 {
	return slices.DeleteFunc(append([]int32{p.Outer}, p.Holes...), func(o int32) bool { return o < 0 || int(o) >= len(s.Outlines) })
}

func firstRow(r *lint.Result, p *outline.Part, number string, of Sums) Row {
	row := Row{Number: number, Name: nameOf(r, number), Area: p.Area, CutLength: of.Cut, Pierces: of.Pierces, Tabs: of.Tabs, Box: geom.NoBox()}
	if p.Box.Finite() {
		row.Width, row.Height = p.Box.W(), p.Box.H()
	}
	if p.Outer >= 0 && int(p.Outer) < len(r.Sheet.Outlines) {
		row.Layer = layerOf(r, &r.Sheet.Outlines[p.Outer].Path)
	}
	return row
}

// nameOf returns the name that a person has given a part, "" for none.
func nameOf(r *lint.Result, number string) string {
	if r.Job == nil {
		return ""
	}
	if p := r.Job.Answers.OfPart(number); p != nil {
		return p.Name
	}
	return ""
}

// layerOf returns the layer of the first drawn stroke of a path that is cut.
func layerOf(r *lint.Result, p *outline.Path) string {
	if r.Drawing == nil {
		return ""
	}
	for i, s := range p.Src {
		tab := i < len(p.Flags) && p.Flags[i]&outline.IsTab != 0
		if !tab && s >= 0 && int(s) < len(r.Drawing.Strokes) {
			return r.Drawing.LayerName(r.Drawing.Strokes[s].Layer)
		}
	}
	return ""
}

// kitOf returns the joints of the parts, nil without a sheet.
func kitOf(r *lint.Result) *kit.Kit {
	switch {
	case r.Sheet == nil:
		return nil
	case r.Kit == nil: // made without judging
		return lint.FindKit(r.Sheet, r.Job)
	}
	return r.Kit()
}

// addJoints fills in which parts of a slot-together kit go into which: for each
// row the numbers whose slots, notches or edges take its tabs, the numbers whose
// tabs it takes, and how many joints it has.
func (s *Schedule) addJoints(r *lint.Result) {
	k := kitOf(r)
	if k == nil {
		return
	}
	label := map[int]string{} // a number of the kit -> what the parts are called
	for i := range r.Sheet.Parts {
		if n := r.Sheet.Parts[i].Number; label[n] == "" {
			label[n] = r.Name(i)
		}
	}
	names := func(list []int) (out []string) {
		for _, n := range list {
			out = append(out, label[n])
		}
		return out
	}
	byLabel := map[string]*kit.Line{}
	lines := k.Schedule()
	for i := range lines {
		byLabel[label[lines[i].Number]] = &lines[i]
	}
	for i := range s.Rows {
		row := &s.Rows[i]
		if l := byLabel[row.Number]; l != nil && row.Number != "" {
			row.GoesInto, row.Takes = names(l.GoesInto), names(l.Takes)
			row.Joints = Joints{l.Slots, l.Notches, l.Tabs, l.Fingers, l.Free}
		}
	}
}

// Jointed reports whether any part has joints.
func (s *Schedule) Jointed() bool {
	return slices.ContainsFunc(s.Rows, func(r Row) bool { return r.Joints != Joints{} })
}
