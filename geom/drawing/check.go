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
	c := checker{d, make([]bool, len(d.Entities)), make([]bool, len(d.Entities))}
	for _, check := range []func() error{c.strokes, c.curves, c.others, c.notices, c.problems, c.entities} {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

// checker gathers which entities draw something, and of which something is told.
type checker struct {
	d           *Drawing
	draws, told []bool
}

// owned marks the entity as one that has what is at hand.
func (c *checker) owned(has []bool, what string, i int, ent, layer int32) error {
	if ent < 0 || int(ent) >= len(c.d.Entities) || layer < 0 || int(layer) >= len(c.d.Layers) {
		return fmt.Errorf("%s %d: entity %d of %d, layer %d of %d", what, i, ent, len(c.d.Entities), layer, len(c.d.Layers))
	}
	has[ent] = true
	return nil
}

func (c *checker) strokes() error {
	last := int32(0)
	for i := range c.d.Strokes {
		s := &c.d.Strokes[i]
		if err := c.owned(c.draws, "stroke", i, s.Entity, s.Layer); err != nil {
			return err
		}
		if s.Entity < last {
			return fmt.Errorf("stroke %d: entity %d after %d", i, s.Entity, last)
		}
		last = s.Entity
		if !s.A.Finite() || !s.B.Finite() || !s.C.Finite() || math.IsNaN(s.R-s.R) || s.R < 0 || !(math.Abs(s.Sweep) <= 2*math.Pi+1e-9) {
			return fmt.Errorf("stroke %d: %+v", i, s.Piece)
		}
	}
	return nil
}

func (c *checker) curves() error {
	strokes := c.d.Strokes
	for i := range c.d.Curves {
		v := &c.d.Curves[i]
		if err := c.owned(c.draws, "curve", i, v.Entity, v.Layer); err != nil {
			return err
		}
		if v.First < 0 || v.Count < 0 || int(v.First+v.Count) > len(strokes) || v.Count > 0 && strokes[v.First].Entity != v.Entity {
			return fmt.Errorf("curve %d of entity %d: strokes %d and %d more of %d", i, v.Entity, v.First, v.Count, len(strokes))
		}
	}
	return nil
}

// others checks what is drawn besides strokes and curves.
func (c *checker) others() error {
	for i, t := range c.d.Texts {
		if err := c.owned(c.draws, "text", i, t.Entity, t.Layer); err != nil {
			return err
		}
	}
	for i, p := range c.d.Points {
		if err := c.owned(c.draws, "point", i, p.Entity, p.Layer); err != nil {
			return err
		}
	}
	for i, t := range c.d.Turns {
		if err := c.owned(c.draws, "turn", i, t.Entity, t.Layer); err != nil {
			return err
		}
	}
	return nil
}

func (c *checker) notices() error {
	for i, n := range c.d.Notices {
		if err := c.owned(c.told, "notice", i, n.Entity, n.Layer); err != nil {
			return err
		}
		if n.Text == "" || !n.At.Finite() {
			return fmt.Errorf("notice %d: %+v", i, n)
		}
	}
	return nil
}

func (c *checker) problems() error {
	for i, p := range c.d.Problems {
		if p.Text == "" || p.Code == "" || p.Line < 0 || int(p.Entity) >= len(c.d.Entities) {
			return fmt.Errorf("problem %d: %+v", i, p)
		}
		if p.Entity >= 0 {
			c.told[p.Entity] = true
		}
	}
	return nil
}

// entities checks that each is either drawn or told of.
func (c *checker) entities() error {
	for i := range c.d.Entities {
		e := &c.d.Entities[i]
		if e.Kept != c.draws[i] {
			return fmt.Errorf("%s %s: kept %v, draws %v", e.Type, e.ID(), e.Kept, c.draws[i])
		}
		if !e.Kept && !c.told[i] {
			return fmt.Errorf("%s %s is left out and nothing tells it", e.Type, e.ID())
		}
	}
	return nil
}
