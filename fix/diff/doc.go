// Package diff compares two drawings part by part.
//
// What is compared is the geometry, not how it is written: a line drawn in two
// pieces, a polyline in place of lines, another direction, another unit or a
// run of short chords in place of an arc make no difference as long as the
// outlines lie within the tolerance of each other.
//
// First it is found out what the drawing as a whole has gone through: moved,
// turned, mirrored or scaled, as most of the parts that kept their shape tell (see
// finder.go). The rest is told against that:
//
//	same      at the same place, within the tolerance
//	moved     the same shape shifted
//	turned    the same shape turned, and perhaps shifted
//	scaled    the same shape in another size
//	reshaped  another shape that takes the part's place; also its mirror image
//	added     a part of the second drawing that the first lacks
//	removed   a part of the first drawing that the second lacks
//
// What was reshaped is told as one would measure it where that can be done
// (measure.go): a diameter, so much a side, an edge moved square to itself. Else the
// deviation of two outlines is their Hausdorff distance: the largest
// distance from a point of either to the nearest point of the other. It is
// taken between exact lines and arcs by halving stretches until a bound on what
// they can still hide is below a share of the tolerance (see Diff.Sampling); the
// value told is reached somewhere and is short of the true one by at most that.
//
// Tabs count as part of the outline; where they sit is listed apart, as are
// numbers and other lettering, etched paths, open paths and layers, and the flaws
// that only one of the drawings has: gaps closed, repeats dropped, curves refitted.
package diff
