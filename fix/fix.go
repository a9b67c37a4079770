// Package fix holds repairs as data and applies them to a drawing.
package fix

import (
	"sluice/geom"
	"sluice/geom/drawing"
)

// Safety tells repairs that may be made unasked from those that change a shape.
type Safety uint8

// Safety levels.
const (
	Auto   Safety = iota // moves no good outline by more than 0.02 mm
	Choice               // made only when the job file or a flag asks
)

// Edit is one change to a drawing, told to the person who ordered it.
type Edit struct {
	Kind     string     // "close-gap", "drop-duplicate", "refit-arc", "tab", "label", …
	Rule     string     // the rule whose finding it answers, "" if none
	At       geom.Point // mm
	Moved    float64    // largest distance by which it moved an outline, mm
	Part     string
	Entities []string
	Note     string
	Was, Now int // of a refit: lines or curves before, lines and arcs after; else 0
	Ops      []Op
}

// Op is one primitive change of the strokes of a drawing. Exactly one of its
// groups of fields is used.
type Op struct {
	Kind OpKind

	Stroke int32      // Drop, MoveA, MoveB, Replace
	To     geom.Point // MoveA, MoveB
	Index  int32      // SettleNotice, SettleCurve, DropText

	With []drawing.Stroke // Replace, Add
	Text *drawing.Text    // AddText

	// On are the ends by whose places To or With was reckoned, besides those that
	// the fix itself changes: no other fix may move or remove them.
	On []End
}

// End is one end of a stroke.
type End struct {
	Stroke int32
	B      bool // the B end
}

// Ends returns both ends of a stroke: its whole course hangs on them.
func Ends(stroke int32) []End { return []End{{stroke, false}, {stroke, true}} }

// OpKind names a primitive change.
type OpKind uint8

// Primitive changes.
const (
	Drop         OpKind = iota // remove Stroke
	MoveA                      // move the A end of Stroke to To
	MoveB                      // move the B end
	Replace                    // put With in the place of Stroke
	Add                        // append With
	AddText                    // append Text
	DropText                   // remove text Index
	SettleNotice               // notice Index is dealt with
	SettleCurve                // the arcs of curve Index stand for it
)

// Fix is a set of edits that land together or not at all.
type Fix struct {
	Safety Safety
	Edits  []Edit
}
