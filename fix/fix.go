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
	Asked    bool // a person chose it for this one finding
	Was, Now int  // of a refit: lines or curves before, lines and arcs after; else 0
	Ops      []Op
}

// Op is one primitive change of a drawing. What it uses of its fields hangs on its
// kind.
type Op struct {
	Kind OpKind

	Stroke int32            // Drop, MoveA, MoveB, Replace, Take
	To     geom.Point       // MoveA, MoveB, MovePoint, AddPoint, mm
	T0, T1 float64          // Take: the stretch, as shares of the stroke, 0 <= T0 < T1 <= 1
	As     drawing.As       // Take
	Index  int32            // of the notice, curve, text or point concerned
	With   []drawing.Stroke // Replace, Add
	Text   *drawing.Text    // AddText, ReplaceText

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
	Take                       // the stretch T0 to T1 of Stroke is As from now on
	Add                        // append With
	AddText                    // append Text
	DropText                   // remove text Index
	ReplaceText                // put Text in the place of text Index
	AddPoint                   // append a copy of point Index at To
	DropPoint                  // remove point Index
	MovePoint                  // move point Index to To
	SettleNotice               // notice Index is dealt with
	SettleCurve                // the arcs of curve Index stand for it
)

// Fix is a set of edits that land together or not at all.
type Fix struct {
	Safety Safety
	Edits  []Edit
}

// TakePiece returns the changes that make of stroke i what lies along p, which is a
// stretch of it or all; one over the start of a circle is two. A rest at an end of
// at most join, mm, goes with it.
func TakePiece(d *drawing.Drawing, i int32, p *geom.Piece, as drawing.As, join float64) []Op {
	st := &d.Strokes[i]
	length := st.Length()
	_, mid := st.Nearest(p.Mid()) // that of an end may be either end of a circle
	half := p.Length() / 2 / length
	op := Op{Kind: Take, Stroke: i, T0: mid - half, T1: mid + half, As: as}
	begins, ends := op.T0*length <= join, (1-op.T1)*length <= join
	if st.IsCircle() && begins != ends { // else all of it, or a stretch away from its start
		over := op
		switch {
		case op.T0*length < -join:
			over.T0, over.T1 = op.T0+1, 1
			op.T0 = 0
			return []Op{op, over}
		case (op.T1-1)*length > join:
			over.T0, over.T1 = 0, op.T1-1
			op.T1 = 1
			return []Op{op, over}
		}
	}
	if begins {
		op.T0 = 0
	}
	if ends {
		op.T1 = 1
	}
	return []Op{op}
}
