package kit

import (
	"slices"

	"sluice/fix/fit"
	"sluice/lint/job"
)

// OptionsFor returns what suits a job, and the thicknesses that sheet comes in.
func OptionsFor(j *job.Job, stock []float64) Options {
	o := DefaultOptions()
	o.Sheet, o.Stock, o.Mixed = j.Sheet.Thickness, stock, len(j.Thicknesses()) > 1
	if j.Fit.Measured > 0 {
		o.Sheet = j.Fit.Measured
	}
	return o
}

// TargetOf returns the sheet that slots are to suit under a job, and where its
// tolerance comes from ("measured", "job", a standard, or "" for none). ok is
// false while the job states no thickness. Of several sheets it is the main one.
func TargetOf(j *job.Job) (t fit.Target, source string, ok bool) {
	t = fit.Target{Thickness: j.Sheet.Thickness, Clearance: j.Fit.Gap(), Taper: j.SlotTaper()}
	switch {
	case j.Fit.Measured > 0:
		t.Thickness, source = j.Fit.Measured, "measured"
	case t.Thickness <= 0:
		return t, "", false
	case j.Fit.Tolerance > 0:
		t.Minus, t.Plus, source = j.Fit.Tolerance, j.Fit.Tolerance, "job"
	default:
		width := 0.0
		if len(j.Sheet.Size) == 2 {
			width = min(j.Sheet.Size[0], j.Sheet.Size[1])
		}
		if b, known := fit.Stock(j.Sheet.Material, t.Thickness, width); known {
			t.Minus, t.Plus, source = b.Minus, b.Plus, b.Source
		}
	}
	return t, source, true
}

// Sheets is what the parts of a kit are cut from.
type Sheets struct {
	list   []sheet
	of     []int // by part: index in list
	mate   map[int]int32
	across map[int]int32
}

// sheet is one of them, with where its tolerance comes from.
type sheet struct {
	fit.Target
	source string
}

// OneSheet returns sheets of which there is one.
func OneSheet(t fit.Target, source string) *Sheets { return &Sheets{list: []sheet{{t, source}}} }

// SheetsOf returns what the parts of a kit, by their names, are cut from under a job. ok is
// false while it states no thickness.
func SheetsOf(k *Kit, j *job.Job, names []string) (s *Sheets, ok bool) {
	main, source, ok := TargetOf(j)
	if !ok {
		return nil, false
	}
	s = OneSheet(main, source)
	kinds := j.Sheets()
	if len(kinds) < 2 {
		return s, true
	}
	at := make([]int, len(kinds)) // by kind: index in list
	for i := range kinds {
		if i == j.MainSheet() {
			continue
		}
		own := j.OnSheet(i)
		own.Fit.Measured = 0 // that is of the main sheet
		if t, source, ok := TargetOf(own); ok {
			at[i] = len(s.list)
			s.list = append(s.list, sheet{t, source})
		}
	}
	s.of = make([]int, len(k.Sheet.Parts))
	for p := range s.of {
		if p < len(names) {
			s.of[p] = at[j.SheetOf(names[p])]
		}
	}
	s.mate, s.across = k.mates()
	return s, true
}

// Main returns the sheet of the parts that no other takes.
func (s *Sheets) Main() *fit.Target { return &s.list[0].Target }

// Of returns the sheet that a part is cut from.
func (s *Sheets) Of(part int32) *fit.Target { return &s.list[s.index(part)].Target }

func (s *Sheets) index(part int32) int {
	if int(part) < len(s.of) {
		return s.of[part]
	}
	return 0
}

// Several reports whether the parts are cut from more than one sheet.
func (s *Sheets) Several() bool { return len(s.list) > 1 }

// Meets returns the sheet of what meets a joint (index in Joints): what goes into a slot,
// crosses a notch, or takes a tab, and where its tolerance comes from. Where a joint has no
// mate it is the sheet of most parts that were drawn as thick as what it was drawn for.
func (s *Sheets) Meets(k *Kit, joint int) (t *fit.Target, source string) {
	i := s.through(k, joint)
	return &s.list[i].Target, s.list[i].source
}

// Through returns what a joint is to suit: the sheet that meets it, as thick as a slot or notch
// has it where that enters at an angle.
func (s *Sheets) Through(k *Kit, joint int) *fit.Target {
	t, _ := s.Meets(k, joint)
	if j := &k.Joints[joint]; j.Angle > 0 && (j.Kind == Slot || j.Kind == Notch) {
		at := t.At(j.Angle, s.Of(j.Part).Thickness)
		t = &at
	}
	return t
}

func (s *Sheets) through(k *Kit, joint int) int {
	if !s.Several() {
		return 0
	}
	if p, ok := s.mate[joint]; ok {
		return s.index(p)
	}
	j := &k.Joints[joint]
	if j.Kind == Slot || j.Kind == Notch {
		return s.like(k, k.SheetFor(j.Width))
	}
	return s.like(k, j.Depth)
}

// Across returns the sheet of what an edge (index in Edges) meets.
func (s *Sheets) Across(k *Kit, edge int) *fit.Target {
	if !s.Several() {
		return s.Main()
	}
	if p, ok := s.across[edge]; ok {
		return s.Of(p)
	}
	return &s.list[s.like(k, k.Edges[edge].Depth)].Target
}

// like returns the sheet of most of the parts that were drawn for a thickness.
func (s *Sheets) like(k *Kit, drawn float64) int {
	count := make([]int, len(s.list))
	for p, i := range s.of {
		if within(k.PlateOf(int32(p)), drawn, flushLeast, flushShare) {
			count[i]++
		}
	}
	return slices.Index(count, slices.Max(count))
}

// mates returns by joint and by edge the part that meets it.
func (k *Kit) mates() (joint, edge map[int]int32) {
	joint, edge = map[int]int32{}, map[int]int32{}
	put := func(of map[int]int32, i int, part int32) {
		if _, ok := of[i]; !ok && i >= 0 {
			of[i] = part
		}
	}
	for i := range k.Pairs {
		p := &k.Pairs[i]
		put(joint, p.JointA, p.PartB)
		put(joint, p.JointB, p.PartA)
		put(edge, p.EdgeA, p.PartB)
		put(edge, p.EdgeB, p.PartA)
		for _, j := range [2]int{p.JointA, p.JointB} {
			if j >= 0 {
				other := p.PartB
				if j == p.JointB {
					other = p.PartA
				}
				put(edge, k.Joints[j].Edge, other)
			}
		}
	}
	for e, part := range edge {
		for _, j := range k.Edges[e].Joints {
			put(joint, j, part)
		}
	}
	return joint, edge
}
