// Package near answers what is close to a place on a sheet: which cuts pass
// within a distance of a point or a turned rectangle, exactly, with arcs kept
// as arcs. Lengths are mm.
package near
