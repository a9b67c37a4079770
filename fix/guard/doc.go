// Package guard proves that what is about to be written is what was drawn: it
// compares the two as geometry, by code that shares nothing with what joins
// strokes into outlines, repairs them and lays them out.
//
//   - Every cut written lies within Tolerance of what was drawn to be cut, or of
//     what a told edit was entitled to put there (rights.go).
//   - Every stretch drawn to be cut is cut, or left as a told tab, or carried as a
//     told mark, or named by a told edit that may take it out.
//   - What was drawn as a mark only is not cut.
//   - Parts that moved are compared before and after, each through its own
//     movement (moved.go), and what is written with what was moved.
//   - The paths of the stream take nothing from any part (plan.go).
//
// Lengths are mm. Pieces are compared along their whole length: the stretches of
// a piece that come within a distance of another are solved for exactly, not
// sampled. Arcs that bow by less than flat are taken as their chords, which is
// the only error besides rounding.
package guard
