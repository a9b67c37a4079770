package repair

import (
	"sluice/fix"
	"sluice/geom/drawing"
	"sluice/geom/outline"
)

// DropStray returns the op that takes a stray piece out: the whole stroke, or
// the stretch of it that hangs over.
func DropStray(d *drawing.Drawing, s *outline.Stray) fix.Op {
	if !s.Part {
		return fix.Op{Kind: fix.Drop, Stroke: s.Stroke}
	}
	return DropRepeats(d, []outline.Overlap{{Stroke: s.Stroke, T0: s.T0, T1: s.T1}})[0]
}
