package paths

import (
	"fmt"
	"strconv"
	"strings"

	"sluice/geom"
	"sluice/geom/dxf"
)

// Items draws a plan: the way to each cut, then the cut, one open path in the
// direction of travel from pierce to shut-off, in the order in which to run them.
// A way over pieces that are cut loose lies on a layer of its own: there the head
// must be raised. Then come a point and a number at every pierce on the note layer,
// and lines of text below all that say what this drawing is.
func (pl *Plan) Items(kerf float64) []dxf.Item {
	var items, marks []dxf.Item
	box := geom.NoBox()
	for i := range pl.Cuts {
		c := &pl.Cuts[i]
		if i < len(pl.Moves) {
			items = append(items, pl.Moves[i].items()...)
		}
		layer := [...]string{Etch: dxf.LayerRunEtch, Inside: dxf.LayerRunInside, Outside: dxf.LayerRunOutside}[c.Kind]
		p := c.Path()
		box = box.Union(p.Box())
		items = append(items, dxf.Item{Layer: layer, Path: p})
		at := c.Start()
		marks = append(marks,
			dxf.Item{Layer: dxf.LayerNote, Point: &at},
			dxf.Item{Layer: dxf.LayerNote, Text: &dxf.OutText{
				At: at.Add(geom.Pt(kerf/2, kerf/2)), Height: 1.5 * kerf, Value: strconv.Itoa(i + 1),
			}})
	}
	items = append(items, marks...)
	if !box.Empty() {
		h := min(max(box.H()/60, 3), 10)
		for i, line := range pl.about(kerf) {
			items = append(items, dxf.Item{Layer: dxf.LayerNote, Text: &dxf.OutText{
				At: box.Min.Sub(geom.Pt(0, float64(2+2*i)*h)), Height: h, Value: line,
			}})
		}
	}
	return items
}

// items draws a way, where it leads anywhere.
func (m *Move) items() []dxf.Item {
	layer := dxf.LayerWay
	if m.Over > 0 || m.Clamp > 0 {
		layer = dxf.LayerWayRaised
	}
	var p geom.Path
	for i := 1; i < len(m.Way); i++ {
		if m.Way[i] != m.Way[i-1] {
			p = append(p, geom.Line(m.Way[i-1], m.Way[i]))
		}
	}
	if len(p) == 0 {
		return nil
	}
	return []dxf.Item{{Layer: layer, Path: p}}
}

// about says what the drawing is, and what its layers mean.
func (pl *Plan) about(kerf float64) []string {
	lines := []string{
		fmt.Sprintf("Paths of the middle of a stream of %.4g mm, set off by half of it: run as drawn, without offset (layers RUN-OUTSIDE, RUN-INSIDE, RUN-ETCH)", kerf),
		"WAY: the head moves, the stream is shut",
	}
	var over []string
	if pl.Over > 0 {
		over = append(over, counted(pl.Over, "move leads", "moves lead")+" over pieces that are cut loose")
	}
	if pl.OverClamp > 0 {
		over = append(over, counted(pl.OverClamp, "move leads", "moves lead")+" over a clamp zone")
	}
	if len(over) > 0 {
		lines = append(lines, "WAY-RAISED: raise the head: "+strings.Join(over, ", "))
	}
	if c := pl.partsTold(); c != "" {
		lines = append(lines, "PARTS TOO CLOSE: "+c)
	}
	if c := hitsTold(pl.InClamp); c != "" {
		lines = append(lines, "CLAMPS: "+c)
	}
	return lines
}
