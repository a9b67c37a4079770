package mend

import (
	"math"
	"slices"

	"sluice/fix"
	"sluice/geom"
	"sluice/lint"
)

// From one round to the next strokes, outlines and parts are numbered anew. What
// an edit or a finding is known by meanwhile is what it is, the kind of edit or the
// rule, and where. How near is near enough hangs on what is asked.
const (
	// again is how far, mm, an edit may shift and still be the same, made once more:
	// by what writing and reading rounds.
	again = 1e-4
	// reach is how far from an edit, mm, a finding counts as its doing, and how far a
	// finding or an edit may shift for what others have changed.
	reach = 1
)

// spots are named places, to be found by name and place.
type spots struct {
	size  float64 // of a cell, mm
	cells map[spotCell][]spot
}

type spotCell struct {
	name string
	x, y float64
}

type spot struct {
	at geom.Point
	id int // what the user of the spots means by it
}

// newSpots returns spots to be searched within reach, mm.
func newSpots(reach float64) *spots { return &spots{reach, map[spotCell][]spot{}} }

// clone returns spots that go their own way from here.
func (s *spots) clone() *spots {
	c := newSpots(s.size)
	for k, list := range s.cells {
		c.cells[k] = slices.Clone(list)
	}
	return c
}

func (s *spots) cell(name string, at geom.Point) spotCell {
	return spotCell{name, math.Floor(at.X / s.size), math.Floor(at.Y / s.size)}
}

func (s *spots) add(name string, at geom.Point, id int) {
	c := s.cell(name, at)
	s.cells[c] = append(s.cells[c], spot{at, id})
}

// any reports whether is holds for a spot of that name within the reach of at.
func (s *spots) any(name string, at geom.Point, is func(id int) bool) bool {
	c := s.cell(name, at)
	for k := range 9 {
		for _, o := range s.cells[spotCell{name, c.x + float64(k%3-1), c.y + float64(k/3-1)}] {
			if o.at.Dist(at) <= s.size && is(o.id) {
				return true
			}
		}
	}
	return false
}

func (s *spots) count(name string, at geom.Point) (n int) {
	s.any(name, at, func(int) bool { n++; return false })
	return n
}

func (s *spots) has(name string, at geom.Point) bool {
	return s.any(name, at, func(int) bool { return true })
}

// addEdit and hasEdit are add and has for edits.
func (s *spots) addEdit(e *fix.Edit) { s.add(e.Kind, e.At, 0) }

func (s *spots) hasEdit(e *fix.Edit) bool { return s.has(e.Kind, e.At) }

// standing are the findings of a result, by rule and place.
type standing struct {
	*spots
	of    []lint.Finding
	count map[string]int // by rule
}

func findingsOf(r *lint.Result) standing {
	s := standing{newSpots(reach), r.Findings, map[string]int{}}
	for i := range r.Findings {
		f := &r.Findings[i]
		s.add(f.Rule, f.At, i)
		s.count[f.Rule]++
	}
	return s
}

// stood reports whether a finding like f was there before: of its rule and as
// grave, at the same place.
func (s *standing) stood(f *lint.Finding) bool {
	return s.any(f.Rule, f.At, func(i int) bool { return s.of[i].Severity >= f.Severity })
}

// graver reports whether a graver finding of a rule stood where f stands: what an
// edit that answers it leaves behind is less, not new.
func (s *standing) graver(rule string, f *lint.Finding) bool {
	return s.any(rule, f.At, func(i int) bool { return s.of[i].Severity > f.Severity })
}
