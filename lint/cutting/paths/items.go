package paths

import (
	"fmt"
	"strconv"

	"sluice/geom"
	"sluice/geom/dxf"
)

// Layers name the layers of a drawing of paths.
type Layers struct{ Outside, Inside, Etch, Note string }

// SheetLayers are the layers of the corrected drawing, used for the paths too:
// what is run along a perimeter lies on the layer of perimeters.
var SheetLayers = Layers{dxf.LayerOutside, dxf.LayerInside, dxf.LayerEtch, dxf.LayerNote}

// Items draws a plan: each cut one open path in the direction of travel, from
// pierce to shut-off, one after the other in the order in which to run them;
// then on the note layer a point and a number at every pierce, and a line of
// text below all that says what this drawing is.
func (pl *Plan) Items(l Layers, kerf float64) []dxf.Item {
	var items, marks []dxf.Item
	box := geom.NoBox()
	for i := range pl.Cuts {
		c := &pl.Cuts[i]
		layer := [...]string{Etch: l.Etch, Inside: l.Inside, Outside: l.Outside}[c.Kind]
		p := c.Path()
		box = box.Union(p.Box())
		items = append(items, dxf.Item{Layer: layer, Path: p})
		at := c.Start()
		marks = append(marks,
			dxf.Item{Layer: l.Note, Point: &at},
			dxf.Item{Layer: l.Note, Text: &dxf.OutText{
				At: at.Add(geom.Pt(kerf/2, kerf/2)), Height: 1.5 * kerf, Value: strconv.Itoa(i + 1),
			}})
	}
	items = append(items, marks...)
	if !box.Empty() {
		h := min(max(box.H()/60, 3), 10)
		items = append(items, dxf.Item{Layer: l.Note, Text: &dxf.OutText{
			At: box.Min.Sub(geom.Pt(0, 2*h)), Height: h,
			Value: fmt.Sprintf("Paths of the middle of a stream of %.4g mm, set off by half of it: run as drawn, without offset", kerf),
		}})
	}
	return items
}
