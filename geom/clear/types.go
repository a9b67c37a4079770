// Package clear measures how wide waste and material are: slots and webs
// between lines and arcs, the largest circle in a hole, and the distance
// between parts.
//
// A region is narrow where a disc of the limit's diameter, lying wholly in it,
// cannot reach. The middle of a narrow region is a stretch of the medial axis:
// the centres of the discs that touch the outline in two places. Each such disc
// is found in closed form from the lines, arcs and vertices it touches, and
// nothing is flattened.
//
//	   wall                                  corner: the sides meet, the discs
//	===========    o o o o  centres of       shrink to nothing; no slot
//	   o o o       discs that touch twice
//	===========                              run: the sides face each other
//	   wall                                  within 30 degrees of parallel
package clear

import "sluice/geom"

// Side says on which side of an outline a width was measured.
type Side uint8

// Sides.
const (
	Waste    Side = iota // slots, notches, gaps between teeth, small holes
	Material             // webs
)

// Narrow is a run of waste or material that a disc of the limit's diameter
// cannot cover.
type Narrow struct {
	Side   Side
	Width  float64    // the smallest width of the run, mm
	At     geom.Point // the middle of the narrow run, halfway between its sides
	Box    geom.Box   // of the two facing stretches
	A, B   geom.Point // the facing points at At
	Length float64    // length of the run along its middle, dead ends included, mm
	RingA  int32      // the rings that face each other (equal for a slot in one ring)
	RingB  int32
	PieceA int32 // a piece of each ring at A and B
	PieceB int32
	Whole  bool // no disc of the limit fits anywhere around the run: the whole hole, or the whole part
}

// Ring is a closed path that bounds material, with the material on its left.
type Ring struct {
	geom.Path
	Box geom.Box
}
