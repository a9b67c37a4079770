package dxf

import (
	"math"
	"slices"

	"sluice/geom"
	"sluice/geom/drawing"
)

// bulged draws one piece of a polyline of the object plane.
func (rd *reader) bulged(e *env, pl *plane, a, b geom.Point, bulge float64) error {
	switch {
	case bulge == 0 || pl.kind == planeEdge:
		return rd.stroke(e, geom.Line(pl.apply(a), pl.apply(b)))
	case pl.kind == planeSkewed:
		q := geom.Bulge(a, b, bulge)
		if q.IsLine() {
			return rd.stroke(e, geom.Line(pl.apply(a), pl.apply(b)))
		}
		t0, t1 := q.StartAngle(), q.StartAngle()+q.Sweep
		if q.Sweep < 0 {
			t0, t1 = t1, t0
		}
		return rd.conic(e, pl.apply(q.C), pl.dir(geom.Pt(q.R, 0)), pl.dir(geom.Pt(0, q.R)), t0, t1, "ELLIPSE")
	}
	if pl.mirrors() {
		bulge = -bulge
	}
	return rd.stroke(e, geom.Bulge(pl.apply(a), pl.apply(b), bulge))
}

// run draws the pieces between vertices as they come. Vertices equal to the one
// before draw nothing, but a polyline of one place draws a piece of no length.
type run struct {
	rd          *reader
	e           *env
	pl          plane
	first, last geom.Point
	bulge       float64 // of last
	n           int     // vertices
	drawn       int
	size        float64 // largest coordinate
}

func (u *run) add(p geom.Point, bulge float64) error {
	u.n++
	u.size = max(u.size, abs(p.X), abs(p.Y))
	if u.n == 1 {
		u.first, u.last, u.bulge = p, p, bulge
		return nil
	}
	return u.to(p, bulge)
}

func (u *run) to(p geom.Point, bulge float64) error {
	a, b := u.last, u.bulge
	u.last, u.bulge = p, bulge
	if a == p {
		return nil
	}
	u.drawn++
	return u.rd.bulged(u.e, &u.pl, a, p, b)
}

// end closes the run if asked to. A last corner that repeats the first but for
// the rounding of doubles needs no piece between.
func (u *run) end(closed bool) error {
	round := 1e-12 * max(min(1, u.size), abs(u.first.X), abs(u.first.Y))
	if closed && u.n > 1 && !(u.drawn > 1 && u.last.Dist(u.first) <= round) {
		if err := u.to(u.first, 0); err != nil {
			return err
		}
	}
	if u.drawn == 0 && u.n > 0 {
		at := u.pl.apply(u.first)
		return u.rd.stroke(u.e, geom.Line(at, at))
	}
	return nil
}

// An LWPOLYLINE is drawn in the object plane at height 38.
var lwpolylineType = entityType{
	names: []string{"LWPOLYLINE"}, height: true, draw: (*reader).lwpolyline,
	odd:   func(r *record) bool { return r.count(10) != r.count(20) },
	whole: wholePolyline,
}

// wholePolyline takes an LWPOLYLINE for whole when all vertices announced are
// there, and the last has as many groups as the others all have.
func wholePolyline(r *record) bool {
	n := r.flags(90)
	if n == 0 || r.count(10) != n || r.count(20) != n {
		return false
	}
	for _, code := range []int32{40, 41, 42} {
		if c := r.count(code); c == n-1 && n > 1 {
			return false
		}
	}
	return true
}

func (rd *reader) lwpolyline(r *record, e *env) error {
	z := r.num(38, 0)
	u := run{rd: rd, e: e, pl: e.plane(r, z)}
	width := r.num(43, 0)
	for ns, rest := r.fromPoint(10).cut(); len(ns) > 0; ns, rest = rest.cut() {
		v := vertexOf(ns)
		width = max(width, v.width)
		if err := u.add(v.p.flat(), v.bulge); err != nil {
			return err
		}
	}
	if says := r.num(90, 0); says != 0 && says != float64(u.n) {
		if err := rd.problemOf("vertex-count", int(r.line), e.ent, says > float64(u.n), "the LWPOLYLINE says it has "+ftoa(says)+" vertices, but has "+itoa(u.n)); err != nil {
			return err
		}
	}
	if u.n == 0 {
		return rd.problemOf("no-vertices", int(r.line), e.ent, true, "a LWPOLYLINE without vertices")
	}
	if width > 0 {
		rd.note(&rd.told.wide, "width "+ftoa(width))
	}
	rd.notFlat(r, z)
	return u.end(r.flags(70)&1 != 0)
}

// The corners of a POLYLINE follow it as VERTEX entities, then SEQEND.
var (
	polylineType = entityType{
		names: []string{"POLYLINE"}, child: &vertexType, adopt: (*assembler).addVertex, seqend: true,
		odd: func(r *record) bool {
			return slices.ContainsFunc(r.verts, func(v vertex) bool { return v.bare && v.flags&vertexFace == 0 })
		},
		draw: (*reader).polyline,
	}
	vertexType = entityType{names: []string{"VERTEX"}, part: true, why: " without its POLYLINE"}
)

// Flags of a VERTEX (group 70).
const (
	vertexFrame = 16  // of the control frame of a spline
	vertexMesh  = 64  // of a mesh
	vertexFace  = 128 // of a polyface mesh: without a place, it names its corners
)

// addVertex takes a VERTEX into its POLYLINE.
func (a *assembler) addVertex(p, c *record) error {
	if c.broken != "" && p.broken == "" {
		p.broken, p.brokenAt, p.brokenCode = c.broken, c.brokenAt, c.brokenCode
	}
	if len(p.verts) >= a.rd.o.MaxVertices {
		return a.rd.tooMany(p, "vertices", a.rd.o.MaxVertices)
	}
	p.verts = append(p.verts, vertexOf(c.nums))
	a.spare = append(a.spare, c)
	return nil
}

// vertexOf reads a corner of a polyline from its groups.
func vertexOf(ns nums) vertex {
	v := vertex{bare: true}
	x := false
	for i := range ns {
		switch n := &ns[i]; n.code {
		case 10:
			v.p.x, x = n.v, true
		case 20:
			v.p.y, v.bare = n.v, false
		case 30:
			v.p.z = n.v
		case 42:
			v.bulge = n.v
		case 40, 41:
			v.width = max(v.width, n.v)
		case 70:
			v.flags = int32(n.v)
		}
	}
	v.bare = v.bare || !x
	return v
}

// polyline draws an old-style POLYLINE. Of splined ones (flag 4) the vertices
// of the frame (vertex flag 16) are left out, so that those on the curve remain;
// of curve-fitted ones (flag 2) all vertices lie on the curve.
func (rd *reader) polyline(r *record, e *env) error {
	flags := r.flags(70)
	if flags&(16|64) != 0 {
		rd.tell(drawing.Unread, e, r, "POLYLINE, a mesh in space")
		return nil
	}
	spatial := flags&8 != 0
	z := r.num(30, 0)
	u := run{rd: rd, e: e}
	if !spatial {
		u.pl = e.plane(r, z)
	}
	first := len(rd.d.Strokes)
	lo, hi, width := math.Inf(1), math.Inf(-1), max(r.num(40, 0), r.num(41, 0))
	splined := flags&4 != 0
	for i := range r.verts {
		v := &r.verts[i]
		if splined && v.flags&vertexFrame != 0 || v.flags&(vertexMesh|vertexFace) != 0 {
			continue
		}
		width = max(width, v.width)
		lo, hi = min(lo, v.p.z), max(hi, v.p.z)
		p, bulge := v.p.flat(), v.bulge
		if spatial {
			p, bulge = e.place(v.p), 0
		}
		if err := u.add(p, bulge); err != nil {
			return err
		}
	}
	if u.n == 0 {
		return rd.problemOf("no-vertices", int(r.line), e.ent, true, "a POLYLINE without vertices")
	}
	if err := u.end(flags&1 != 0); err != nil {
		return err
	}
	if !spatial && z != 0 {
		lo, hi = z, z // its vertices may repeat it or not
	}
	rd.notFlat(r, lo, hi)
	if width > 0 {
		rd.note(&rd.told.wide, "width "+ftoa(width))
	}
	if made := len(rd.d.Strokes) - first; flags&6 != 0 && made > 0 {
		return rd.curve(e, drawing.Curve{Kind: "POLYLINE", First: int32(first), Count: int32(made)})
	}
	return nil
}
