// Package tab says which parts can tip or fall between the slats of the table,
// where breakaway tabs hold them best, and how an outline is split at its tabs.
//
// A round stream eats half a kerf past each end of a cut, so a tab of width w
// is drawn as a gap of w plus the kerf. The gap is measured along the outline.
//
//	       S0     S1
//	cut ---o.....o--- cut      ..... the uncut piece, kept on its own layer
//	       |<gap>|
//
// Lengths are mm, areas mm2. Positions along an outline are arc lengths from
// the start of its first piece.
package tab
