package drawing

import (
	"slices"

	"sluice/geom"
)

// Join puts drawings beside each other into one, each moved by its shift, mm. Their units
// must be settled (Resolve); the unit of the first is that of all, and so is its header.
// The drawings themselves are not changed.
func Join(list []*Drawing, shift []geom.Point) *Drawing {
	out := *list[0]
	out.Layers = nil
	out.Entities, out.Strokes, out.Curves, out.Texts, out.Points = nil, nil, nil, nil, nil
	out.Turns, out.Notices, out.Shown, out.Problems = nil, nil, nil, nil
	for i, d := range list {
		out.add(d, geom.Shift(shift[i]))
	}
	return &out
}

// add appends what a drawing holds.
func (d *Drawing) add(o *Drawing, to geom.Transform) {
	layers := make([]int32, len(o.Layers))
	for i := range o.Layers {
		k := slices.Index(d.Layers, o.Layers[i])
		if k < 0 {
			k = len(d.Layers)
			d.Layers = append(d.Layers, o.Layers[i])
		}
		layers[i] = int32(k)
	}
	layer := func(i int32) int32 {
		if i < 0 || int(i) >= len(layers) {
			return -1
		}
		return layers[i]
	}
	first, strokes := int32(len(d.Entities)), int32(len(d.Strokes))
	entity := func(i int32) int32 {
		if i < 0 {
			return i
		}
		return first + i
	}
	for _, e := range o.Entities {
		e.Layer = layer(e.Layer)
		d.Entities = append(d.Entities, e)
	}
	for _, s := range o.Strokes {
		s.Piece, s.Entity, s.Layer = s.Piece.Transform(to), entity(s.Entity), layer(s.Layer)
		d.Strokes = append(d.Strokes, s)
	}
	for _, c := range o.Curves {
		c.Entity, c.Layer, c.First = entity(c.Entity), layer(c.Layer), c.First+strokes
		d.Curves = append(d.Curves, c)
	}
	for _, t := range o.Texts {
		t.Entity, t.Layer, t.At, t.Insert = entity(t.Entity), layer(t.Layer), to.Apply(t.At), to.Apply(t.Insert)
		d.Texts = append(d.Texts, t)
	}
	for _, p := range o.Points {
		p.Entity, p.Layer, p.At = entity(p.Entity), layer(p.Layer), to.Apply(p.At)
		d.Points = append(d.Points, p)
	}
	moved := func(list []Notice) []Notice {
		list = slices.Clone(list)
		for i := range list {
			n := &list[i]
			n.Entity, n.Layer, n.At = entity(n.Entity), layer(n.Layer), to.Apply(n.At)
			if !n.Box.Empty() {
				n.Box = geom.Box{Min: to.Apply(n.Box.Min), Max: to.Apply(n.Box.Max)}
			}
		}
		return list
	}
	d.Notices = append(d.Notices, moved(o.Notices)...)
	d.Shown = append(d.Shown, moved(o.Shown)...)
	for _, p := range o.Problems {
		p.Entity = entity(p.Entity)
		d.Problems = append(d.Problems, p)
	}
}
