package dxf

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sluice/geom"
	"sluice/geom/drawing"
)

// env is where a record is drawn: directly, or by a block reference.
type env struct {
	ent    int32 // the entity of the entities section all this belongs to
	layer  int32 // of the record, resolved
	color  int16 // of the record, resolved
	nested bool  // within a block; frame, parentLayer and parentColor count
	depth  int
	frame  frame // from the block to the drawing

	parentLayer int32 // what layer "0" stands for
	parentColor int16 // what colour 0 stands for
}

// maxCoord is the largest coordinate (drawing units) that is taken for a place.
const maxCoord = 1e12

// maxRadius is the largest radius of an arc between such places; a flat arc may
// have its centre far outside.
const maxRadius = 1e18

// curveWeight is how many strokes a curve counts for in the bounds, since it
// will become about that many arcs.
const curveWeight = 16

// entity takes one record of the entities section.
func (rd *reader) entity(r *record) error {
	if r.layer < 0 {
		r.layer = rd.layerZero()
	}
	rd.places++
	ent := int32(len(rd.d.Entities))
	rd.d.Entities = append(foresee(&rd.growth, rd.d.Entities), drawing.Entity{
		Type: r.typ, Handle: r.handle, Layer: r.layer, Color: max(r.color, -r.color), Line: r.line, Place: rd.places,
	})
	if int(ent) >= rd.o.MaxEntities {
		return rd.tooMany(r, "entities", rd.o.MaxEntities)
	}
	if r.paper {
		rd.paper = append(rd.paper, pendingRecord{ent, r.clone()})
		return nil
	}
	if r.kind.refers && rd.blocks[blockKey(r.text(2))] == nil {
		// The block may yet come: sections stand in any order.
		rd.deferred = append(rd.deferred, pendingRecord{ent, r.clone()})
		return nil
	}
	return rd.convertEntity(r, ent)
}

// convertEntity draws a record of the entities section and tells of it.
func (rd *reader) convertEntity(r *record, ent int32) error {
	d := rd.d
	strokes, curves, made := len(d.Strokes), len(d.Curves), rd.made
	notices, problems := len(d.Notices), rd.problemTotal
	rd.outer = env{ent: ent, parentLayer: -1, parentColor: 7}
	rd.told.reset()
	if err := rd.convert(r, &rd.outer); err != nil {
		return err
	}
	d.Entities[ent].Kept = rd.made > made
	flat, wide := &rd.told.flat, &rd.told.wide
	if flat.n == 0 && wide.n == 0 && rd.made > made && !rd.told.spoiled {
		return nil
	}
	all := remark{at: r.point(10).flat(), box: geom.NoBox()}
	all.about(d, strokes, curves)
	if !inRange(all.at) {
		all.at = geom.Point{}
	}
	if rd.told.spoiled {
		if err := rd.problemOf("out-of-range", int(r.line), ent, true, fmt.Sprintf("a coordinate beyond %g: that piece is left out", float64(maxCoord))); err != nil {
			return err
		}
	}
	tell := func(k drawing.NoticeKind, m *remark) {
		if m.n == 0 {
			return
		}
		at, box := m.at, m.box
		if m.whole || !m.drawn {
			at, box = all.at, all.box
		}
		rd.notice(k, ent, r.layer, at, box, strings.Join(m.texts, ", "))
	}
	tell(drawing.NotFlat, flat)
	tell(drawing.Wide, wide)
	if !d.Entities[ent].Kept && len(d.Notices) == notices && rd.problemTotal == problems {
		rd.notice(drawing.Unread, ent, r.layer, all.at, geom.NoBox(), r.typ+" with nothing in it")
	}
	return nil
}

// convert draws a record in its surroundings.
func (rd *reader) convert(r *record, e *env) error {
	if r.broken != "" {
		if r.told {
			return nil
		}
		r.told = true
		return rd.problemOf(r.brokenCode, r.brokenAt, e.ent, true, "the "+r.typ+" is not read: "+r.broken)
	}
	e.layer = r.layer
	if e.layer < 0 {
		e.layer = rd.layerZero()
	}
	if e.nested && e.layer == rd.zero {
		e.layer = e.parentLayer
	}
	e.color = rd.colorOf(r.color, e)
	if why := rd.hidden(r, e); why != "" {
		if !rd.shows(e.ent, e.layer) {
			rd.tell(drawing.Hidden, e, r, why)
			return nil
		}
		rd.tellShown(e.ent, e.layer, why)
	}
	if !r.told {
		if what := r.missing(); what != "" {
			r.told = true
			if err := rd.problemOf("missing-group", int(r.line), e.ent, true, "of the "+r.typ+" "+what); err != nil {
				return err
			}
		}
	}
	strokes, curves, flat, wide := len(rd.d.Strokes), len(rd.d.Curves), rd.told.flat.n, rd.told.wide.n
	if r.kind.draw == nil {
		rd.tell(drawing.Unread, e, r, r.typ+r.kind.why)
		return nil
	}
	if err := r.kind.draw(rd, r, e); err != nil || r.kind.refers {
		return err
	}
	if rd.told.flat.n > flat {
		rd.told.flat.about(rd.d, strokes, curves)
	}
	if rd.told.wide.n > wide {
		rd.told.wide.about(rd.d, strokes, curves)
	}
	return nil
}

// tell notes something of the entity at hand, each thing once.
// It reports whether the thing is new.
func (rd *reader) tell(k drawing.NoticeKind, e *env, r *record, text string) bool {
	key := noticeKey{k, e.layer, text}
	if e.nested {
		if rd.told.notices[key] {
			return false
		}
		if rd.told.notices == nil {
			rd.told.notices = map[noticeKey]bool{}
		}
		rd.told.notices[key] = true
	}
	p, box := e.around(r)
	rd.notice(k, e.ent, e.layer, p, box, text)
	return true
}

// around returns a point of a record and the box of all, as far as its groups
// tell them: what cannot be drawn can at least be pointed at.
func (e *env) around(r *record) (geom.Point, geom.Box) {
	at, b := r.point(10), geom.NoBox()
	if len(r.verts) > 0 {
		at = r.verts[0].p // the point of a POLYLINE is its height alone
	}
	pl := e.plane(r, at.z)
	add := func(p geom.Point) {
		if p = pl.apply(p); inRange(p) {
			b = b.Add(p)
		}
	}
	for i := range r.verts {
		add(r.verts[i].p.flat())
	}
	began := r.kind.pointsBy == 0
	var x [10]float64
	for _, n := range r.nums {
		began = began || n.code == r.kind.pointsBy
		switch {
		case !began:
		case n.code >= 10 && n.code <= 18:
			x[n.code-10] = n.v
		case n.code >= 20 && n.code <= 28 && (r.kind.points == nil || slices.Contains(r.kind.points, n.code-10)):
			add(geom.Pt(x[n.code-20], n.v))
		}
	}
	if r.kind.reach != nil && !b.Empty() {
		b = b.Inflate(max(0, r.kind.reach(r)))
	}
	p := e.at(r, at)
	if !inRange(p) {
		p = geom.Point{}
	}
	return p, b
}

// hidden says why the record is not to be seen, "" if it is.
func (rd *reader) hidden(r *record, e *env) string {
	l := &rd.d.Layers[e.layer]
	switch {
	case r.invisible:
		return "invisible"
	case l.Frozen:
		return "layer frozen"
	case l.Off && !r.kind.refers: // what a block draws on other layers stays visible
		return "layer off"
	}
	return ""
}

// shows reports whether what is hidden on a layer is read all the same.
func (rd *reader) shows(ent, layer int32) bool {
	return rd.o.Show != nil && rd.o.Show(Hidden{rd.d.Entities[ent].Type, rd.d.LayerName(layer)})
}

// tellShown notes that what is hidden was read, each entity once a layer.
func (rd *reader) tellShown(ent, layer int32, why string) {
	if n := len(rd.d.Shown); n == 0 || rd.d.Shown[n-1].Entity != ent || rd.d.Shown[n-1].Layer != layer {
		rd.d.Shown = append(rd.d.Shown, drawing.Notice{Kind: drawing.Hidden, Entity: ent, Layer: layer, Text: why, Box: geom.NoBox()})
	}
}

// colorOf resolves a colour by block or by layer; 0 if it is unknown.
func (rd *reader) colorOf(c int32, e *env) int16 {
	switch {
	case c == 0:
		return e.parentColor
	case c == 256:
		c = int32(rd.d.Layers[e.layer].Color)
	case c < 0:
		c = -c
	}
	if c < 1 || c > 255 {
		return 0
	}
	return int16(c)
}

// plane returns the map from the plane at height z of the record's coordinate
// system to the drawing.
func (e *env) plane(r *record, z float64) plane {
	f := &world
	if e.nested {
		f = &e.frame
	}
	n, turned := point3{}, false
	if r.kind.coords != worldCoords {
		n, turned = r.extrusion()
	}
	switch {
	case !turned && !e.nested:
		return samePlane
	case !turned:
		return f.plane(z)
	}
	o := objectFrame(n)
	o = f.of(&o)
	return o.plane(z)
}

// at returns the place in the drawing of a point in the record's coordinates.
func (e *env) at(r *record, p point3) geom.Point {
	if r.kind.coords == worldCoords {
		return e.place(p)
	}
	pl := e.plane(r, p.z)
	return pl.apply(p.flat())
}

// place returns the place in the drawing of a point in world coordinates.
func (e *env) place(p point3) geom.Point {
	if e.nested {
		p = e.frame.apply(p)
	}
	return p.flat()
}

func inRange(p geom.Point) bool { return abs(p.X) <= maxCoord && abs(p.Y) <= maxCoord }

// stroke draws one piece.
func (rd *reader) stroke(e *env, p geom.Piece) error {
	if p.R > maxRadius && abs(p.Sweep) < 1e-9 {
		p = geom.Line(p.A, p.B) // rises by less than 2e-10 of its length
	}
	if !inRange(p.A) || !inRange(p.B) || !(p.R <= maxRadius) || math.IsNaN(p.Sweep) || !p.C.Finite() {
		rd.told.spoiled = true
		return nil
	}
	rd.d.Strokes = append(foresee(&rd.growth, rd.d.Strokes), drawing.Stroke{Piece: p, Entity: e.ent, Layer: e.layer, Color: e.color})
	return rd.count(e, 1)
}

// turn draws what may be a full turn or a speck; Resolve decides.
func (rd *reader) turn(e *env, t drawing.Turn) error {
	t.Entity, t.Layer, t.Color = e.ent, e.layer, e.color
	if !inRange(t.A) || !inRange(t.B) || !inRange(t.Center) || !(t.Radius <= maxRadius) {
		rd.told.spoiled = true
		return nil
	}
	rd.d.Turns = append(rd.d.Turns, t)
	return rd.count(e, 1)
}

func (rd *reader) curve(e *env, c drawing.Curve) error {
	c.Entity, c.Layer, c.Color = e.ent, e.layer, e.color
	if b := c.Box(); !b.Empty() && !(inRange(b.Min) && inRange(b.Max)) || math.IsNaN(b.Min.X) || math.IsNaN(b.Min.Y) {
		rd.told.spoiled = true
		return nil
	}
	rd.d.Curves = append(rd.d.Curves, c)
	return rd.count(e, curveWeight)
}

// notFlat notes height, thickness and extrusion of a record.
func (rd *reader) notFlat(r *record, zs ...float64) {
	tol := rd.o.FlatTol
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, z := range zs {
		lo, hi = min(lo, z), max(hi, z)
	}
	if len(zs) > 0 && (lo < -tol || hi > tol) {
		if hi-lo <= tol {
			rd.note(&rd.told.flat, "z = "+ftoa(lo))
		} else {
			rd.note(&rd.told.flat, "z from "+ftoa(lo)+" to "+ftoa(hi))
		}
	}
	if t := r.num(38, 0); abs(t) > tol && !r.kind.height {
		rd.note(&rd.told.flat, "z = "+ftoa(t)) // elevation, up to R10
	}
	if t := r.num(39, 0); abs(t) > tol {
		rd.note(&rd.told.flat, "thickness "+ftoa(t))
	}
	if r.kind.normal {
		return
	}
	if n, turned := r.extrusion(); turned {
		rd.note(&rd.told.flat, "extrusion "+short(n.x)+","+short(n.y)+","+short(n.z))
	}
}

func short(v float64) string { return fmt.Sprintf("%.6g", v+0) }
