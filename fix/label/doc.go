// Package label letters parts: a single-stroke alphabet of lines and arcs, and
// the search for a place where a number is clear of every cut.
//
// The letters have the proportions of ISO 3098 type B (vertical): with the
// height of capitals h, lower-case letters are 7/10 h high, descenders reach
// 3/10 h down, a space is 6/10 h wide and 2/10 h are clear between the strokes
// of neighbouring letters for a stroke width of 1/10 h. The strokes themselves
// are this project's own.
//
// Lengths are mm. Angles are degrees, counter-clockwise, where a field says so.
package label
