package diff

import (
	"sluice/geom"
	"sluice/geom/outline"
)

// Side is one of the two drawings that are compared. Lengths are mm.
type Side struct {
	Name    string  // the drawing's path as given
	Unit    string  // of the file
	Factor  float64 // mm in one
	Guessed bool    // the file states none
	Sheet   *outline.Sheet
	Names   []string   // what each part is called; may be short or nil
	Layers  [][]string // layers on which each part's outlines lie, sorted; may be short or nil
	Texts   []Text     // lettering that is not cut: numbers of parts, and all other
	Gap     float64    // gaps up to this width are closed as a repair, mm

	Entities int     // that draw anything
	Curves   int     // splines and ellipses among them
	Hidden   []Apart // layers hidden here and not in the other drawing
	Noted    []Apart // what the other drawing has set aside on its layer for notes
}

// Apart is what a side draws and a comparison leaves out.
type Apart struct {
	Layer    string // on which the side draws it, or hides it
	Why      string // "frozen", "off", …
	Paths    int    // outlines and other paths that the one side draws
	Entities int    // that the other hides
	Box      geom.Box
	Drawn    []geom.Path // the paths, in the axes of the drawing that shows them
}

// Text is lettering.
type Text struct {
	Value  string
	At     geom.Point // the middle of a number, else where the text starts
	Height float64    // mm
	Part   int        // the part it numbers or lies in, -1 if none
	Number bool       // it is the number of its part
}

// Verdict says what became of a part.
type Verdict string

// Verdicts.
const (
	Same     Verdict = "same"
	Moved    Verdict = "moved"
	Turned   Verdict = "turned"
	Scaled   Verdict = "scaled"
	Reshaped Verdict = "reshaped"
	Added    Verdict = "added"
	Removed  Verdict = "removed"
)

// Diff is what differs between two drawings.
type Diff struct {
	Before, After *Side
	Whole         *Motion // what the drawing as a whole has gone through, nil for nothing
	Laid          *Side   // Before, laid by Whole: parts are told against it, and places are of its axes, which are those of After
	Groups        []Motion
	Sums          [2]Sums // of the two
	Tolerance     float64 // mm, after: shapes that deviate no more are the same
	Sampling      float64 // mm: by how much a deviation may be larger than told
	Same          bool    // the same shapes at the same places, and the same open cuts
	Count         Count
	Deviation     float64 // largest deviation of a part that is not added, removed or mirrored, mm
	Parts         []Part  // in the order of Before, then those added in the order of After
	Tabs          []TabChange
	Texts         []TextChange
	Lines         []LineChange
	Layers        []LayerChange
	Repairs       []Repair // flaws of which the drawings have not as many
}

// Count is the number of parts of each verdict.
type Count struct{ Same, Moved, Turned, Scaled, Reshaped, Added, Removed int }

// Changed returns the number of parts that are not the same.
func (c Count) Changed() int { return c.Moved + c.Turned + c.Scaled + c.Reshaped + c.Added + c.Removed }

// Sums are the totals of one drawing.
type Sums struct {
	Parts, Holes, Tabs, Numbers int
	Open, Etched                int     // paths
	Area                        float64 // of the parts less their holes, mm2
	Cut                         float64 // length cut, open paths counted and tabs left out, mm
	Etch                        float64 // length etched, mm
}

// Part is what became of one part.
type Part struct {
	Verdict       Verdict
	Before, After int            // indices in the sheets, -1 where there is none
	Lay           geom.Transform // takes the part before onto the part after
	Shift         geom.Point     // of the centre of mass, mm; zero for the same and for parts turned on the spot
	Scale         float64        // factor by which it has grown, 1 for all but scaled parts
	Angle         float64        // turned by, radians, counter-clockwise, in (-pi, pi]
	Mirrored      bool           // reshaped into its mirror image
	Group         int            // index in Groups of the motion it shares with others, -1 if none
	Measure       Measure        // how the outside of a reshaped part changed
	Repaired      float64        // how far the closing of a gap moved its outline, mm; such a part is the same
	Deviation     float64        // of the outlines once laid on each other, mm: the move of an edge where a measure tells it; holes added or removed are not counted
	From, To      geom.Point     // where it is largest: a point of the outline before, laid, and one after; one is the nearest to the other
	Holes         []Hole         // what differs in the holes of a reshaped part
}

// Hole is what became of a hole of a reshaped part. Places are as after.
type Hole struct {
	Verdict   Verdict // Moved, Reshaped, Added or Removed
	At        geom.Point
	Box       geom.Box
	Shift     geom.Point // of the middle of its box, mm
	Deviation float64    // of its outline in its place, mm
	Measure   Measure    // how a reshaped hole changed
	Before    int        // index among the holes of the part before, -1 where there is none
	After     int
}

// rounding is what the decimals of a file may add to a deviation, mm.
const rounding = 1e-6

// Compare tells what differs between two drawings. Parts whose outlines lie
// within tol (mm, above 0) of each other are the same shape. First it is found
// out whether the drawing as a whole has been moved, turned, mirrored or scaled;
// all else is told against that. Parts are then matched by shape: those that lie on
// each other, groups that moved together, then those that do so when moved and
// turned, a number that occurs once before nearness, the mirrored ones and those of
// another size told apart. What is left is matched as reshaped by the place it
// takes, by its number, or by likeness of size and outline.
func Compare(a, b *Side, tol float64) *Diff {
	d := &Diff{Before: a, After: b, Laid: a, Tolerance: tol}
	if d.Whole = wholeOf(a, b, tol+rounding, max(tol/20, 1e-5)); d.Whole != nil {
		d.Laid = a.laid(d.Whole.Lay)
		d.Tolerance = scaled(tol, d.Whole.Scale)
	}
	d.Sampling = max(d.Tolerance/20, 1e-5)
	d.Sums = [2]Sums{sumUp(a), sumUp(b)}
	m := newMatcher(d.Laid, b, d.Tolerance+rounding, d.Sampling)
	m.match()
	d.Groups = m.groups
	for i := range m.of {
		if p := m.of[i]; p != nil {
			d.Parts = append(d.Parts, *p)
		} else {
			d.Parts = append(d.Parts, Part{Verdict: Removed, Before: i, After: -1, Lay: geom.Identity(), Scale: 1, Group: -1})
		}
	}
	for j := range m.taken {
		if !m.taken[j] {
			d.Parts = append(d.Parts, Part{Verdict: Added, Before: -1, After: j, Lay: geom.Identity(), Scale: 1, Group: -1})
		}
	}
	for i := range d.Parts {
		p := &d.Parts[i]
		d.Count.add(p.Verdict)
		if !p.Mirrored {
			d.Deviation = max(d.Deviation, p.Deviation)
		}
	}
	d.compareTabs()
	d.compareTexts()
	open := d.compareLines()
	d.compareLayers()
	d.compareRepairs()
	d.Same = d.Whole == nil && d.Count.Changed() == 0 && !open && !d.Uncompared()
	return d
}

// Uncompared reports whether one drawing hides a layer on which the other draws
// something.
func (d *Diff) Uncompared() bool {
	for _, s := range []*Side{d.Before, d.After} {
		for i := range s.Hidden {
			if s.Hidden[i].Paths > 0 {
				return true
			}
		}
	}
	return false
}

func (c *Count) add(v Verdict) {
	switch v {
	case Same:
		c.Same++
	case Moved:
		c.Moved++
	case Turned:
		c.Turned++
	case Scaled:
		c.Scaled++
	case Reshaped:
		c.Reshaped++
	case Added:
		c.Added++
	case Removed:
		c.Removed++
	}
}

func sumUp(s *Side) Sums {
	u := Sums{Parts: len(s.Sheet.Parts), Open: len(s.Sheet.Open), Etched: len(s.Sheet.Etch)}
	for i := range s.Sheet.Parts {
		u.Area += s.Sheet.Parts[i].Area
	}
	for i := range s.Sheet.Outlines {
		o := &s.Sheet.Outlines[i]
		if o.Hole() {
			u.Holes++
		}
		u.Tabs += o.Tabs
		for k := range o.Pieces {
			if k >= len(o.Flags) || o.Flags[k] == 0 {
				u.Cut += o.Pieces[k].Length()
			}
		}
	}
	for i := range s.Sheet.Open {
		u.Cut += s.Sheet.Open[i].Length
	}
	for i := range s.Sheet.Etch {
		u.Etch += s.Sheet.Etch[i].Length
	}
	for i := range s.Texts {
		if s.Texts[i].Number {
			u.Numbers++
		}
	}
	return u
}
