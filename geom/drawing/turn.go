package drawing

import (
	"sluice/geom"
	"sluice/geom/index"
)

// Turn is an arc or a part of an ellipse that begins where it ends, but for the
// rounding of its angles: a full turn, or hardly any.
type Turn struct {
	geom.Piece    // the short one: an arc, or its chord
	Entity, Layer int32
	Color         int16
	Ahead         bool       // as written the end lies before the start, so that the turn is a short one
	Center        geom.Point // of the full one
	Radius        float64    // or half its long axis
	Kind          string     // "ARC", "ELLIPSE"
}

// turnReach is how near another end must be, mm, to show that a turn is a speck
// in a chain, and how long a speck may be. It is what a repair may move an outline
// by unasked; the ends of chains in drawings of three decimals of an inch lie
// within it.
const turnReach = 0.02

// settleTurns decides on what may be a full turn or a speck. Where another piece
// ends there, or both come to the same, it is a speck and drawn so. Else it is
// left out and told: to cut a circle that was not drawn is worse than to
// ask.
func (d *Drawing) settleTurns() {
	if len(d.Turns) == 0 {
		return
	}
	ends := d.endsNear(turnReach)
	unsure := map[int32]bool{}
	for i := range d.Turns {
		t := &d.Turns[i]
		long := t.Ahead && t.A.Dist(t.B) > turnReach
		if long || t.Radius <= turnReach/2 || ends(t.A) || ends(t.B) {
			d.Strokes = append(d.Strokes, Stroke{Piece: t.Piece, Entity: t.Entity, Layer: t.Layer, Color: t.Color})
			continue
		}
		unsure[t.Entity] = true
		text := "ARC, start and end angle equal: a full circle or nothing? Draw a CIRCLE if it is to be cut"
		if t.Kind == "ELLIPSE" {
			text = "ELLIPSE, start and end equal: a whole ellipse or nothing? Draw it from 0 to a full turn if it is to be cut"
		}
		d.Notices = append(d.Notices, Notice{
			Kind: Unread, Entity: t.Entity, Layer: t.Layer, At: t.Center, Box: geom.BoxOf(t.Center).Inflate(t.Radius), Text: text,
		})
	}
	d.Turns = nil
	if len(unsure) > 0 {
		d.dropKept(unsure)
	}
}

// dropKept takes Kept from those of the entities that draw nothing.
func (d *Drawing) dropKept(of map[int32]bool) {
	for i := range d.Strokes {
		delete(of, d.Strokes[i].Entity)
	}
	for i := range d.Curves {
		delete(of, d.Curves[i].Entity)
	}
	for i := range d.Texts {
		delete(of, d.Texts[i].Entity)
	}
	for i := range d.Points {
		delete(of, d.Points[i].Entity)
	}
	for e := range of {
		d.Entities[e].Kept = false
	}
}

// endsNear returns whether a stroke ends within reach of a place. Full circles
// and pieces of no length have no ends.
func (d *Drawing) endsNear(reach float64) func(geom.Point) bool {
	ends := index.NewCells[geom.Point](reach, 2*len(d.Strokes))
	for i := range d.Strokes {
		if s := &d.Strokes[i]; !s.IsCircle() && s.A != s.B {
			ends.Add(s.A, s.A)
			ends.Add(s.B, s.B)
		}
	}
	return func(p geom.Point) bool {
		return !ends.Around(p, reach, func(q geom.Point) bool { return q.Dist(p) > reach })
	}
}
