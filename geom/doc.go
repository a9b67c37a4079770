// Package geom holds plane shapes made of straight lines and circular arcs:
// points, boxes, pieces and paths, with their exact measures.
//
// Lengths are millimetres and angles are radians, counted counter-clockwise
// from the positive x axis, unless a name or comment says otherwise. Tolerances
// are always arguments: the package keeps none of its own. Nothing here reads,
// writes or logs.
package geom
