package index

import (
	"math"

	"sluice/geom"
)

// Points gathers places that lie within a tolerance of each other. Places are
// numbered in the order in which they were new; those numbered lie further apart
// than the tolerance, so that no more than a hundred are in one cell and placing
// one takes constant time.
type Points[I ~int32] struct {
	Sets[I]              // which numbers are one; more can be made one with Union
	At      []geom.Point // by number: where it was first met
	tol     float64
	inv     float64 // 1 / side of a cell
	table   Table
}

// cellTols is the side of a cell in tolerances: most places are further than the
// tolerance from the edges of their cell, and are looked up in it alone.
const cellTols = 8

// NewPoints returns an empty set of places with room for some.
func NewPoints[I ~int32](tol float64, expect int) *Points[I] {
	return &Points[I]{
		Sets: make(Sets[I], 0, expect), At: make([]geom.Point, 0, expect),
		tol: tol, inv: 1 / (cellTols * tol), table: *NewTable(expect),
	}
}

// cellNumber turns the number of a cell into an integer. Of drawings in light
// years it keeps what an integer holds: cells far apart may share a number then,
// and what is found is measured anyway.
func cellNumber(v float64) int64 {
	const most = 1 << 62
	if v > -most && v < most {
		return int64(v)
	}
	return int64(math.Mod(v, most))
}

// Place returns the number of a place within the tolerance of p, a new one if
// there is none. Where there are several they are made one set; Find tells the
// number that stands for it.
func (s *Points[I]) Place(p geom.Point) I {
	x, y := p.X*s.inv, p.Y*s.inv
	cx, cy := math.Floor(x), math.Floor(y)
	fx, fy := x-cx, y-cy
	const edge = 1.0 / cellTols
	kx, ky := cellNumber(cx), cellNumber(cy)
	x0, x1, y0, y1 := kx, kx, ky, ky
	if fx <= edge {
		x0--
	}
	if fx >= 1-edge {
		x1++
	}
	if fy <= edge {
		y0--
	}
	if fy >= 1-edge {
		y1++
	}
	found := I(-1)
	t2 := s.tol * s.tol
	for gx := x0; gx <= x1; gx++ {
		for gy := y0; gy <= y1; gy++ {
			last := s.table.last(Mix(gx, gy))
			if last < 0 {
				continue
			}
			for i := s.table.next[last]; ; i = s.table.next[i] {
				if s.At[i].Dist2(p) <= t2 {
					if found < 0 {
						found = I(i)
					} else {
						s.Union(found, I(i))
					}
				}
				if i == last {
					break
				}
			}
		}
	}
	if found >= 0 {
		return found
	}
	return s.add(p, kx, ky)
}

// PlaceNearest returns the number of the place nearest to p within the tolerance,
// the lowest of those as near, a new one if there is none. It makes none one, so
// that no chain of near places becomes one place.
func (s *Points[I]) PlaceNearest(p geom.Point) I {
	found, best := I(-1), s.tol*s.tol
	d, side := geom.Pt(s.tol, s.tol), cellTols*s.tol
	lo, hi := CellOf(p.Sub(d), side), CellOf(p.Add(d), side)
	for x := lo.X; x <= hi.X; x++ {
		for y := lo.Y; y <= hi.Y; y++ {
			last := s.table.last(Mix(x, y))
			if last < 0 {
				continue
			}
			for i := s.table.next[last]; ; i = s.table.next[i] {
				if d := s.At[i].Dist2(p); d < best || d == best && (found < 0 || I(i) < found) {
					found, best = I(i), d
				}
				if i == last {
					break
				}
			}
		}
	}
	if found >= 0 {
		return found
	}
	home := CellOf(p, side)
	return s.add(p, home.X, home.Y)
}

func (s *Points[I]) add(p geom.Point, x, y int64) I {
	s.table.Push(Mix(x, y), int32(len(s.At)))
	s.At = append(s.At, p)
	return s.Sets.Add()
}

// Settle lets go of what only placing needs: no place can be asked for or added
// after it.
func (s *Points[I]) Settle() { s.table = Table{} }
