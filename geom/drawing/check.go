package drawing

import (
	"fmt"
	"math"
)

// Check reports the first thing about a drawing that must not be: an index out
// of range, strokes out of the order of entities, a place that is no number, an
// entity that is neither drawn nor told of. nil says that all is as the other
// packages rely on.
func (d *Drawing) Check() error {
	draws := make([]bool, len(d.Entities))
	told := make([]bool, len(d.Entities))
	owned := func(what string, i int, ent, layer int32) error {
		if ent < 0 || int(ent) >= len(d.Entities) || layer < 0 || int(layer) >= len(d.Layers) {
			return fmt.Errorf("%s %d: entity %d of %d, layer %d of %d", what, i, ent, len(d.Entities), layer, len(d.Layers))
		}
		return nil
	}
	last := int32(0)
	for i := range d.Strokes {
		s := &d.Strokes[i]
		if err := owned("stroke", i, s.Entity, s.Layer); err != nil {
			return err
		}
		if s.Entity < last {
			return fmt.Errorf("stroke %d: entity %d after %d", i, s.Entity, last)
		}
		last = s.Entity
		draws[last] = true
		if !s.A.Finite() || !s.B.Finite() || !s.C.Finite() || math.IsNaN(s.R-s.R) || s.R < 0 || !(math.Abs(s.Sweep) <= 2*math.Pi+1e-9) {
			return fmt.Errorf("stroke %d: %+v", i, s.Piece)
		}
	}
	for i := range d.Curves {
		c := &d.Curves[i]
		if err := owned("curve", i, c.Entity, c.Layer); err != nil {
			return err
		}
		draws[c.Entity] = true
		if c.First < 0 || c.Count < 0 || int(c.First+c.Count) > len(d.Strokes) || c.Count > 0 && d.Strokes[c.First].Entity != c.Entity {
			return fmt.Errorf("curve %d of entity %d: strokes %d and %d more of %d", i, c.Entity, c.First, c.Count, len(d.Strokes))
		}
	}
	for i := range d.Texts {
		if err := owned("text", i, d.Texts[i].Entity, d.Texts[i].Layer); err != nil {
			return err
		}
		draws[d.Texts[i].Entity] = true
	}
	for i := range d.Points {
		if err := owned("point", i, d.Points[i].Entity, d.Points[i].Layer); err != nil {
			return err
		}
		draws[d.Points[i].Entity] = true
	}
	for i := range d.Turns {
		if err := owned("turn", i, d.Turns[i].Entity, d.Turns[i].Layer); err != nil {
			return err
		}
		draws[d.Turns[i].Entity] = true
	}
	for i := range d.Notices {
		n := &d.Notices[i]
		if err := owned("notice", i, n.Entity, n.Layer); err != nil {
			return err
		}
		told[n.Entity] = true
		if n.Text == "" || !n.At.Finite() {
			return fmt.Errorf("notice %d: %+v", i, *n)
		}
	}
	for i := range d.Problems {
		p := &d.Problems[i]
		if p.Text == "" || p.Code == "" || p.Line < 0 || int(p.Entity) >= len(d.Entities) {
			return fmt.Errorf("problem %d: %+v", i, *p)
		}
		if p.Entity >= 0 {
			told[p.Entity] = true
		}
	}
	for i := range d.Entities {
		e := &d.Entities[i]
		if e.Kept != draws[i] {
			return fmt.Errorf("%s %s: kept %v, draws %v", e.Type, e.ID(), e.Kept, draws[i])
		}
		if !e.Kept && !told[i] {
			return fmt.Errorf("%s %s is left out and nothing tells it", e.Type, e.ID())
		}
	}
	return nil
}
