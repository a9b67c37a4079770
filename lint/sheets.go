package lint

import (
	"fmt"
	"regexp"
	"strconv"

	"sluice/geom/drawing"
)

// sheetNote is what the drawing of one sheet of a layout says of itself on NOTE.
var sheetNote = regexp.MustCompile(`^(?:some of the parts, )?sheet ([0-9]+) of ([0-9]+)$`)

// SheetNote returns the note of sheet i of n, from 1, of a layout; some says that only
// some of the parts are laid out.
func SheetNote(i, n int, some bool) string {
	note := fmt.Sprintf("sheet %d of %d", i, n)
	if some {
		note = "some of the parts, " + note
	}
	return note
}

// OneOf reports whether a drawing is one sheet of a layout and does not hold all parts
// of its kit: which sheet, from 1, of how many.
func OneOf(d *drawing.Drawing) (i, n int, ok bool) {
	if !d.Own {
		return 0, 0, false
	}
	for k := range d.Texts {
		if m := sheetNote.FindStringSubmatch(d.Texts[k].Value); m != nil && d.LayerName(d.Texts[k].Layer) == LayerNote {
			i, _ = strconv.Atoi(m[1])
			n, _ = strconv.Atoi(m[2])
			return i, n, true
		}
	}
	return 0, 0, false
}

// WholeKit names the rules that can be judged by a whole kit alone: on one sheet of
// several they rest, since what a joint goes into may lie on another.
func WholeKit(rule string) bool { return rule == "unmatched-joint" || rule == "trapped" }
