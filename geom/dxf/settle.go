package dxf

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"sluice/geom"
	"sluice/geom/drawing"
)

// settle converts what waited, and puts the strokes in the order of entities.
func (rd *reader) settle() error {
	waited := len(rd.deferred) > 0
	for _, p := range rd.deferred {
		if err := rd.convertEntity(p.rec, p.ent); err != nil {
			return err
		}
	}
	rd.deferred = nil
	if err := rd.settlePaper(); err != nil {
		return err
	}
	if rd.lateTables {
		rd.hideLate()
	}
	if waited || len(rd.paper) > 0 {
		rd.d.Regroup()
	}
	if err := rd.layoutBlocks(); err != nil {
		return err
	}
	if err := rd.commas.tell(rd); err != nil {
		return err
	}
	for _, code := range slices.Sorted(maps.Keys(rd.problemSeen)) {
		if n := rd.problemSeen[code] - rd.o.MaxProblems; n > 0 {
			rd.d.Problems = append(rd.d.Problems, drawing.Problem{
				Code: code, Entity: -1, Lost: rd.lostSome(code),
				Text: fmt.Sprintf("%d more of the same", n),
			})
		}
	}
	return nil
}

// lostSome reports whether any problem told under the code lost something.
func (rd *reader) lostSome(code string) bool {
	for i := range rd.d.Problems {
		if p := &rd.d.Problems[i]; p.Code == code && p.Lost {
			return true
		}
	}
	return false
}

// settlePaper decides on paper space: it is left out, unless model space is
// empty.
func (rd *reader) settlePaper() error {
	if len(rd.paper) == 0 {
		return nil
	}
	use := rd.made == 0 && slices.ContainsFunc(rd.paper, func(p pendingRecord) bool {
		return !p.rec.kind.leftOut()
	})
	if use {
		if err := rd.problem("paper-space", int(rd.paper[0].rec.line), false, "model space is empty: what is drawn in paper space is used"); err != nil {
			return err
		}
	}
	for _, p := range rd.paper {
		if !use && rd.shows(p.ent, p.rec.layer) {
			rd.tellShown(p.ent, p.rec.layer, "in paper space")
		} else if !use {
			rd.notice(drawing.Hidden, p.ent, p.rec.layer, p.rec.point(10).flat(), geom.NoBox(), "in paper space")
			continue
		}
		if err := rd.convertEntity(p.rec, p.ent); err != nil {
			return err
		}
	}
	return nil
}

// layoutBlocks tells of layouts that are kept as blocks, and reads a model
// space that some program left in its block.
func (rd *reader) layoutBlocks() error {
	for _, key := range slices.Sorted(maps.Keys(rd.blocks)) {
		b := rd.blocks[key]
		if len(b.recs) == 0 {
			continue
		}
		switch {
		case (key == "*model_space" || key == "$model_space") && len(rd.d.Entities) == 0:
			if err := rd.problem("model-in-block", int(b.line), false, "the entities section is empty: block *Model_Space is read instead"); err != nil {
				return err
			}
			for _, r := range b.recs {
				if err := rd.entity(r); err != nil {
					return err
				}
			}
		case strings.HasPrefix(key, "*paper_space") || strings.HasPrefix(key, "$paper_space"):
			if err := rd.problem("layout-left-out", int(b.line), false, fmt.Sprintf("layout %s with %d entities is left out", b.name, len(b.recs))); err != nil {
				return err
			}
		}
	}
	return nil
}

// hideLate takes back what was drawn on layers that turned out to be off or
// frozen only after the entities.
func (rd *reader) hideLate() {
	d := rd.d
	hidden := func(l int32) bool { return d.Layers[l].Off || d.Layers[l].Frozen }
	kept := make([]bool, len(d.Entities))
	toldOf := map[int32]bool{}
	boxes := map[int32]geom.Box{} // of what is to go, by entity
	for i := range d.Strokes {
		if s := &d.Strokes[i]; hidden(s.Layer) {
			if _, ok := boxes[s.Entity]; !ok {
				boxes[s.Entity] = geom.NoBox()
			}
			boxes[s.Entity] = boxes[s.Entity].Union(s.Box())
		}
	}
	gone := func(ent, layer int32) bool {
		if !hidden(layer) {
			kept[ent] = true
			return false
		}
		if rd.shows(ent, layer) {
			rd.tellShown(ent, layer, "layer off or frozen")
			kept[ent] = true
			return false
		}
		if !toldOf[ent] {
			toldOf[ent] = true
			b := geom.NoBox()
			if box, ok := boxes[ent]; ok {
				b = box
			}
			rd.notice(drawing.Hidden, ent, layer, geom.Point{}, b, "layer off or frozen")
		}
		return true
	}
	d.Curves = slices.DeleteFunc(d.Curves, func(c drawing.Curve) bool {
		return gone(c.Entity, c.Layer) || c.Kind == "POLYLINE" // its strokes may move
	})
	d.Strokes = slices.DeleteFunc(d.Strokes, func(s drawing.Stroke) bool { return gone(s.Entity, s.Layer) })
	d.Texts = slices.DeleteFunc(d.Texts, func(t drawing.Text) bool { return gone(t.Entity, t.Layer) })
	d.Turns = slices.DeleteFunc(d.Turns, func(t drawing.Turn) bool { return gone(t.Entity, t.Layer) })
	d.Points = slices.DeleteFunc(d.Points, func(p drawing.Mark) bool { return gone(p.Entity, p.Layer) })
	for i := range d.Entities {
		d.Entities[i].Kept = d.Entities[i].Kept && kept[i]
	}
	for i := range d.Strokes {
		if s := &d.Strokes[i]; s.Color == 0 {
			s.Color = int16(min(max(d.Layers[s.Layer].Color, 0), 255))
		}
	}
}
