// Package paths turns the outlines of a sheet into paths that are ready to run:
// each cut set off by half the kerf to the waste side, with a lead-in and a
// lead-out in the waste, tabs left as gaps, in the order in which to run them.
// Lengths are mm.
//
//	waste     o pierce
//	          |  lead-in
//	   -------+----------->  path of the middle of the stream
//	   . . . . . . . . . .   half a kerf
//	   ===================   outline
//	material
//
// Outlines have their material on the left of the direction of travel, so that
// the waste side is always the right. Corners of the material are rolled
// round (the middle of the stream turns about them on an arc of half a kerf),
// and corners of the waste are trimmed (the stream cannot reach into them and
// leaves a fillet of half a kerf).
package paths
