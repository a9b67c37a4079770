// Package slats says which parts and slugs stay as they lie on the slats of the
// table once they are cut free. Lengths are mm, forces N.
package slats

import (
	"sluice/fix/tab"
	"sluice/geom"
	"sluice/geom/outline"
	"sluice/lint/cutting"
	"sluice/lint/job"
)

// leastShare is the share of slat positions that counts as none: where slats lie
// under a sheet is known to some tenths of a millimetre, a table's own play, and a
// thousandth of the usual pitch is a twentieth.
const leastShare = 0.001

// gravity is the standard acceleration, m/s2.
const gravity = 9.80665

// Table is the slats of a job and what a part must bear on them.
type Table struct {
	Slats tab.Support
	Limit float64 // share of slat positions in which a piece may be unheld
	push  float64 // what presses on a piece as its cut ends, N; 0: nothing is reckoned
	whole float64 // push of the stream, N
	mass  float64 // of the sheet, kg/mm2; 0: not known
}

// Support returns the slats of a job.
func Support(j *job.Job) tab.Support {
	way := map[string]tab.Way{"x": tab.AlongX, "y": tab.AlongY, "both": tab.EitherWay}[j.Table.SlatsAlong]
	return tab.Support{Pitch: j.Table.SlatPitch, Along: way}
}

// Of returns the table of a job.
func Of(j *job.Job) *Table {
	t := &Table{Slats: Support(j), Limit: max(j.Table.TipShare, leastShare)}
	t.Slats.Margin = j.Table.StandMargin
	if m, ok := cutting.FindMaterial(j.Sheet.Material, j.Material); ok {
		t.mass = m.Mass(1, j.Sheet.Thickness)
	}
	t.whole = cutting.JetOf(&j.Jet).Push()
	t.push = j.Table.PushShare * t.whole
	return t
}

// Push returns what presses on a piece as its cut ends, N.
func (t *Table) Push() float64 { return t.push }

// Pushed returns the table with the whole push of the stream on what lies on it,
// whatever share of it the job reckons with. The stream goes on through the sheet,
// and a part that it tips falls back when it is shut off, so that this is the worst
// for a moment at the end of a cut.
func (t *Table) Pushed() *Table {
	u := *t
	u.push = t.whole
	return &u
}

// Turned returns the table with its slats turned by a quarter.
func (t *Table) Turned() *Table {
	u := *t
	u.Slats = t.Slats.Turned()
	return &u
}

// Why is the way in which a piece is not held.
type Why uint8

const (
	Held   Why = iota
	Tips       // by its weight
	Nearly     // it stands by less than the margin
	Pushed     // the stream outweighs it as its cut ends over an edge beyond the slats
)

// Standing is what holds of a piece cut free.
type Standing struct {
	Why   Why
	Share float64 // of slat positions in which it is so
}

// Piece judges what outer bounds less the holes, cut free.
func (t *Table) Piece(outer geom.Path, holes []geom.Path, area float64) Standing {
	slats := t.Slats
	slats.Margin = 0
	// What is held everywhere with the margin is held without it.
	if near := tab.TipShare(outer, holes, t.Slats); near > 0 || t.Slats.Margin < 0 {
		if share := tab.TipShare(outer, holes, slats); share > t.Limit {
			return Standing{Tips, share}
		}
		if near > t.Limit {
			return Standing{Nearly, near}
		}
	}
	if weight := t.mass * area * gravity; weight > 0 && t.push > 0 {
		slats.Push = t.push / weight
		if share := tab.TipShare(outer, holes, slats); share > t.Limit {
			return Standing{Pushed, share}
		}
	}
	return Standing{}
}

// Part judges a part as it comes off the table. What hangs in its holes by tabs
// comes with it.
func (t *Table) Part(s *outline.Sheet, k int) Standing {
	p := &s.Parts[k]
	holes := make([]geom.Path, 0, len(p.Holes))
	for _, h := range p.Holes {
		if s.Outlines[h].Tabs == 0 {
			holes = append(holes, s.Outlines[h].Pieces)
		}
	}
	return t.Piece(s.Outlines[p.Outer].Pieces, holes, p.Area)
}

// Slug judges the slug of a hole. What hangs in it by tabs comes with it.
// inner are the outlines directly in the hole.
func (t *Table) Slug(s *outline.Sheet, hole int32, inner []int32) Standing {
	o := &s.Outlines[hole]
	area := o.Area
	var within []geom.Path
	for _, i := range inner {
		if in := &s.Outlines[i]; in.Tabs == 0 {
			within = append(within, in.Pieces)
			area -= in.Area
		}
	}
	return t.Piece(o.Pieces, within, area)
}

// Inner returns, by outline, those directly within it.
func Inner(s *outline.Sheet) [][]int32 {
	in := make([][]int32, len(s.Outlines))
	for i := range s.Outlines {
		if q := s.Outlines[i].Parent; q >= 0 {
			in[q] = append(in[q], int32(i))
		}
	}
	return in
}
