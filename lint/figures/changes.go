package figures

import (
	"slices"

	"sluice/fix/diff"
	"sluice/geom"
)

// Changes is what differs between two drawings, with what is told of it in sum.
type Changes struct {
	*diff.Diff
	// What differs besides the motion of the whole drawing, by verdict: parts, and
	// holes of parts of which nothing else differs.
	PartCount, HoleCount map[diff.Verdict]int
	Outside              []bool       // by part: its outline differs, not a hole alone
	OpenDiffer           bool         // open cuts differ
	Single               *diff.Motion // of a drawing of one part that moved: that part's; else nil
	Mended               float64      // how far repairs move outlines at most, mm
	Lettering            map[diff.Change]Strokes
}

// Strokes are etched strokes of numbers.
type Strokes struct {
	Paths  int
	Length float64 // mm
}

// ChangesOf sums up what differs.
func ChangesOf(d *diff.Diff) *Changes {
	c := &Changes{Diff: d, PartCount: map[diff.Verdict]int{}, HoleCount: map[diff.Verdict]int{}, Lettering: map[diff.Change]Strokes{}}
	for i := range d.Parts {
		p := &d.Parts[i]
		outside := outsideDiffers(d, p)
		c.Outside = append(c.Outside, outside)
		c.Mended = max(c.Mended, p.Repaired)
		if p.Verdict != diff.Reshaped || p.Mirrored || p.Measure.Kind != diff.NoMeasure || len(p.Holes) == 0 || p.Shift != (geom.Point{}) || outside {
			c.PartCount[p.Verdict]++
			continue
		}
		for k := range p.Holes {
			c.HoleCount[p.Holes[k].Verdict]++
		}
	}
	for i := range d.Lines {
		l := &d.Lines[i]
		c.OpenDiffer = c.OpenDiffer || l.Open
		if l.Lettering {
			s := c.Lettering[l.Change]
			c.Lettering[l.Change] = Strokes{s.Paths + l.Paths, s.Length + l.Length}
		}
	}
	if n := d.Count; n.Same+n.Changed() == 1 && (n.Moved+n.Turned+n.Scaled == 1 || d.Parts[0].Mirrored) {
		m := diff.MotionOf(d.Parts[0].Lay, 1)
		m.Scale = d.Parts[0].Scale
		c.Single = &m
	}
	return c
}

// outsideDiffers reports whether the deviation of a reshaped part is not that of a
// hole which is told apart.
func outsideDiffers(d *diff.Diff, p *diff.Part) bool {
	if p.Deviation <= d.Tolerance {
		return false
	}
	for i := range p.Holes {
		if h := &p.Holes[i]; h.Verdict == diff.Moved && h.Shift.Norm() == p.Deviation || h.Verdict == diff.Reshaped && h.Deviation == p.Deviation {
			return false
		}
	}
	return true
}

// Overlay is what a picture of two drawings over each other shows besides their
// lines: before first.
type Overlay struct {
	Frame  geom.Box // all there is to show
	Shown  geom.Box // what is shown at first: what is cut
	Pieces int
	Labels [2][]Label        // of parts that do not carry their number etched
	Apart  [2][]diff.Apart   // what one of the drawings shows and the comparison leaves out
	Lay    [2]geom.Transform // how what is apart lies in the picture
}

// Overlay makes the picture of both drawings.
func (c *Changes) Overlay() *Overlay {
	o := &Overlay{
		Pieces: PieceCount(c.Laid.Sheet) + PieceCount(c.After.Sheet),
		Apart:  [2][]diff.Apart{slices.Concat(c.After.Hidden, c.Before.Noted), slices.Concat(c.Before.Hidden, c.After.Noted)},
		Lay:    [2]geom.Transform{geom.Identity(), geom.Identity()},
	}
	if c.Whole != nil {
		o.Lay[0] = c.Whole.Lay
	}
	box := BoxOf(c.Laid.Sheet).Union(BoxOf(c.After.Sheet))
	for k := range o.Apart {
		for _, a := range o.Apart[k] {
			for _, path := range a.Drawn {
				if o.Lay[k] != geom.Identity() {
					path = path.Transform(o.Lay[k])
				}
				box = box.Union(path.Box())
			}
		}
	}
	o.Frame, o.Shown = Framed(box), shownOf(cutBox(c.Laid.Sheet).Union(cutBox(c.After.Sheet)), box)
	for k, s := range []*diff.Side{c.Laid, c.After} {
		numbered := map[int]bool{} // parts that carry their number already
		for i := range s.Texts {
			if s.Texts[i].Number {
				numbered[s.Texts[i].Part] = true
			}
		}
		o.Labels[k] = labelsOf(s.Sheet, o.Frame.Diagonal(), func(i int) string {
			if numbered[i] || i >= len(s.Names) {
				return ""
			}
			return s.Names[i]
		})
	}
	return o
}
