package geomtest

import (
	"fmt"
	"math"
	"strings"
)

// DXF writes the drawing as the text of a file in mm: LINE, ARC and CIRCLE with
// six decimals.
func (h Hard) DXF() string {
	var b strings.Builder
	b.WriteString("  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1009\n  9\n$INSUNITS\n 70\n4\n  9\n$MEASUREMENT\n 70\n1\n  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n")
	at := func(code int, v float64) { fmt.Fprintf(&b, "%3d\n%.6f\n", code, v) }
	for i := range h.Lines {
		l := &h.Lines[i]
		kind := "LINE"
		switch {
		case l.IsCircle():
			kind = "CIRCLE"
		case l.R > 0:
			kind = "ARC"
		}
		fmt.Fprintf(&b, "  0\n%s\n  8\n%s\n", kind, l.Layer)
		if l.R == 0 {
			at(10, l.A.X)
			at(20, l.A.Y)
			at(11, l.B.X)
			at(21, l.B.Y)
			continue
		}
		at(10, l.C.X)
		at(20, l.C.Y)
		at(40, l.R)
		if kind == "ARC" {
			from, to := l.A.Sub(l.C), l.B.Sub(l.C)
			if l.Sweep < 0 { // an ARC runs counter-clockwise
				from, to = to, from
			}
			at(50, degrees(from.Angle()))
			at(51, degrees(to.Angle()))
		}
	}
	b.WriteString("  0\nENDSEC\n  0\nEOF\n")
	return b.String()
}

func degrees(a float64) float64 { return math.Mod(a*180/math.Pi+360, 360) }
