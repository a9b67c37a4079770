package outline

import (
	"sluice/geom"
	"sluice/geom/index"
)

// spots is a set of points that can be asked whether one lies close.
type spots struct {
	at    []geom.Point
	cells *index.Cells[int32]
}

// newSpots returns an empty set to be asked for points nearer than reach, mm.
func newSpots(reach float64) *spots { return &spots{cells: index.NewCells[int32](reach, 0)} }

func (s *spots) add(p geom.Point) {
	s.cells.Add(p, int32(len(s.at)))
	s.at = append(s.at, p)
}

// within reports whether a point lies within d of p.
func (s *spots) within(p geom.Point, d float64) bool {
	return !s.cells.Around(p, d, func(i int32) bool { return s.at[i].Dist(p) > d })
}
