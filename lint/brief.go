package lint

import "sluice/geom/drawing"

// Brief is what reports without a picture tell of a drawing besides its
// findings. It is all that is kept of a drawing of a large folder once that is
// judged, and of one that has not changed since it was judged last.
type Brief struct {
	Unit   drawing.Unit
	Counts Counts
	Stand  Stand
	Places map[string]Place // by Finding.ID; findings without a line are missing
}

// Place is where a finding stands in the text of the file.
type Place struct {
	Line  int // line of its first entity, from 1
	Fixes []TextFix
}

// TextFix is a repair that can be made in the text of the file: lines to delete.
type TextFix struct {
	Note  string
	Lines []Lines
}

// Lines are those from From to the one before To, counted from 1.
type Lines struct{ From, To int }
