package dxf

import (
	"fmt"
	"math"
	"strings"

	"sluice/geom"
	"sluice/geom/curve"
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
	if r.kind == kindInsert && rd.blocks[blockKey(r.text(2))] == nil {
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
	e := env{ent: ent, parentLayer: -1, parentColor: 7}
	rd.told.flat.reset()
	rd.told.wide.reset()
	rd.told.spoiled = false
	if len(rd.told.notices) > 0 {
		clear(rd.told.notices)
	}
	if err := rd.convert(r, &e); err != nil {
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
		rd.tell(drawing.Hidden, e, r, why)
		return nil
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
	if err := rd.draw(r, e); err != nil || r.kind == kindInsert {
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

// draw draws a record that is seen.
func (rd *reader) draw(r *record, e *env) error {
	switch r.kind {
	case kindLine:
		return rd.line(r, e)
	case kindArc, kindCircle:
		return rd.arc(r, e)
	case kindLWPolyline:
		return rd.lwpolyline(r, e)
	case kindPolyline:
		return rd.polyline(r, e)
	case kindSpline:
		return rd.spline(r, e)
	case kindEllipse:
		return rd.ellipse(r, e)
	case kindInsert:
		return rd.insert(r, e)
	case kindTextLine, kindAttrib:
		return rd.textLine(r, e)
	case kindMText:
		return rd.mtext(r, e)
	case kindPoint:
		return rd.mark(r, e)
	case kindSolid, kindFace:
		return rd.corners(r, e)
	case kindHatch:
		return rd.hatch(r, e)
	case kindMLine:
		return rd.mline(r, e)
	}
	rd.tell(drawing.Unread, e, r, r.typ+unreadWhy(r.typ))
	return nil
}

// unreadWhy says why an entity type is left out.
func unreadWhy(typ string) string {
	switch typ {
	case "DIMENSION", "ARC_DIMENSION", "LARGE_RADIAL_DIMENSION", "LEADER", "MULTILEADER", "MLEADER", "TOLERANCE", "ATTDEF", "ACAD_TABLE":
		return ", not cut"
	case "RAY", "XLINE":
		return ", an endless construction line"
	case "REGION", "3DSOLID", "BODY", "SURFACE", "EXTRUDEDSURFACE", "LOFTEDSURFACE", "REVOLVEDSURFACE", "SWEPTSURFACE", "PLANESURFACE", "MESH":
		return ", a solid model: export its flat outline"
	case "IMAGE", "OLEFRAME", "OLE2FRAME", "WIPEOUT", "PDFUNDERLAY", "DGNUNDERLAY", "DWFUNDERLAY", "UNDERLAY":
		return ", a picture"
	case "VERTEX", "SEQEND":
		return " without its POLYLINE"
	case "ATTRIB":
		return " without its INSERT"
	case "SHAPE":
		return ", its shape file is not in the drawing"
	case "ACAD_PROXY_ENTITY":
		return ", made by another program's extension"
	case "VIEWPORT":
		return ", a window on the model"
	}
	return ""
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
	at := r.point(10)
	var p geom.Point
	switch r.kind {
	case kindLine, kindPoint, kindFace, kindSpline, kindEllipse, kindMText:
		p = e.place(at)
	default:
		pl := e.plane(r, at.z)
		p = pl.apply(at.flat())
	}
	if !inRange(p) {
		p = geom.Point{}
	}
	rd.notice(k, e.ent, e.layer, p, e.around(r), text)
	return true
}

// around returns the box of the points of a record, as far as its groups tell
// them: what cannot be drawn can at least be pointed at.
func (e *env) around(r *record) geom.Box {
	b := geom.NoBox()
	pl := e.plane(r, r.point(10).z)
	add := func(p geom.Point) {
		if p = pl.apply(p); inRange(p) {
			b = b.Add(p)
		}
	}
	for i := range r.verts {
		add(r.verts[i].p.flat())
	}
	path := r.typ != "HATCH" // its first point is an elevation, no place
	var x [10]float64
	for _, n := range r.nums {
		path = path || n.code == 92
		switch {
		case !path:
		case n.code >= 10 && n.code <= 18:
			x[n.code-10] = n.v
		case n.code >= 20 && n.code <= 28:
			add(geom.Pt(x[n.code-20], n.v))
		}
	}
	if rad := r.num(40, 0); (r.kind == kindCircle || r.kind == kindArc) && rad > 0 && !b.Empty() {
		b = b.Inflate(rad)
	}
	return b
}

// hidden says why the record is not to be seen, "" if it is.
func (rd *reader) hidden(r *record, e *env) string {
	l := &rd.d.Layers[e.layer]
	switch {
	case r.invisible:
		return "invisible"
	case l.Frozen:
		return "layer frozen"
	case l.Off && r.kind != kindInsert: // what a block draws on other layers stays visible
		return "layer off"
	}
	return ""
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

// plane returns the map from the record's object plane at height z to the
// drawing.
func (e *env) plane(r *record, z float64) plane {
	n, turned := r.extrusion()
	f := &world
	if e.nested {
		f = &e.frame
	}
	if !turned {
		return f.plane(z)
	}
	o := objectFrame(n)
	o = f.of(&o)
	return o.plane(z)
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
	if t := r.num(38, 0); abs(t) > tol && r.kind != kindLWPolyline {
		rd.note(&rd.told.flat, "z = "+ftoa(t)) // elevation, up to R10
	}
	if t := r.num(39, 0); abs(t) > tol {
		rd.note(&rd.told.flat, "thickness "+ftoa(t))
	}
	if r.kind == kindSpline {
		return // its 210 is the normal of its plane, no extrusion
	}
	if n, turned := r.extrusion(); turned {
		rd.note(&rd.told.flat, "extrusion "+short(n.x)+","+short(n.y)+","+short(n.z))
	}
}

func short(v float64) string { return fmt.Sprintf("%.6g", v+0) }

// conic draws center + u cos t + v sin t for t from t0 to t1 as an ellipse.
// Major and minor axis of an ellipse with conjugate half axes u, v lie at the
// parameter s with tan 2s = 2 u.v / (u.u - v.v) (Rytz's construction).
func (rd *reader) conic(e *env, center, u, v geom.Point, t0, t1 float64, kind string) error {
	s := 0.0
	if d := u.Dot(v); abs(d) > 1e-12*u.Norm()*v.Norm() {
		s = math.Atan2(2*d, u.Dot(u)-v.Dot(v)) / 2
	} else if v.Dot(v) > u.Dot(u) {
		s = math.Pi / 2
	}
	sin, cos := math.Sincos(s)
	major := u.Mul(cos).Add(v.Mul(sin))
	minor := v.Mul(cos).Sub(u.Mul(sin))
	if s == math.Pi/2 {
		major, minor = v, u.Mul(-1)
	}
	if !(t1-t0 > 1e-12) {
		// Too short to be told from a point.
		p := center.Add(u.Mul(math.Cos(t0))).Add(v.Mul(math.Sin(t0)))
		return rd.stroke(e, geom.Line(p, p))
	}
	if l := major.Norm(); !(l > 0) || minor.Norm() <= 1e-12*l {
		return rd.flattened(e, center, u, v, t0, t1)
	}
	return rd.curve(e, drawing.Curve{Kind: kind, Ellipse: &curve.Ellipse{
		Center: center, Major: major, Ratio: min(1, minor.Norm()/major.Norm()),
		Start: t0 - s, End: t1 - s, Mirrored: major.Cross(minor) < 0,
	}})
}

// flattened draws a conic seen from the side: the line it covers.
func (rd *reader) flattened(e *env, center, u, v geom.Point, t0, t1 float64) error {
	w := u
	if v.Norm() > u.Norm() {
		w = v
	}
	w = w.Unit()
	at := func(t float64) float64 { return u.Dot(w)*math.Cos(t) + v.Dot(w)*math.Sin(t) }
	lo, hi := min(at(t0), at(t1)), max(at(t0), at(t1))
	// The turning points of the projection lie half a turn apart.
	for t := math.Atan2(v.Dot(w), u.Dot(w)); t <= t1; t += math.Pi {
		if t >= t0 {
			lo, hi = min(lo, at(t)), max(hi, at(t))
		}
	}
	return rd.stroke(e, geom.Line(center.Add(w.Mul(lo)), center.Add(w.Mul(hi))))
}
